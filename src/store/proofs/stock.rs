//! Moves of one material, in the order in which they were booked.

use diesel::prelude::*;

use crate::store::db::Conn;
use crate::store::schema::stock_moves;
use crate::store::stores::StockMoveRow;
use crate::store::{Result, Scope};

/// So many moves of a material above number `after`.
pub fn moves_of_material(
    conn: &mut Conn,
    scope: &Scope,
    material_id: i64,
    after: i64,
    limit: i64,
) -> Result<Vec<StockMoveRow>> {
    Ok(stock_moves::table
        .filter(
            stock_moves::site_id
                .eq(scope.site_id())
                .and(stock_moves::material_id.eq(material_id))
                .and(stock_moves::seq.gt(after)),
        )
        .order(stock_moves::seq)
        .limit(limit)
        .select(StockMoveRow::as_select())
        .load(conn)?)
}
