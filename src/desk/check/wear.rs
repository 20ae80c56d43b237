//! What parts were used is what orders and people told, also at each reading.

use super::{Anchor, Found, MOST_ASKED, counted};
use crate::desk::Result;
use crate::store::proofs::{part_uses_count, wear_untied};
use crate::store::{Conn, Scope};

pub(super) fn prove(conn: &mut Conn, scope: &Scope, _: &[Anchor]) -> Result<Found> {
    let mut found = Found {
        looked_at: counted(part_uses_count(conn, scope)?, "uses of parts"),
        ..Found::default()
    };
    found.note_all(wear_untied(conn, scope, MOST_ASKED)?);
    Ok(found)
}
