//! Planning runs: what was asked for, how far it is, and the plan it found.

use chrono::NaiveDate;
use diesel::prelude::*;
use serde::{Deserialize, Serialize};

use crate::store::columns::words;
use crate::store::schema::plan_runs;
use crate::store::{Conn, Error, Instant, Page, Paged, Result, Scope, Tx};

words! {
    /// Where a planning run stands.
    RunState {
        /// Asked for, not begun.
        Waiting = "waiting",
        /// At work.
        Running = "running",
        /// Its plan can be taken.
        Ready = "ready",
        /// Its plan was taken.
        Taken = "taken",
        /// The day cannot be planned as it stands.
        Refused = "refused",
        /// It ended without a plan.
        Failed = "failed",
    }
}

/// A planning run, without the day problem and the plan it found.
#[derive(Clone, Debug, Queryable, Selectable, Serialize, Deserialize, utoipa::ToSchema)]
#[diesel(table_name = plan_runs)]
#[schema(as = PlanRun)]
pub struct RunRow {
    /// Id.
    pub id: i64,
    /// The site's own date it plans.
    pub work_date: NaiveDate,
    /// Where it stands.
    pub state: RunState,
    /// What it was seeded with: the same day, seed and time find much the same plan.
    pub seed: i64,
    /// How long it may search, s.
    pub limit_s: i64,
    /// SHA-256 of everything the plan rests on: it is taken only while this is unchanged.
    pub inputs_digest: String,
    /// What the best plan so far costs, cents; null before there is one.
    pub cost_cents: Option<i64>,
    /// No plan of the day can cost less, cents; null until it is ready.
    pub lower_bound_cents: Option<i64>,
    /// Whether it was told to stop.
    pub stop_asked: bool,
    /// Why it was refused or failed, or that it was ended early with the service.
    pub message: Option<String>,
    /// The user who asked for it; null where the office proposed the day by itself.
    pub requested_by: Option<i64>,
    /// When it was asked for.
    pub created_at: Instant,
    /// When it began.
    pub started_at: Option<Instant>,
    /// When it ended.
    pub ended_at: Option<Instant>,
}

/// A run as it is asked for.
#[derive(Clone, Debug)]
pub struct NewRun<'a> {
    /// The site's own date.
    pub work_date: NaiveDate,
    /// The seed.
    pub seed: i64,
    /// How long it may search, s.
    pub limit_s: i64,
    /// SHA-256 of what the plan rests on, in hexadecimal.
    pub inputs_digest: &'a str,
    /// The day problem, as JSON.
    pub problem: &'a str,
    /// Who asks; none where the office proposes the day by itself.
    pub requested_by: Option<i64>,
}

/// Adds a run in state `waiting`.
pub fn run_add(tx: &mut Tx<'_>, scope: &Scope, run: &NewRun<'_>) -> Result<RunRow> {
    let now = tx.now();
    let id = diesel::insert_into(plan_runs::table)
        .values((
            plan_runs::site_id.eq(scope.site_id()),
            plan_runs::work_date.eq(run.work_date),
            plan_runs::state.eq(RunState::Waiting),
            plan_runs::seed.eq(run.seed),
            plan_runs::limit_s.eq(run.limit_s),
            plan_runs::inputs_digest.eq(run.inputs_digest),
            plan_runs::problem.eq(run.problem),
            plan_runs::stop_asked.eq(false),
            plan_runs::requested_by.eq(run.requested_by),
            plan_runs::created_at.eq(now),
        ))
        .returning(plan_runs::id)
        .get_result(tx.conn())?;
    run_read(tx.conn(), scope, id)
}

/// One run of the site.
pub fn run_read(conn: &mut Conn, scope: &Scope, id: i64) -> Result<RunRow> {
    Ok(plan_runs::table
        .filter(
            plan_runs::site_id
                .eq(scope.site_id())
                .and(plan_runs::id.eq(id)),
        )
        .select(RunRow::as_select())
        .first(conn)?)
}

/// The runs of a date, in order of id.
pub fn run_list(
    conn: &mut Conn,
    scope: &Scope,
    date: NaiveDate,
    page: Page,
) -> Result<Paged<RunRow>> {
    let rows = plan_runs::table
        .filter(
            plan_runs::site_id
                .eq(scope.site_id())
                .and(plan_runs::work_date.eq(date))
                .and(plan_runs::id.gt(page.after)),
        )
        .order(plan_runs::id)
        .limit(page.fetch())
        .select(RunRow::as_select())
        .load(conn)?;
    Ok(page.of(rows, |run| run.id))
}

/// The runs of the site that wait or are at work, as far as the table knows.
pub fn runs_under_way(conn: &mut Conn, scope: &Scope) -> Result<Vec<RunRow>> {
    Ok(plan_runs::table
        .filter(
            plan_runs::site_id
                .eq(scope.site_id())
                .and(plan_runs::state.eq_any([RunState::Waiting, RunState::Running])),
        )
        .order(plan_runs::id)
        .select(RunRow::as_select())
        .load(conn)?)
}

/// The plan a run found, as JSON.
pub fn run_plan(conn: &mut Conn, scope: &Scope, id: i64) -> Result<Option<String>> {
    Ok(plan_runs::table
        .filter(
            plan_runs::site_id
                .eq(scope.site_id())
                .and(plan_runs::id.eq(id)),
        )
        .select(plan_runs::plan)
        .first(conn)?)
}

/// The day problem of a run and the plan it found, as JSON.
pub fn run_texts(conn: &mut Conn, scope: &Scope, id: i64) -> Result<(String, Option<String>)> {
    Ok(plan_runs::table
        .filter(
            plan_runs::site_id
                .eq(scope.site_id())
                .and(plan_runs::id.eq(id)),
        )
        .select((plan_runs::problem, plan_runs::plan))
        .first(conn)?)
}

/// The plan a run found, as JSON.
pub fn run_plan_text(conn: &mut Conn, scope: &Scope, id: i64) -> Result<Option<String>> {
    Ok(plan_runs::table
        .filter(
            plan_runs::site_id
                .eq(scope.site_id())
                .and(plan_runs::id.eq(id)),
        )
        .select(plan_runs::plan)
        .first(conn)?)
}

/// Notes that a waiting run begins; [`Error::Stale`] where it waits no more.
pub fn run_begin(conn: &mut Conn, scope: &Scope, id: i64, now: Instant) -> Result<()> {
    let rows = diesel::update(
        plan_runs::table.filter(
            plan_runs::site_id
                .eq(scope.site_id())
                .and(plan_runs::id.eq(id))
                .and(plan_runs::state.eq(RunState::Waiting)),
        ),
    )
    .set((
        plan_runs::state.eq(RunState::Running),
        plan_runs::started_at.eq(now),
    ))
    .execute(conn)?;
    if rows == 0 { Err(Error::Stale) } else { Ok(()) }
}

/// Notes what the best plan so far costs; gives whether the run was told to stop.
pub fn run_progress(conn: &mut Conn, scope: &Scope, id: i64, cost_cents: i64) -> Result<bool> {
    Ok(diesel::update(
        plan_runs::table.filter(
            plan_runs::site_id
                .eq(scope.site_id())
                .and(plan_runs::id.eq(id)),
        ),
    )
    .set(plan_runs::cost_cents.eq(cost_cents))
    .returning(plan_runs::stop_asked)
    .get_result(conn)?)
}

/// What a run found.
#[derive(Clone, Copy, Debug)]
pub struct RunFound<'a> {
    /// What else is to be known of it.
    pub message: Option<&'a str>,
    /// The plan, as JSON.
    pub plan: &'a str,
    /// What it costs, cents.
    pub cost_cents: i64,
    /// No plan of the day can cost less, cents.
    pub lower_bound_cents: i64,
}

/// Notes the plan that a run found.
pub fn run_ready(
    conn: &mut Conn,
    scope: &Scope,
    id: i64,
    found: &RunFound<'_>,
    now: Instant,
) -> Result<()> {
    diesel::update(
        plan_runs::table.filter(
            plan_runs::site_id
                .eq(scope.site_id())
                .and(plan_runs::id.eq(id)),
        ),
    )
    .set((
        plan_runs::state.eq(RunState::Ready),
        plan_runs::plan.eq(found.plan),
        plan_runs::message.eq(found.message),
        plan_runs::cost_cents.eq(found.cost_cents),
        plan_runs::lower_bound_cents.eq(found.lower_bound_cents),
        plan_runs::ended_at.eq(now),
    ))
    .execute(conn)?;
    Ok(())
}

/// Notes that a run ended without a plan, and why.
pub fn run_end(
    conn: &mut Conn,
    scope: &Scope,
    id: i64,
    state: RunState,
    message: &str,
    now: Instant,
) -> Result<()> {
    diesel::update(
        plan_runs::table.filter(
            plan_runs::site_id
                .eq(scope.site_id())
                .and(plan_runs::id.eq(id)),
        ),
    )
    .set((
        plan_runs::state.eq(state),
        plan_runs::message.eq(message),
        plan_runs::ended_at.eq(now),
    ))
    .execute(conn)?;
    Ok(())
}

/// Tells a run to stop with the best plan it has.
pub fn run_stop(tx: &mut Tx<'_>, scope: &Scope, id: i64) -> Result<()> {
    diesel::update(
        plan_runs::table.filter(
            plan_runs::site_id
                .eq(scope.site_id())
                .and(plan_runs::id.eq(id)),
        ),
    )
    .set(plan_runs::stop_asked.eq(true))
    .execute(tx.conn())?;
    Ok(())
}

/// Notes that a ready run's plan was taken; [`Error::Stale`] where it is not ready any more.
pub fn run_take(tx: &mut Tx<'_>, scope: &Scope, id: i64) -> Result<()> {
    let rows = diesel::update(
        plan_runs::table.filter(
            plan_runs::site_id
                .eq(scope.site_id())
                .and(plan_runs::id.eq(id))
                .and(plan_runs::state.eq(RunState::Ready)),
        ),
    )
    .set(plan_runs::state.eq(RunState::Taken))
    .execute(tx.conn())?;
    if rows == 0 { Err(Error::Stale) } else { Ok(()) }
}
