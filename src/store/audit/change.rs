//! What an edit changed: the fields that differ, as they were and as they are.

use serde::Serialize;
use serde_json::{Map, Value, json};

use super::Salted;
use crate::store::columns::hex;
use crate::store::{Error, Result};

/// The fields that an edit changed.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Change {
    before: Map<String, Value>,
    after: Map<String, Value>,
}

/// Fields that say of themselves that something was edited.
const OF_THE_EDIT: &[&str] = &["version", "updated_at"];

impl Change {
    /// What differs between two states of a thing, each an object in JSON.
    pub fn between(before: &impl Serialize, after: &impl Serialize) -> Result<Self> {
        let (before, after) = (object(before)?, object(after)?);
        let mut change = Self::default();
        for (field, now) in &after {
            let was = before.get(field).unwrap_or(&Value::Null);
            if was != now && !OF_THE_EDIT.contains(&field.as_str()) {
                change.before.insert(field.clone(), was.clone());
                change.after.insert(field.clone(), now.clone());
            }
        }
        Ok(change)
    }

    /// Puts the fields into an event's data; of the personal ones a digest, and gives their texts to be
    /// kept where they can be erased: `before.name`, the text.
    pub(super) fn into_data(
        self,
        data: &mut Value,
        personal: &[&str],
    ) -> Result<Vec<(String, Salted)>> {
        let mut words = Vec::new();
        let sides = [("before", self.before), ("after", self.after)];
        for (side, fields) in sides {
            let mut kept = Map::new();
            for (field, value) in fields {
                let is_text = personal.contains(&field.as_str()) && !value.is_null();
                if is_text {
                    let text = value
                        .as_str()
                        .map_or_else(|| value.to_string(), str::to_owned);
                    let salted = Salted::of(&text)?;
                    kept.insert(field.clone(), json!({ "digest": hex(&salted.digest()) }));
                    words.push((format!("{side}.{field}"), salted));
                } else {
                    kept.insert(field, value);
                }
            }
            data[side] = Value::Object(kept);
        }
        Ok(words)
    }
}

fn object(thing: &impl Serialize) -> Result<Map<String, Value>> {
    match serde_json::to_value(thing) {
        Ok(Value::Object(fields)) => Ok(fields),
        Ok(_) => Err(Error::Unreadable("what was edited has no fields".into())),
        Err(why) => Err(Error::Unreadable(why.to_string())),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_what_differs_is_told_and_not_that_something_does() {
        let before = json!({ "name": "One", "level": 3, "version": 1 });
        let after = json!({ "name": "One", "level": 4, "version": 2 });
        let mut data = json!({});
        let words = Change::between(&before, &after)
            .unwrap()
            .into_data(&mut data, &["name"]);
        assert!(words.unwrap().is_empty());
        assert_eq!(
            data,
            json!({ "before": { "level": 3 }, "after": { "level": 4 } })
        );
    }

    #[test]
    fn personal_text_stands_beside_the_event_and_a_digest_of_it_within() {
        let (before, after) = (json!({ "note": null }), json!({ "note": "Kim was late" }));
        let mut data = json!({});
        let change = Change::between(&before, &after).unwrap();
        let words = change.into_data(&mut data, &["note"]).unwrap();
        assert_eq!(words[0].0, "after.note");
        assert!(!data.to_string().contains("Kim"));
        assert_eq!(data["after"]["note"]["digest"], hex(&words[0].1.digest()));
        assert!(data["before"]["note"].is_null());
    }
}
