//! Each time the rest of a day was planned anew, and how its orders went over to the new plan.

use chrono::NaiveDate;
use diesel::prelude::*;

use super::columns::{Json, json};
use super::day_plans::PlanState;
use super::db::{Conn, Tx};
use super::orders::{OrderState, StepRow};
use super::schema::{
    day_plans, day_replans, order_steps, order_tools, users, waterings, work_orders,
};
use super::{Error, Instant, Page, Paged, Result, Scope};

/// A replan as it is kept; its moves as JSON.
#[derive(Clone, Debug, Queryable)]
pub struct ReplanRow {
    /// Id.
    pub id: i64,
    /// The plan it made.
    pub day_plan_id: i64,
    /// What happened.
    pub because: String,
    /// What the rest of the day cost before, cents.
    pub cost_before_cents: i64,
    /// What it costs after, cents.
    pub cost_cents: i64,
    /// What became of the visits.
    pub moves: Json<serde_json::Value>,
    /// Who took it.
    pub by: String,
    /// When it was taken.
    pub created_at: Instant,
}

/// A replan to be kept.
#[derive(Clone, Debug)]
pub struct NewReplan<'a> {
    /// The site's own date.
    pub work_date: NaiveDate,
    /// The plan it made.
    pub day_plan_id: i64,
    /// What happened.
    pub because: &'a str,
    /// What the rest of the day cost before, cents.
    pub cost_before_cents: i64,
    /// What it costs after, cents.
    pub cost_cents: i64,
    /// What became of the visits.
    pub moves: serde_json::Value,
    /// Who took it.
    pub user_id: i64,
}

/// Keeps a replan; gives its id.
pub fn replan_add(tx: &mut Tx<'_>, scope: &Scope, new: &NewReplan<'_>) -> Result<i64> {
    let now = tx.now();
    Ok(diesel::insert_into(day_replans::table)
        .values((
            day_replans::site_id.eq(scope.site_id()),
            day_replans::work_date.eq(new.work_date),
            day_replans::day_plan_id.eq(new.day_plan_id),
            day_replans::because.eq(new.because),
            day_replans::cost_before_cents.eq(new.cost_before_cents),
            day_replans::cost_cents.eq(new.cost_cents),
            day_replans::moves.eq(json(&new.moves)?),
            day_replans::user_id.eq(new.user_id),
            day_replans::created_at.eq(now),
        ))
        .returning(day_replans::id)
        .get_result(tx.conn())?)
}

/// The replans of a date that were taken after `since`, in order of id.
pub fn replan_list(
    conn: &mut Conn,
    scope: &Scope,
    date: NaiveDate,
    since: Option<Instant>,
    page: Page,
) -> Result<Paged<ReplanRow>> {
    let mut query = day_replans::table
        .inner_join(users::table)
        .filter(
            day_replans::site_id
                .eq(scope.site_id())
                .and(day_replans::work_date.eq(date))
                .and(day_replans::id.gt(page.after)),
        )
        .into_boxed();
    if let Some(since) = since {
        query = query.filter(day_replans::created_at.gt(since));
    }
    let rows = query
        .order(day_replans::id)
        .limit(page.fetch())
        .select((
            day_replans::id,
            day_replans::day_plan_id,
            day_replans::because,
            day_replans::cost_before_cents,
            day_replans::cost_cents,
            day_replans::moves,
            users::name,
            day_replans::created_at,
        ))
        .load(conn)?;
    Ok(page.of(rows, |replan: &ReplanRow| replan.id))
}

/// Puts a plan out of force, issued or not, where it still has this version; its waterings that are still to
/// come are withdrawn, but those of the orders `kept`. [`Error::Stale`] where somebody was faster.
pub fn plan_give_way(
    tx: &mut Tx<'_>,
    scope: &Scope,
    id: i64,
    version: i64,
    kept: &[i64],
) -> Result<()> {
    let rows = diesel::update(
        day_plans::table.filter(
            day_plans::site_id
                .eq(scope.site_id())
                .and(day_plans::id.eq(id))
                .and(day_plans::version.eq(version))
                .and(day_plans::state.ne(PlanState::Replaced)),
        ),
    )
    .set((
        day_plans::state.eq(PlanState::Replaced),
        day_plans::version.eq(day_plans::version + 1),
    ))
    .execute(tx.conn())?;
    if rows == 0 {
        return Err(Error::Stale);
    }
    let now = tx.now();
    diesel::update(
        waterings::table.filter(
            waterings::site_id
                .eq(scope.site_id())
                .and(waterings::day_plan_id.eq(id))
                .and(waterings::state.eq("planned"))
                .and(waterings::starts_at.ge(now))
                .and(
                    waterings::order_id
                        .is_null()
                        .or(waterings::order_id.ne_all(kept)),
                ),
        ),
    )
    .set(waterings::state.eq("withdrawn"))
    .execute(tx.conn())?;
    Ok(())
}

/// Carries what is left of a plan's waterings over to the plan that took its place.
pub fn waterings_carry(tx: &mut Tx<'_>, scope: &Scope, from: i64, to: i64) -> Result<()> {
    diesel::update(
        waterings::table.filter(
            waterings::site_id
                .eq(scope.site_id())
                .and(waterings::day_plan_id.eq(from))
                .and(waterings::state.ne("withdrawn")),
        ),
    )
    .set(waterings::day_plan_id.eq(to))
    .execute(tx.conn())?;
    Ok(())
}

/// Says of a new plan that its orders are with the crews since `issued_at`.
pub fn plan_is_issued(
    tx: &mut Tx<'_>,
    scope: &Scope,
    id: i64,
    issued_at: Option<Instant>,
) -> Result<()> {
    diesel::update(
        day_plans::table.filter(
            day_plans::site_id
                .eq(scope.site_id())
                .and(day_plans::id.eq(id)),
        ),
    )
    .set((
        day_plans::state.eq(PlanState::Issued),
        day_plans::issued_at.eq(issued_at),
    ))
    .execute(tx.conn())?;
    Ok(())
}

/// Where an order stands in its new plan.
#[derive(Clone, Copy, Debug)]
pub struct Carried {
    /// The order.
    pub order_id: i64,
    /// The new plan.
    pub day_plan_id: i64,
    /// The round there.
    pub round_id: i64,
    /// Its place in it, from 1.
    pub position: i64,
    /// When it starts and ends, and by when it must be done; none where it stays as it is.
    pub times: Option<(Instant, Instant, Instant)>,
}

/// Carries an order over to a new plan.
pub fn order_carry(tx: &mut Tx<'_>, scope: &Scope, carried: &Carried) -> Result<()> {
    let of_order = work_orders::table.filter(
        work_orders::site_id
            .eq(scope.site_id())
            .and(work_orders::id.eq(carried.order_id)),
    );
    diesel::update(of_order)
        .set((
            work_orders::day_plan_id.eq(carried.day_plan_id),
            work_orders::round_id.eq(carried.round_id),
            work_orders::position.eq(carried.position),
        ))
        .execute(tx.conn())?;
    if let Some((start, end, due)) = carried.times {
        diesel::update(of_order)
            .set((
                work_orders::planned_start.eq(start),
                work_orders::planned_end.eq(end),
                work_orders::due_at.eq(due),
                work_orders::version.eq(work_orders::version + 1),
            ))
            .execute(tx.conn())?;
    }
    Ok(())
}

/// Gives an order that was not begun another state.
pub fn order_state_set(
    tx: &mut Tx<'_>,
    scope: &Scope,
    order_id: i64,
    state: OrderState,
) -> Result<()> {
    diesel::update(
        work_orders::table.filter(
            work_orders::site_id
                .eq(scope.site_id())
                .and(work_orders::id.eq(order_id)),
        ),
    )
    .set((
        work_orders::state.eq(state),
        work_orders::version.eq(work_orders::version + 1),
    ))
    .execute(tx.conn())?;
    Ok(())
}

/// Says how long the steps of an order that was not begun take the hands that are left.
pub fn order_steps_retime(tx: &mut Tx<'_>, scope: &Scope, steps: &[StepRow]) -> Result<()> {
    for step in steps {
        diesel::update(
            order_steps::table.filter(
                order_steps::site_id
                    .eq(scope.site_id())
                    .and(order_steps::order_id.eq(step.order_id))
                    .and(order_steps::position.eq(step.position)),
            ),
        )
        .set((
            order_steps::planned_s.eq(step.planned_s),
            order_steps::standard_s.eq(step.standard_s),
        ))
        .execute(tx.conn())?;
    }
    Ok(())
}

/// Gives an order that was not begun these tools instead of those it has.
pub fn order_tools_swap(
    tx: &mut Tx<'_>,
    scope: &Scope,
    order_id: i64,
    tools: &[i64],
) -> Result<()> {
    diesel::delete(
        order_tools::table.filter(
            order_tools::site_id
                .eq(scope.site_id())
                .and(order_tools::order_id.eq(order_id)),
        ),
    )
    .execute(tx.conn())?;
    for tool in tools {
        super::orders::order_tool_add(tx, scope, order_id, *tool)?;
    }
    Ok(())
}
