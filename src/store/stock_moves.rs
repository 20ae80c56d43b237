//! What goes into the stores and out of them: moves are appended, the stock stands beside them.
//!
//! A move's quantity and value are signed: what comes in is above zero, what goes out below, so
//! that a material's moves sum to its stock and its value.

use chrono::NaiveDate;
use diesel::prelude::*;

use super::db::{Conn, Tx};
use super::schema::{materials, stock_moves};
use super::stores::{StockMoveKind, StockMoveRow};
use super::{Error, Instant, Result, Scope};

/// A move as it is booked.
#[derive(Clone, Debug)]
pub struct NewMove {
    /// The material.
    pub material_id: i64,
    /// The order, where it was for one.
    pub order_id: Option<i64>,
    /// What moved.
    pub kind: StockMoveKind,
    /// How much, in the material's unit; below zero where it goes out.
    pub quantity: i64,
    /// What it is worth, cents; below zero where it goes out.
    pub value_cents: i64,
    /// Whether some of it was not in store.
    pub beyond_stock: bool,
    /// The site's own date it belongs to.
    pub work_date: NaiveDate,
    /// When it is booked.
    pub booked_at: Instant,
    /// What it is booked with: `work_order`, `wear_part`.
    pub source_kind: &'static str,
    /// The id of that.
    pub source_id: i64,
    /// The move it takes back.
    pub reverses_id: Option<i64>,
}

/// What is in store of a material, and its value: (in its unit, cents).
pub fn stock_read(conn: &mut Conn, scope: &Scope, material_id: i64) -> Result<(i64, i64)> {
    Ok(materials::table
        .filter(
            materials::site_id
                .eq(scope.site_id())
                .and(materials::id.eq(material_id)),
        )
        .select((materials::on_hand, materials::value_cents))
        .first(conn)?)
}

/// The moves of an order that were not taken back, in order of id.
pub fn moves_standing(conn: &mut Conn, scope: &Scope, order_id: i64) -> Result<Vec<StockMoveRow>> {
    let back = diesel::alias!(stock_moves as back);
    let taken_back = back
        .filter(back.field(stock_moves::site_id).eq(scope.site_id()))
        .filter(
            back.field(stock_moves::reverses_id)
                .eq(stock_moves::id.nullable()),
        );
    Ok(stock_moves::table
        .filter(
            stock_moves::site_id
                .eq(scope.site_id())
                .and(stock_moves::order_id.eq(order_id))
                .and(stock_moves::reverses_id.is_null()),
        )
        .filter(diesel::dsl::not(diesel::dsl::exists(taken_back)))
        .order(stock_moves::id)
        .select(StockMoveRow::as_select())
        .load(conn)?)
}

/// Appends a move and adds it to the material's stock.
pub fn stock_move_add(tx: &mut Tx<'_>, scope: &Scope, stock_move: &NewMove) -> Result<()> {
    let seq = tx.next_seq();
    diesel::insert_into(stock_moves::table)
        .values((
            stock_moves::site_id.eq(scope.site_id()),
            stock_moves::seq.eq(seq),
            stock_moves::material_id.eq(stock_move.material_id),
            stock_moves::order_id.eq(stock_move.order_id),
            stock_moves::kind.eq(stock_move.kind),
            stock_moves::quantity.eq(stock_move.quantity),
            stock_moves::value_cents.eq(stock_move.value_cents),
            stock_moves::beyond_stock.eq(stock_move.beyond_stock),
            stock_moves::work_date.eq(stock_move.work_date),
            stock_moves::booked_at.eq(stock_move.booked_at),
            stock_moves::source_kind.eq(stock_move.source_kind),
            stock_moves::source_id.eq(stock_move.source_id),
            stock_moves::reverses_id.eq(stock_move.reverses_id),
        ))
        .execute(tx.conn())?;
    let material = materials::table.filter(
        materials::site_id
            .eq(scope.site_id())
            .and(materials::id.eq(stock_move.material_id)),
    );
    let changed = diesel::update(material)
        .set((
            materials::on_hand.eq(materials::on_hand + stock_move.quantity),
            materials::value_cents.eq(materials::value_cents + stock_move.value_cents),
            materials::version.eq(materials::version + 1),
        ))
        .execute(tx.conn())?;
    if changed == 0 {
        return Err(Error::NotFound);
    }
    Ok(())
}
