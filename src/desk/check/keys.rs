//! Every row points at rows that are there, and of its own site.

use super::{Anchor, Found, MOST_ASKED};
use crate::desk::Result;
use crate::store::proofs::{rows_astray, sources_astray};
use crate::store::{Conn, Scope};

pub(super) fn prove(conn: &mut Conn) -> Result<Found> {
    let mut found = Found {
        looked_at: "every foreign key".into(),
        ..Found::default()
    };
    found.note_all(rows_astray(conn, MOST_ASKED)?);
    Ok(found)
}

pub(super) fn prove_sources(conn: &mut Conn, scope: &Scope, _: &[Anchor]) -> Result<Found> {
    let mut found = Found {
        looked_at: "what each booked row was booked for".into(),
        ..Found::default()
    };
    found.note_all(sources_astray(conn, scope, MOST_ASKED)?);
    Ok(found)
}
