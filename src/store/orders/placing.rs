//! Where an order stands: its plan, its round, its place in it; and the orders that no plan makes.

use chrono::NaiveDate;
use diesel::prelude::*;

use super::{OrderEvent, OrderRow, OrderState};
use crate::store::schema::{order_events, work_orders};
use crate::store::{Conn, Result, Scope, Tx};

/// How the visits' names of orders that mend a defect begin; the defect's id follows.
pub const MEND: &str = "mend:";
/// How those of orders begin that do what another left; that order's id follows.
pub const REST: &str = "rest:";

/// Whether an order is one that no plan makes: a plan made anew does not know of it.
pub fn is_by_hand(order: &OrderRow) -> bool {
    order.visit_key.starts_with(MEND) || order.visit_key.starts_with(REST)
}

/// The last place in a round that is taken; 0 where it is empty.
pub fn last_position(conn: &mut Conn, scope: &Scope, round_id: i64) -> Result<i64> {
    let last: Option<i64> = work_orders::table
        .filter(
            work_orders::site_id
                .eq(scope.site_id())
                .and(work_orders::round_id.eq(round_id)),
        )
        .select(diesel::dsl::max(work_orders::position))
        .first(conn)?;
    Ok(last.unwrap_or(0))
}

/// Where an order is to stand.
#[derive(Clone, Copy, Debug)]
pub struct Placed {
    /// The day plan.
    pub day_plan_id: i64,
    /// Its date.
    pub work_date: NaiveDate,
    /// The round.
    pub round_id: i64,
    /// Its crew.
    pub crew_id: i64,
    /// The place in it.
    pub position: i64,
}

/// Puts an order elsewhere, in this state.
pub fn order_place(
    tx: &mut Tx<'_>,
    scope: &Scope,
    id: i64,
    to: &Placed,
    state: OrderState,
) -> Result<()> {
    diesel::update(
        work_orders::table.filter(
            work_orders::site_id
                .eq(scope.site_id())
                .and(work_orders::id.eq(id)),
        ),
    )
    .set((
        work_orders::day_plan_id.eq(to.day_plan_id),
        work_orders::work_date.eq(to.work_date),
        work_orders::round_id.eq(to.round_id),
        work_orders::crew_id.eq(to.crew_id),
        work_orders::position.eq(to.position),
        work_orders::state.eq(state),
        work_orders::version.eq(work_orders::version + 1),
    ))
    .execute(tx.conn())?;
    Ok(())
}

/// The orders of a plan that no plan makes and that were not withdrawn, in their order.
pub fn orders_by_hand(conn: &mut Conn, scope: &Scope, plan: i64) -> Result<Vec<OrderRow>> {
    Ok(work_orders::table
        .filter(
            work_orders::site_id
                .eq(scope.site_id())
                .and(work_orders::day_plan_id.eq(plan))
                .and(work_orders::state.ne(OrderState::Withdrawn))
                .and(
                    work_orders::visit_key
                        .like(format!("{MEND}%"))
                        .or(work_orders::visit_key.like(format!("{REST}%"))),
                ),
        )
        .order((work_orders::position, work_orders::id))
        .select(OrderRow::as_select())
        .load(conn)?)
}

/// The orders that do what an order left and were not withdrawn.
pub fn orders_following(conn: &mut Conn, scope: &Scope, order_id: i64) -> Result<Vec<OrderRow>> {
    Ok(work_orders::table
        .filter(
            work_orders::site_id
                .eq(scope.site_id())
                .and(work_orders::follows_id.eq(order_id))
                .and(work_orders::state.ne(OrderState::Withdrawn)),
        )
        .order(work_orders::id)
        .select(OrderRow::as_select())
        .load(conn)?)
}

/// The other orders of the same visit and date that were not withdrawn.
pub fn orders_of_visit(conn: &mut Conn, scope: &Scope, order: &OrderRow) -> Result<Vec<OrderRow>> {
    Ok(work_orders::table
        .filter(
            work_orders::site_id
                .eq(scope.site_id())
                .and(work_orders::work_date.eq(order.work_date))
                .and(work_orders::visit_key.eq(&order.visit_key))
                .and(work_orders::id.ne(order.id))
                .and(work_orders::state.ne(OrderState::Withdrawn)),
        )
        .order(work_orders::id)
        .select(OrderRow::as_select())
        .load(conn)?)
}

/// Whether an order was ever handed out.
pub fn order_was_issued(conn: &mut Conn, scope: &Scope, order_id: i64) -> Result<bool> {
    let issued = order_events::table.filter(
        order_events::site_id
            .eq(scope.site_id())
            .and(order_events::order_id.eq(order_id))
            .and(order_events::kind.eq(OrderEvent::Issued)),
    );
    Ok(diesel::select(diesel::dsl::exists(issued)).get_result(conn)?)
}
