//! What is said of an order beside its life: notes, and the manager's look at finished work.

use serde_json::json;

use super::check::Check;
use super::told::{NoteTold, RecheckTold};
use crate::desk::access::{IssueDay, Permit, RecheckOrder, SeeOrders, WorkOrders};
use crate::desk::booking::{Rates, SOURCE};
use crate::desk::error::Named;
use crate::desk::once::Once;
use crate::desk::stops::actor;
use crate::desk::{Error, Office, Result};
use crate::store::audit::{Deed, audit_append_about};
use crate::store::columns;
use crate::store::crews::person_read;
use crate::store::orders::{
    self, NewNote, NewRecheck, NoteFilter, NoteKind, NoteRow, OrderState, RecheckRow, note_add,
    note_read, note_seen, order_read, recheck_add, rechecks_of,
};
use crate::store::{self, Page, Paged, Scope, Tx};

/// The most that may be told with a note, bytes of JSON.
const MOST_DATA: usize = 65_536;

/// Keeps a note on an order, in whatever state it is. Sent again under the same key, it gives the first answer.
pub fn order_note(
    office: &Office,
    permit: &Permit<WorkOrders>,
    id: i64,
    client_key: String,
    told: &NoteTold,
) -> Result<NoteRow> {
    let once = Once::new(client_key, format!("note on work order {id}"), told)?;
    office.db.write(permit, |tx| {
        once.run(tx, permit, |tx| {
            let order = order_read(tx.conn(), permit, id).named("work order")?;
            let kind = told.kind.unwrap_or(NoteKind::Note);
            let data = serde_json::Value::Object(told.data.clone().unwrap_or_default());
            let (rates, now) = (Rates::read(tx.conn(), permit)?, tx.now());
            let needed = (kind == NoteKind::Note).then_some("say what is to be noted");
            let mut check = Check::said(tx.conn(), permit, &rates, &order, now, told.happened_at);
            let text = check.words("/text", Some(&told.text), needed);
            if columns::json(&data)?.len() > MOST_DATA {
                check.too_much("/data", MOST_DATA);
            }
            let at = check.at;
            check.end()?;
            person_is_known(tx, permit, told.person_id)?;
            let new = NewNote {
                order_id: id,
                kind,
                text: text.as_deref().unwrap_or_default(),
                data: &data,
                person_id: told.person_id,
                user_id: actor(permit)?,
                happened_at: at,
                client_key: Some(&once.client_key),
            };
            let note = keep_note(tx, permit, &new)?;
            Ok(note_read(tx.conn(), permit, note)?)
        })
    })
}

fn person_is_known(tx: &mut Tx<'_>, scope: &Scope, person: Option<i64>) -> Result<()> {
    let Some(person) = person else {
        return Ok(());
    };
    person_read(tx.conn(), scope, person).map_err(|why| match why {
        store::Error::NotFound => {
            let mend = "nobody of this site has this id";
            Error::refused_as("person_unknown", "/person_id", mend)
        }
        other => other.into(),
    })?;
    Ok(())
}

/// Keeps a note in the transaction of something else, and notes it in the trail; gives its id.
pub(super) fn keep_note(tx: &mut Tx<'_>, scope: &Scope, new: &NewNote<'_>) -> Result<i64> {
    let id = note_add(tx, scope, new)?;
    let deed = Deed {
        verb: "noted",
        subject: SOURCE,
        id: new.order_id,
        data: json!({ "note": id, "kind": new.kind }),
    };
    let person = new.person_id.map(|person| ("person", person));
    let about: Vec<_> = person.into_iter().collect();
    audit_append_about(tx, scope, &deed, &about)?;
    Ok(id)
}

/// The site's notes that pass the filter.
pub fn note_list(
    office: &Office,
    permit: &Permit<SeeOrders>,
    filter: NoteFilter,
    page: Page,
) -> Result<Paged<NoteRow>> {
    Ok(office
        .db
        .read(|conn| orders::note_list(conn, permit, filter, page))?)
}

/// The notes that wait for the manager, oldest first.
pub fn notes_waiting(office: &Office, permit: &Permit<IssueDay>) -> Result<Vec<NoteRow>> {
    let filter = NoteFilter {
        order_id: None,
        waiting: Some(true),
    };
    let page = office
        .db
        .read(|conn| orders::note_list(conn, permit, filter, Page::ALL))?;
    Ok(page.items)
}

/// Marks a note as seen.
pub fn note_mark_seen(
    office: &Office,
    permit: &Permit<IssueDay>,
    id: i64,
    client_key: String,
) -> Result<NoteRow> {
    let once = Once::new(client_key, format!("see note {id}"), &())?;
    office.db.write(permit, |tx| {
        once.run(tx, permit, |tx| {
            let note = note_read(tx.conn(), permit, id).named("note")?;
            if let Some(at) = note.seen_at {
                let code = ("note_seen", [("at", json!(at))]);
                let detail = format!("this note was marked as seen at {at}");
                return Err(Error::state_of(code, detail));
            }
            note_seen(tx, permit, id, actor(permit)?)?;
            let deed = Deed {
                verb: "seen",
                subject: SOURCE,
                id: note.order_id,
                data: json!({ "note": id }),
            };
            audit_append_about(tx, permit, &deed, &[])?;
            Ok(note_read(tx.conn(), permit, id)?)
        })
    })
}

/// Keeps what somebody saw who looked finished work over. The newest holds.
pub fn order_recheck(
    office: &Office,
    permit: &Permit<RecheckOrder>,
    id: i64,
    client_key: String,
    told: &RecheckTold,
) -> Result<RecheckRow> {
    let once = Once::new(client_key, format!("recheck work order {id}"), told)?;
    office.db.write(permit, |tx| {
        once.run(tx, permit, |tx| {
            let order = order_read(tx.conn(), permit, id).named("work order")?;
            if order.state != OrderState::Finished {
                let code = ("order_state", [("state", json!(order.state))]);
                let detail = format!(
                    "the work order is {}; only finished work is looked over",
                    order.state.as_str().replace('_', " ")
                );
                return Err(Error::state_of(code, detail));
            }
            let (rates, now) = (Rates::read(tx.conn(), permit)?, tx.now());
            let mut check = Check::begin(tx.conn(), permit, &rates, &order, now, told.happened_at);
            check.not_before_its_end();
            let note = check.note(told.note.as_deref(), None);
            let at = check.at;
            check.end()?;
            let new = NewRecheck {
                order_id: id,
                grade: told.grade,
                note: note.as_deref(),
                user_id: actor(permit)?,
                happened_at: at,
                client_key: &once.client_key,
            };
            let recheck = recheck_add(tx, permit, &new)?;
            let deed = Deed {
                verb: "rechecked",
                subject: SOURCE,
                id,
                data: json!({ "recheck": recheck, "grade": told.grade }),
            };
            let court = order.court_id.map(|court| ("court", court));
            let about: Vec<_> = court.into_iter().collect();
            audit_append_about(tx, permit, &deed, &about)?;
            let kept = rechecks_of(tx.conn(), permit, &[id])?.into_iter();
            kept.last().ok_or(Error::NotFound("recheck"))
        })
    })
}
