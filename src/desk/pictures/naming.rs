//! What a picture is of that names its subject by the client's own key of the event that made it. Either may come first.

use serde_json::Value;

use crate::desk::tablet::{key_behind, late_key};
use crate::store::idempotency::answer_given;
use crate::store::pictures::{PictureSubject, pictures_name, pictures_waiting};
use crate::store::{Result, Scope, Tx};

/// What the event with this key made, where it has come.
pub(super) fn named_by(
    tx: &mut Tx<'_>,
    scope: &Scope,
    subject: PictureSubject,
    of_key: &str,
) -> Result<Option<i64>> {
    let given = match answer_given(tx, scope, of_key)? {
        None => answer_given(tx, scope, &late_key(of_key))?,
        given => given,
    };
    Ok(given.and_then(|given| id_in(subject, &given.operation, &read(&given.body))))
}

/// The event with this key has come: names the subject of the pictures that came before it.
pub(in crate::desk) fn name_waiting(
    tx: &mut Tx<'_>,
    scope: &Scope,
    of_key: &str,
    operation: &str,
    answer: &str,
) -> Result<()> {
    let of_key = key_behind(of_key);
    let waiting = pictures_waiting(tx.conn(), scope, of_key)?;
    if waiting.is_empty() {
        return Ok(());
    }
    let answer = read(answer);
    for subject in waiting {
        if let Some(id) = id_in(subject, operation, &answer) {
            pictures_name(tx, scope, of_key, subject, id)?;
        }
    }
    Ok(())
}

fn read(answer: &str) -> Value {
    serde_json::from_str(answer).unwrap_or_default()
}

/// The id of what an event made or was about, by its answer; none where it made nothing of the kind.
fn id_in(subject: PictureSubject, operation: &str, answer: &Value) -> Option<i64> {
    let own = |is_about: bool| is_about.then(|| answer["id"].as_i64()).flatten();
    match subject {
        PictureSubject::Order if operation.contains("work order") => order_in(answer),
        PictureSubject::Order => None,
        PictureSubject::Defect => own(operation.contains("defect")),
        PictureSubject::Incident => own(operation == "incidents"),
        PictureSubject::Court => answer["court_id"].as_i64(),
        PictureSubject::Tool => answer["tool_id"].as_i64(),
        PictureSubject::Reading => match answer["readings"].as_array()?.as_slice() {
            [one] => one["id"].as_i64(),
            _ => None,
        },
    }
}

/// The order of an answer: what was noted on one, or came too late to close it, names it beside its own id.
fn order_in(answer: &Value) -> Option<i64> {
    let places = [&answer["order_id"], &answer["order"]["id"], &answer["id"]];
    places.into_iter().find_map(Value::as_i64)
}

#[cfg(test)]
mod tests {
    use serde_json::json;

    use super::*;

    #[test]
    fn an_event_names_what_it_made_and_nothing_else() {
        let id = |subject, operation: &str, answer: Value| id_in(subject, operation, &answer);
        let order = json!({ "id": 7, "court_id": 3 });
        assert_eq!(
            id(PictureSubject::Order, "finish work order 7", order.clone()),
            Some(7)
        );
        assert_eq!(
            id(PictureSubject::Court, "finish work order 7", order.clone()),
            Some(3)
        );
        assert_eq!(
            id(PictureSubject::Incident, "finish work order 7", order),
            None
        );
        let note = json!({ "id": 70, "order_id": 7 });
        assert_eq!(
            id(PictureSubject::Order, "note on work order 7", note),
            Some(7)
        );
        let late = json!({ "order": { "id": 7 }, "note_id": 70 });
        assert_eq!(
            id(PictureSubject::Order, "finish work order 7 late", late),
            Some(7)
        );
        let incident = json!({ "id": 9, "court_id": null });
        assert_eq!(
            id(PictureSubject::Incident, "incidents", incident.clone()),
            Some(9)
        );
        assert_eq!(id(PictureSubject::Court, "incidents", incident), None);
        assert_eq!(
            id(
                PictureSubject::Reading,
                "tool-checks",
                json!({ "readings": [{ "id": 4 }] })
            ),
            Some(4)
        );
        assert_eq!(
            id(PictureSubject::Reading, "tool-checks", json!(null)),
            None
        );
    }
}
