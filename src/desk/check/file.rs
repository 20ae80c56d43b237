//! SQLite's file is whole, and its rows keep their columns' checks. PostgreSQL has tools of its own.

use super::{Found, MOST_ASKED};
use crate::desk::Result;
use crate::store::Conn;
use crate::store::dialect::engine;
use crate::store::proofs::pages_broken;

pub(super) fn prove(conn: &mut Conn) -> Result<Found> {
    let looked_at = match engine(conn) {
        "sqlite" => "every page",
        _ => "left to PostgreSQL's own pg_amcheck",
    };
    let mut found = Found {
        looked_at: looked_at.into(),
        ..Found::default()
    };
    found.note_all(pages_broken(conn, MOST_ASKED)?);
    Ok(found)
}
