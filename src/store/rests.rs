//! Rests: how long a court is shut after work that needs it. A rest stands and goes with its order.

use chrono::NaiveDate;
use diesel::prelude::*;

use super::db::Conn;
use super::orders::OrderState;
use super::schema::{rests, work_orders};
use super::{Instant, Result, Scope, Tx};

/// A time when a court rests after an order's work.
#[derive(Clone, Debug, Queryable, Selectable)]
#[diesel(table_name = rests)]
pub struct RestRow {
    /// The order.
    pub order_id: i64,
    /// The court.
    pub court_id: i64,
    /// From when.
    pub starts_at: Instant,
    /// Until when.
    pub ends_at: Instant,
    /// After what.
    pub reason: String,
}

/// The states of an order whose work is to be done, or is done.
const STANDING: [OrderState; 4] = [
    OrderState::Planned,
    OrderState::Issued,
    OrderState::UnderWay,
    OrderState::Finished,
];

/// The rests that lie, at least in part, between the two instants: by court, then by start. Those of `date`'s own
/// orders that are not finished are left out: planning the date anew makes them anew.
pub fn rests_between(
    conn: &mut Conn,
    scope: &Scope,
    from: Instant,
    to: Instant,
    date: NaiveDate,
) -> Result<Vec<RestRow>> {
    Ok(rests::table
        .inner_join(work_orders::table)
        .filter(
            rests::site_id
                .eq(scope.site_id())
                .and(rests::starts_at.lt(to))
                .and(rests::ends_at.gt(from))
                .and(work_orders::state.eq_any(STANDING))
                .and(
                    work_orders::work_date
                        .ne(date)
                        .or(work_orders::state.eq(OrderState::Finished)),
                ),
        )
        .order((rests::court_id, rests::starts_at, rests::id))
        .select(RestRow::as_select())
        .load(conn)?)
}

/// A rest to be added.
#[derive(Clone, Debug)]
pub struct NewRest {
    /// The order it follows.
    pub order_id: i64,
    /// The court.
    pub court_id: i64,
    /// How long, s.
    pub rest_s: i64,
    /// From when.
    pub starts_at: Instant,
    /// Until when.
    pub ends_at: Instant,
    /// After what.
    pub reason: String,
}

/// Adds a rest.
pub fn rest_add(tx: &mut Tx<'_>, scope: &Scope, rest: &NewRest) -> Result<()> {
    diesel::insert_into(rests::table)
        .values((
            rests::site_id.eq(scope.site_id()),
            rests::order_id.eq(rest.order_id),
            rests::court_id.eq(rest.court_id),
            rests::rest_s.eq(rest.rest_s),
            rests::starts_at.eq(rest.starts_at),
            rests::ends_at.eq(rest.ends_at),
            rests::reason.eq(&rest.reason),
        ))
        .execute(tx.conn())?;
    Ok(())
}

/// How long the court rests after an order, s; 0 where it does not.
pub fn rest_of(conn: &mut Conn, scope: &Scope, order_id: i64) -> Result<i64> {
    let rest: Option<i64> = rests::table
        .filter(
            rests::site_id
                .eq(scope.site_id())
                .and(rests::order_id.eq(order_id)),
        )
        .select(rests::rest_s)
        .first(conn)
        .optional()?;
    Ok(rest.unwrap_or(0))
}

/// Lays a rest where the work really ended.
pub fn rest_move(
    tx: &mut Tx<'_>,
    scope: &Scope,
    order_id: i64,
    starts_at: Instant,
    ends_at: Instant,
) -> Result<()> {
    let of_order = rests::site_id
        .eq(scope.site_id())
        .and(rests::order_id.eq(order_id));
    diesel::update(rests::table.filter(of_order))
        .set((rests::starts_at.eq(starts_at), rests::ends_at.eq(ends_at)))
        .execute(tx.conn())?;
    Ok(())
}
