//! What was sent once can be answered again: each key with its answer.

use super::{Anchor, Found, MOST_ASKED};
use crate::desk::Result;
use crate::store::proofs::answers_odd;
use crate::store::{Conn, Scope};

pub(super) fn prove(conn: &mut Conn, scope: &Scope, _: &[Anchor]) -> Result<Found> {
    let mut found = Found {
        looked_at: "every key and its answer".into(),
        ..Found::default()
    };
    found.note_all(answers_odd(conn, scope, MOST_ASKED)?);
    Ok(found)
}
