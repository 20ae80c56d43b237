//! The orders by which somebody opens valves and closes them again.

use chrono::NaiveDate;
use diesel::prelude::*;

use super::OrderState;
use crate::store::schema::{crews, work_orders};
use crate::store::{Conn, Instant, Result, Scope};

/// An order about a valve.
#[derive(Clone, Debug, Queryable)]
pub struct ValveOrder {
    /// Id.
    pub id: i64,
    /// Its day plan.
    pub day_plan_id: i64,
    /// The site's own date it belongs to.
    pub work_date: NaiveDate,
    /// The visit's name in the day problem, which says the valve.
    pub visit_key: String,
    /// Name of its crew.
    pub crew: String,
    /// Where it stands.
    pub state: OrderState,
    /// When the plan starts it.
    pub planned_start: Instant,
    /// When the plan ends it.
    pub planned_end: Instant,
    /// By when it must be done.
    pub due_at: Instant,
    /// When the crew started.
    pub started_at: Option<Instant>,
    /// When the crew gave it back.
    pub ended_at: Option<Instant>,
}

/// The orders of the dates from `first` to `last`, to be done or done, the names of whose visits begin so.
pub fn valve_orders(
    conn: &mut Conn,
    scope: &Scope,
    begins: &str,
    first: NaiveDate,
    last: NaiveDate,
) -> Result<Vec<ValveOrder>> {
    Ok(work_orders::table
        .inner_join(crews::table.on(work_orders::crew_id.eq(crews::id)))
        .filter(
            work_orders::site_id
                .eq(scope.site_id())
                .and(work_orders::work_date.between(first, last))
                .and(work_orders::visit_key.like(format!("{begins}%")))
                .and(work_orders::state.eq_any([
                    OrderState::Planned,
                    OrderState::Issued,
                    OrderState::UnderWay,
                    OrderState::Finished,
                ])),
        )
        .order((work_orders::planned_start, work_orders::id))
        .select((
            work_orders::id,
            work_orders::day_plan_id,
            work_orders::work_date,
            work_orders::visit_key,
            crews::name,
            work_orders::state,
            work_orders::planned_start,
            work_orders::planned_end,
            work_orders::due_at,
            work_orders::started_at,
            work_orders::ended_at,
        ))
        .load(conn)?)
}
