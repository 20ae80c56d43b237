//! Planning runs: ask for one, watch it, stop it, take its plan. Planning itself happens outside
//! any transaction, on a thread of its own.

mod by_hand;
mod numbers;
mod proposal;
pub mod rest;
mod search;
mod taking;

use std::sync::Arc;

use chrono::{NaiveDate, TimeDelta};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::access::{Permit, PlanDay};
use super::day_build::build;
use super::error::Named;
use super::once::Once;
use super::{Error, Office, Result};
use crate::store::audit::{Deed, audit_append};
use crate::store::day_plans::runs::{
    self, NewRun, RunRow, RunState, run_add, run_plan, run_ready, runs_under_way,
};
use crate::store::day_plans::{PlanRow, PlanState, plan_in_force};
use crate::store::{Instant, Page, Paged, Scope, Tx};

pub use proposal::{Due, day_propose, is_open, proposal_due};
pub use search::{Limit, nearest_cent};
pub(super) use taking::orders_move;

/// How much longer than its limit a run may take before it counts as lost with its process.
const GRACE: TimeDelta = TimeDelta::seconds(60);

/// How to plan.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct RunAsk {
    /// How long to search for a better plan, 1 to 60 s.
    #[serde(default = "five")]
    #[schema(minimum = 1, maximum = 60, default = 5)]
    pub seconds: i64,
    /// Chooses among the searches, from 0 on.
    #[serde(default = "one")]
    #[schema(minimum = 0, default = 1)]
    pub seed: i64,
}

const fn five() -> i64 {
    5
}

const fn one() -> i64 {
    1
}

/// Asks for a run. It is begun at once, on a thread of its own; one run a site at a time.
pub fn run_ask(
    office: &Arc<Office>,
    permit: &Permit<PlanDay>,
    date: NaiveDate,
    ask: &RunAsk,
    once: &Once,
) -> Result<RunRow> {
    if !(1..=60).contains(&ask.seconds) {
        return Err(Error::refused("/seconds", "search for 1 to 60 seconds"));
    }
    let seed =
        u64::try_from(ask.seed).map_err(|_| Error::refused("/seed", "give a seed of 0 or more"))?;
    let user_id = asker(permit)?;
    let now = office.now();
    let built = office.db.read(|conn| build(conn, permit, date, now));
    let mut to_plan = None;
    let at_work = &office.at_work;
    let run = office.db.write(permit, |tx| {
        once.run(tx, permit, |tx| {
            not_issued(tx, permit, date)?;
            one_at_a_time(tx, permit)?;
            let built = built?;
            let place = at_work.place(permit.site_id())?;
            let run = run_add(
                tx,
                permit,
                &NewRun {
                    work_date: date,
                    seed: ask.seed,
                    limit_s: ask.seconds,
                    inputs_digest: &built.digest,
                    problem: &built.problem_text,
                    requested_by: Some(user_id),
                },
            )?;
            audit_append(
                tx,
                permit,
                &Deed {
                    verb: "asked_for",
                    subject: "plan_run",
                    id: run.id,
                    data: serde_json::json!({ "date": date, "inputs": run.inputs_digest }),
                },
            )?;
            to_plan = Some((built.problem, place));
            Ok(run)
        })
    })?;
    if let Some((problem, place)) = to_plan {
        let limit = Limit::seconds(ask.seconds);
        search::begin(office, permit, run.id, place, problem, seed, limit);
    }
    Ok(as_told(run, office.now()))
}

/// One run, as far as it is.
pub fn run_read(office: &Office, permit: &Permit<PlanDay>, id: i64) -> Result<RunRow> {
    let run = office
        .db
        .read(|conn| runs::run_read(conn, permit, id).named("planning run"))?;
    Ok(as_told(run, office.now()))
}

/// The runs of a date.
pub fn run_list(
    office: &Office,
    permit: &Permit<PlanDay>,
    date: NaiveDate,
    page: Page,
) -> Result<Paged<RunRow>> {
    let now = office.now();
    let rows = office
        .db
        .read(|conn| runs::run_list(conn, permit, date, page))?;
    Ok(rows.map(|run| as_told(run, now)))
}

/// Tells a run to stop with the best plan it has; it is ready a moment later.
pub fn run_stop(office: &Office, permit: &Permit<PlanDay>, id: i64, once: &Once) -> Result<RunRow> {
    office.db.write(permit, |tx| {
        once.run(tx, permit, |tx| {
            let now = tx.now();
            let run = runs::run_read(tx.conn(), permit, id).named("planning run")?;
            let run = as_told(run, now);
            if !under_way(&run) {
                return Err(Error::state(format!(
                    "this run is {}: there is nothing to stop",
                    run.state
                )));
            }
            runs::run_stop(tx, permit, id)?;
            audit_append(tx, permit, &Deed::plain("stopped", "plan_run", id))?;
            Ok(runs::run_read(tx.conn(), permit, id)?)
        })
    })
}

/// Takes the plan of a ready run: it becomes the day's plan, its orders planned. Only while
/// nothing has changed that the plan rests on.
pub fn run_take(office: &Office, permit: &Permit<PlanDay>, id: i64, once: &Once) -> Result<RunRow> {
    office.db.write(permit, |tx| {
        once.run(tx, permit, |tx| {
            let now = tx.now();
            let run = runs::run_read(tx.conn(), permit, id).named("planning run")?;
            let run = as_told(run, now);
            take(tx, permit, &run)?;
            Ok(runs::run_read(tx.conn(), permit, id)?)
        })
    })
}

/// A day that was planned in one go.
#[derive(Clone, Debug)]
pub struct PlannedDay {
    /// The day's plan.
    pub plan: PlanRow,
    /// The day problem, as JSON.
    pub problem_text: String,
    /// The planner's plan, as JSON.
    pub plan_text: String,
}

/// Plans a date and takes the plan, in the caller's own time.
pub fn plan_day(
    office: &Office,
    permit: &Permit<PlanDay>,
    date: NaiveDate,
    seed: u64,
    limit: &Limit,
) -> Result<PlannedDay> {
    let user_id = asker(permit)?;
    let now = office.now();
    let built = office.db.read(|conn| build(conn, permit, date, now))?;
    let found = search::search(built.problem, seed, limit, &mut |_| false)
        .map_err(|why| Error::state(why.to_string()))?;
    let plan = office.db.write(permit, |tx| {
        not_issued(tx, permit, date)?;
        let run = run_add(
            tx,
            permit,
            &NewRun {
                work_date: date,
                seed: i64::try_from(seed).unwrap_or(i64::MAX),
                limit_s: limit.whole_seconds(),
                inputs_digest: &built.digest,
                problem: &built.problem_text,
                requested_by: Some(user_id),
            },
        )?;
        let now = tx.now();
        run_ready(tx.conn(), permit, run.id, &found.as_stored(None), now)?;
        let run = runs::run_read(tx.conn(), permit, run.id)?;
        take(tx, permit, &run)
    })?;
    Ok(PlannedDay {
        plan,
        problem_text: built.problem_text,
        plan_text: found.text,
    })
}

fn take(tx: &mut Tx<'_>, permit: &Permit<PlanDay>, run: &RunRow) -> Result<PlanRow> {
    if run.state != RunState::Ready {
        return Err(Error::state(format!(
            "this run is {}: only a ready run can be taken",
            run.state
        )));
    }
    not_issued(tx, permit, run.work_date)?;
    let now = tx.now();
    let built = build(tx.conn(), permit, run.work_date, now)?;
    if built.digest != run.inputs_digest {
        return Err(Error::state(
            "something the plan rests on has changed since this run began (play, closures, \
             shifts, tools, courts or care): start a new run and take that one"
                .into(),
        ));
    }
    let text = run_plan(tx.conn(), permit, run.id)?;
    let plan = taking::plan_of(text.as_deref())?;
    taking::take(tx, permit, run, &built, &plan)
}

fn asker(scope: &Scope) -> Result<i64> {
    scope
        .user_id()
        .ok_or(Error::NotSignedIn("planning a day needs a signed-in user"))
}

fn not_issued(tx: &mut Tx<'_>, scope: &Scope, date: NaiveDate) -> Result<()> {
    let in_force = plan_in_force(tx.conn(), scope, date)?;
    if in_force.is_some_and(|plan| plan.state == PlanState::Issued) {
        return Err(Error::state(format!(
            "{date} is issued: its orders are with the crews, and an issued day is not planned anew; \
             POST days/{date}/replan plans what is left of it and says first what changes"
        )));
    }
    Ok(())
}

fn one_at_a_time(tx: &mut Tx<'_>, scope: &Scope) -> Result<()> {
    let now = tx.now();
    let mut all = runs_under_way(tx.conn(), scope)?.into_iter();
    match all.find(|run| !lost(run, now)) {
        None => Ok(()),
        Some(run) => Err(Error::state(format!(
            "planning run {} of {} is under way: stop it, or wait until it is ready",
            run.id, run.work_date
        ))),
    }
}

const fn under_way(run: &RunRow) -> bool {
    matches!(run.state, RunState::Waiting | RunState::Running)
}

/// Whether a run's process must have stopped while it was at work.
fn lost(run: &RunRow, now: Instant) -> bool {
    let since = run.started_at.unwrap_or(run.created_at).utc();
    let limit = TimeDelta::try_seconds(run.limit_s).unwrap_or_default();
    under_way(run) && now.utc() > since + limit + GRACE
}

/// The run as it is told: one whose process stopped has failed.
fn as_told(run: RunRow, now: Instant) -> RunRow {
    if !lost(&run, now) {
        return run;
    }
    RunRow {
        state: RunState::Failed,
        message: Some("the service stopped while this run was at work: start a new one".into()),
        ..run
    }
}
