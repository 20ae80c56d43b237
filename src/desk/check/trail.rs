//! What stands beside the audit events: each is found by what it is about, and personal text that was
//! not erased is the text the event holds the digest of.

use serde_json::Value;

use super::{Anchor, Found, MOST_ASKED, counted};
use crate::desk::Result;
use crate::store::audit::words_digest;
use crate::store::columns::hex;
use crate::store::proofs::{WordsOf, touches_odd, words_with_events};
use crate::store::{Conn, Scope};

const AT_ONCE: i64 = 1_000;

pub(super) fn prove(conn: &mut Conn, scope: &Scope, _: &[Anchor]) -> Result<Found> {
    let (mut found, mut after, mut count) = (Found::default(), 0, 0);
    found.note_all(touches_odd(conn, scope, MOST_ASKED)?);
    loop {
        let texts = words_with_events(conn, scope, after, AT_ONCE)?;
        let Some(last) = texts.last() else { break };
        after = last.id;
        for text in &texts {
            count += 1;
            if held(text) != Some(hex(&words_digest(&text.salt, &text.words))) {
                found.note(format!(
                    "the text {} of event {} is not the one it was written with",
                    text.field, text.seq
                ));
            }
        }
    }
    found.looked_at = counted(count, "texts that were not erased");
    Ok(found)
}

/// The digest that the event holds of this text, in hex.
fn held(text: &WordsOf) -> Option<String> {
    if text.field == "from" {
        let digest = text.from_digest.as_deref()?;
        return Some(hex(digest));
    }
    let (side, field) = text.field.split_once('.')?;
    let data: Value = serde_json::from_str(&text.data).ok()?;
    Some(data[side][field]["digest"].as_str()?.to_owned())
}
