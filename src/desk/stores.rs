//! Materials and stock moves.

use super::access::{Permit, SeeStores};
use super::error::Named;
use super::{Office, Result};
use crate::store::stores::{self, MaterialRow, StockMoveRow};
use crate::store::{Page, Paged};

/// The site's materials.
pub fn material_list(
    office: &Office,
    permit: &Permit<SeeStores>,
    page: Page,
) -> Result<Paged<MaterialRow>> {
    Ok(office
        .db
        .read(|conn| stores::material_list(conn, permit, page))?)
}

/// One material.
pub fn material_read(office: &Office, permit: &Permit<SeeStores>, id: i64) -> Result<MaterialRow> {
    office
        .db
        .read(|conn| stores::material_read(conn, permit, id).named("material"))
}

/// The site's stock moves, of one material where it is given.
pub fn stock_move_list(
    office: &Office,
    permit: &Permit<SeeStores>,
    material_id: Option<i64>,
    page: Page,
) -> Result<Paged<StockMoveRow>> {
    Ok(office
        .db
        .read(|conn| stores::stock_move_list(conn, permit, material_id, page))?)
}
