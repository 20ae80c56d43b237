//! The triggers that keep booked rows from being changed stand where they were put.

use super::{Found, counted};
use crate::desk::Result;
use crate::store::Conn;
use crate::store::proofs::{APPEND_ONLY, guards_missing};

pub(super) fn prove(conn: &mut Conn) -> Result<Found> {
    let mut found = Found {
        looked_at: counted(i64::try_from(APPEND_ONLY.len()).unwrap_or(0), "tables"),
        ..Found::default()
    };
    for table in guards_missing(conn)? {
        found.note(format!(
            "{table} could be changed: the trigger that refuses it is missing, off or not as it was written"
        ));
    }
    Ok(found)
}
