//! Day plans: what stands of a plan that was taken. The runs that make plans are in [`runs`].

pub mod inputs;
mod parts;
pub mod runs;

use chrono::NaiveDate;
use diesel::prelude::*;
use serde::{Deserialize, Serialize};

use super::columns::words;
use super::db::{Conn, Tx};
use super::orders::{MEND, OrderState, REST};
use super::schema::{day_plans, waterings, work_orders};
use super::{Error, Instant, Result, Scope};

pub use parts::{
    Beginner, Beginning, NewRound, NewUnfitted, NewWatering, RoundOfPlan, UnfittedOfPlan,
    WateringKind, WateringOfPlan, order_parts_add, round_add, round_kit_set, rounds_of,
    unfitted_add, unfitted_of, waterings_add, waterings_of, waterings_reaching,
};

words! {
    /// Where a day plan stands.
    PlanState {
        /// Taken; its orders are not handed out.
        Planned = "planned",
        /// Its orders are handed out.
        Issued = "issued",
        /// A later plan took its place.
        Replaced = "replaced",
    }
}

/// A day plan.
#[derive(Clone, Debug, Queryable, Selectable, Serialize, Deserialize)]
#[diesel(table_name = day_plans)]
pub struct PlanRow {
    /// Id.
    pub id: i64,
    /// The site's own date.
    pub work_date: NaiveDate,
    /// Where it stands.
    pub state: PlanState,
    /// The run it was made by.
    pub plan_run_id: i64,
    /// What it costs, cents.
    pub cost_cents: i64,
    /// No plan of the day can cost less, cents.
    pub lower_bound_cents: i64,
    /// When it was taken.
    pub created_at: Instant,
    /// When its orders were handed out.
    pub issued_at: Option<Instant>,
    /// Version.
    pub version: i64,
}

/// A day plan as it is taken.
#[derive(Clone, Debug)]
pub struct NewPlan {
    /// The site's own date.
    pub work_date: NaiveDate,
    /// The run it was made by.
    pub plan_run_id: i64,
    /// What it costs, cents.
    pub cost_cents: i64,
    /// No plan of the day can cost less, cents.
    pub lower_bound_cents: i64,
}

/// The plan in force for a date, if the date is planned.
pub fn plan_in_force(conn: &mut Conn, scope: &Scope, date: NaiveDate) -> Result<Option<PlanRow>> {
    Ok(day_plans::table
        .filter(
            day_plans::site_id
                .eq(scope.site_id())
                .and(day_plans::work_date.eq(date))
                .and(day_plans::state.ne(PlanState::Replaced)),
        )
        .select(PlanRow::as_select())
        .first(conn)
        .optional()?)
}

/// Adds a plan in state `planned`. The one in force before must have been replaced.
pub fn plan_add(tx: &mut Tx<'_>, scope: &Scope, plan: &NewPlan) -> Result<i64> {
    let now = tx.now();
    Ok(diesel::insert_into(day_plans::table)
        .values((
            day_plans::site_id.eq(scope.site_id()),
            day_plans::work_date.eq(plan.work_date),
            day_plans::state.eq(PlanState::Planned),
            day_plans::plan_run_id.eq(plan.plan_run_id),
            day_plans::cost_cents.eq(plan.cost_cents),
            day_plans::lower_bound_cents.eq(plan.lower_bound_cents),
            day_plans::created_at.eq(now),
            day_plans::version.eq(1),
        ))
        .returning(day_plans::id)
        .get_result(tx.conn())?)
}

/// Hands a planned plan out; [`Error::Stale`] where it is not in that state any more.
pub fn plan_issue(tx: &mut Tx<'_>, scope: &Scope, id: i64) -> Result<()> {
    let now = tx.now();
    plan_move(tx, scope, id, PlanState::Issued, Some(now))
}

/// Puts a planned plan out of force, its waterings with it; [`Error::Stale`] where it is not in
/// that state any more.
pub fn plan_replace(tx: &mut Tx<'_>, scope: &Scope, id: i64) -> Result<()> {
    plan_move(tx, scope, id, PlanState::Replaced, None)?;
    diesel::update(
        waterings::table.filter(
            waterings::site_id
                .eq(scope.site_id())
                .and(waterings::day_plan_id.eq(id))
                .and(waterings::state.eq("planned")),
        ),
    )
    .set(waterings::state.eq("withdrawn"))
    .execute(tx.conn())?;
    Ok(())
}

fn plan_move(
    tx: &mut Tx<'_>,
    scope: &Scope,
    id: i64,
    to: PlanState,
    issued_at: Option<Instant>,
) -> Result<()> {
    let rows = diesel::update(
        day_plans::table.filter(
            day_plans::site_id
                .eq(scope.site_id())
                .and(day_plans::id.eq(id))
                .and(day_plans::state.eq(PlanState::Planned)),
        ),
    )
    .set((
        day_plans::state.eq(to),
        day_plans::issued_at.eq(issued_at),
        day_plans::version.eq(day_plans::version + 1),
    ))
    .execute(tx.conn())?;
    if rows == 0 { Err(Error::Stale) } else { Ok(()) }
}

/// Moves a plan's orders that stand in state `planned` to `to`; gives their ids, in order. Orders that mend a defect wait to
/// be handed out one by one; those that no plan makes are not withdrawn with one.
pub fn plan_orders_move(
    tx: &mut Tx<'_>,
    scope: &Scope,
    plan: i64,
    to: OrderState,
) -> Result<Vec<i64>> {
    let stays: &[&str] = match to {
        OrderState::Withdrawn => &[MEND, REST],
        _ => &[MEND],
    };
    let stays: Vec<String> = stays.iter().map(|begins| format!("{begins}%")).collect();
    // The same word twice where there is but one.
    let (one, other) = (&stays[0], &stays[stays.len() - 1]);
    let mut ids: Vec<i64> = diesel::update(
        work_orders::table.filter(
            work_orders::site_id
                .eq(scope.site_id())
                .and(work_orders::day_plan_id.eq(plan))
                .and(work_orders::state.eq(OrderState::Planned))
                .and(work_orders::visit_key.not_like(one))
                .and(work_orders::visit_key.not_like(other)),
        ),
    )
    .set((
        work_orders::state.eq(to),
        work_orders::version.eq(work_orders::version + 1),
    ))
    .returning(work_orders::id)
    .get_results(tx.conn())?;
    ids.sort_unstable();
    Ok(ids)
}
