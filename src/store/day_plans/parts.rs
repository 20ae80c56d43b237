//! What a day plan is made of beside its orders: rounds, waterings, and what was not fitted.

use chrono::NaiveDate;
use diesel::prelude::*;
use serde::{Deserialize, Serialize};

use crate::store::columns::{Json, json, words};
use crate::store::dialect::each_backend;
use crate::store::orders::StepRow;
use crate::store::schema::{
    banks, courts, crews, day_plans, order_steps, order_tools, rounds, unfitted_visits, waterings,
};
use crate::store::{Conn, Instant, Result, Scope, Tx};

/// Rows one statement carries: SQLite takes some 32,000 values in one.
const ROWS_AT_ONCE: usize = 1_000;

/// Who of a crew begins on shorter work in the heat, as the plan was made for it.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Beginning {
    /// The people.
    pub people: Vec<Beginner>,
    /// The rests that this takes did not fit into the shift whole.
    pub cut: bool,
}

/// Somebody who is new, or back after time away.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Beginner {
    /// The person.
    pub person_id: i64,
    /// New to the work; else back after time away.
    pub is_new: bool,
    /// Which of their days on shift it is since, from 1.
    pub day: i64,
    /// How much of the hot hours they work, percent.
    pub share_pct: i64,
}

/// A crew's round as a plan makes it.
#[derive(Clone, Debug)]
pub struct NewRound {
    /// The plan.
    pub day_plan_id: i64,
    /// The crew.
    pub crew_id: i64,
    /// Its shift.
    pub shift_id: i64,
    /// When it leaves the shed.
    pub leaves_at: Instant,
    /// When it is back.
    pub returns_at: Instant,
    /// Codes of the tool classes it takes along.
    pub kit: Vec<String>,
    /// Who of it begins on shorter work in the heat.
    pub beginning: Option<Beginning>,
}

/// A round with its crew's name.
#[derive(Clone, Debug, Queryable)]
pub struct RoundOfPlan {
    /// Id.
    pub id: i64,
    /// The crew.
    pub crew_id: i64,
    /// Its name.
    pub crew: String,
    /// Its shift.
    pub shift_id: i64,
    /// When it leaves the shed.
    pub leaves_at: Instant,
    /// When it is back.
    pub returns_at: Instant,
    /// Codes of the tool classes it takes along.
    pub kit: Json<Vec<String>>,
    /// Who of it begins on shorter work in the heat.
    pub beginning: Option<Json<Beginning>>,
}

/// Adds a round; gives its id.
pub fn round_add(tx: &mut Tx<'_>, scope: &Scope, round: &NewRound) -> Result<i64> {
    Ok(diesel::insert_into(rounds::table)
        .values((
            rounds::site_id.eq(scope.site_id()),
            rounds::day_plan_id.eq(round.day_plan_id),
            rounds::crew_id.eq(round.crew_id),
            rounds::shift_id.eq(round.shift_id),
            rounds::leaves_at.eq(round.leaves_at),
            rounds::returns_at.eq(round.returns_at),
            rounds::kit.eq(json(&round.kit)?),
            rounds::beginning.eq(round.beginning.as_ref().map(json).transpose()?),
        ))
        .returning(rounds::id)
        .get_result(tx.conn())?)
}

/// Sets which tool classes a crew takes along on a round.
pub fn round_kit_set(tx: &mut Tx<'_>, scope: &Scope, id: i64, kit: &[String]) -> Result<()> {
    let round = rounds::table.filter(rounds::site_id.eq(scope.site_id()).and(rounds::id.eq(id)));
    diesel::update(round)
        .set(rounds::kit.eq(json(&kit)?))
        .execute(tx.conn())?;
    Ok(())
}

/// A plan's rounds, in the order of the crews.
pub fn rounds_of(conn: &mut Conn, scope: &Scope, plan: i64) -> Result<Vec<RoundOfPlan>> {
    Ok(rounds::table
        .inner_join(crews::table)
        .filter(
            rounds::site_id
                .eq(scope.site_id())
                .and(rounds::day_plan_id.eq(plan)),
        )
        .order((crews::position, crews::id))
        .select((
            rounds::id,
            rounds::crew_id,
            crews::name,
            rounds::shift_id,
            rounds::leaves_at,
            rounds::returns_at,
            rounds::kit,
            rounds::beginning,
        ))
        .load(conn)?)
}

/// Adds the steps of orders, and their tools as pairs of order and tool.
pub fn order_parts_add(
    tx: &mut Tx<'_>,
    scope: &Scope,
    steps: &[StepRow],
    tools: &[(i64, i64)],
) -> Result<()> {
    for some in steps.chunks(ROWS_AT_ONCE) {
        let rows: Vec<_> = some
            .iter()
            .map(|step| {
                (
                    order_steps::site_id.eq(scope.site_id()),
                    order_steps::order_id.eq(step.order_id),
                    order_steps::position.eq(step.position),
                    order_steps::care_task_id.eq(step.care_task_id),
                    order_steps::planned_s.eq(step.planned_s),
                    order_steps::standard_s.eq(step.standard_s),
                    order_steps::alone_s.eq(step.alone_s),
                )
            })
            .collect();
        let insert = diesel::insert_into(order_steps::table).values(rows);
        each_backend!(tx.conn(), inner => insert.execute(inner))?;
    }
    for some in tools.chunks(ROWS_AT_ONCE) {
        let rows: Vec<_> = some
            .iter()
            .map(|(order, tool)| {
                (
                    order_tools::site_id.eq(scope.site_id()),
                    order_tools::order_id.eq(*order),
                    order_tools::tool_id.eq(*tool),
                )
            })
            .collect();
        let insert = diesel::insert_into(order_tools::table).values(rows);
        each_backend!(tx.conn(), inner => insert.execute(inner))?;
    }
    Ok(())
}

words! {
    /// What a run of water is for.
    WateringKind {
        /// The soak after a turnaround.
        Soak = "soak",
        /// One of the night's spaced cycles.
        NightCycle = "night_cycle",
    }
}

/// A run of water as a plan lays it.
#[derive(Clone, Debug)]
pub struct NewWatering {
    /// The plan.
    pub day_plan_id: i64,
    /// The court.
    pub court_id: i64,
    /// The order it follows, where it is a soak.
    pub order_id: Option<i64>,
    /// What it is for.
    pub kind: WateringKind,
    /// From when.
    pub starts_at: Instant,
    /// Until when.
    pub ends_at: Instant,
    /// Its flow, ml/s.
    pub flow_mlps: i64,
    /// How much, ml.
    pub volume_ml: i64,
    /// The valve, where one was set up.
    pub valve_id: Option<i64>,
    /// Its number in the night.
    pub cycle: Option<i64>,
}

/// A planned run of water with its court's name.
#[derive(Clone, Debug, Queryable)]
pub struct WateringOfPlan {
    /// The court.
    pub court_id: i64,
    /// Its name.
    pub court: String,
    /// Its bank.
    pub bank_id: i64,
    /// What it is for.
    pub kind: WateringKind,
    /// From when.
    pub starts_at: Instant,
    /// Until when.
    pub ends_at: Instant,
    /// Its flow, ml/s.
    pub flow_mlps: i64,
    /// How much, ml.
    pub volume_ml: i64,
}

/// Adds planned runs of water.
pub fn waterings_add(tx: &mut Tx<'_>, scope: &Scope, runs: &[NewWatering]) -> Result<()> {
    for some in runs.chunks(ROWS_AT_ONCE) {
        let rows: Vec<_> = some
            .iter()
            .map(|run| {
                (
                    waterings::site_id.eq(scope.site_id()),
                    waterings::day_plan_id.eq(run.day_plan_id),
                    waterings::court_id.eq(run.court_id),
                    waterings::order_id.eq(run.order_id),
                    waterings::kind.eq(run.kind),
                    waterings::starts_at.eq(run.starts_at),
                    waterings::ends_at.eq(run.ends_at),
                    waterings::flow_mlps.eq(run.flow_mlps),
                    waterings::volume_ml.eq(run.volume_ml),
                    waterings::state.eq("planned"),
                    waterings::valve_id.eq(run.valve_id),
                    waterings::cycle.eq(run.cycle),
                )
            })
            .collect();
        let insert = diesel::insert_into(waterings::table).values(rows);
        each_backend!(tx.conn(), inner => insert.execute(inner))?;
    }
    Ok(())
}

/// A plan's waterings that were not withdrawn, in order of time.
pub fn waterings_of(conn: &mut Conn, scope: &Scope, plan: i64) -> Result<Vec<WateringOfPlan>> {
    Ok(waterings::table
        .inner_join(courts::table)
        .filter(
            waterings::site_id
                .eq(scope.site_id())
                .and(waterings::day_plan_id.eq(plan))
                .and(waterings::state.ne("withdrawn")),
        )
        .order((waterings::starts_at, courts::position, waterings::id))
        .select(WATERING)
        .load(conn)?)
}

/// The waterings of other dates' plans that reach into the time between the two instants.
pub fn waterings_reaching(
    conn: &mut Conn,
    scope: &Scope,
    date: NaiveDate,
    from: Instant,
    to: Instant,
) -> Result<Vec<WateringOfPlan>> {
    Ok(waterings::table
        .inner_join(courts::table)
        .inner_join(day_plans::table)
        .filter(
            waterings::site_id
                .eq(scope.site_id())
                .and(day_plans::work_date.ne(date))
                .and(waterings::state.eq_any(["planned", "run"]))
                .and(waterings::starts_at.lt(to))
                .and(waterings::ends_at.gt(from)),
        )
        .order((waterings::starts_at, waterings::id))
        .select(WATERING)
        .load(conn)?)
}

/// The columns of [`WateringOfPlan`].
const WATERING: (
    waterings::court_id,
    courts::name,
    courts::bank_id,
    waterings::kind,
    waterings::starts_at,
    waterings::ends_at,
    waterings::flow_mlps,
    waterings::volume_ml,
) = (
    waterings::court_id,
    courts::name,
    courts::bank_id,
    waterings::kind,
    waterings::starts_at,
    waterings::ends_at,
    waterings::flow_mlps,
    waterings::volume_ml,
);

/// Work that a plan could not fit.
#[derive(Clone, Debug)]
pub struct NewUnfitted {
    /// The plan.
    pub day_plan_id: i64,
    /// The court, or its bank.
    pub court_id: Option<i64>,
    /// The bank, or its court.
    pub bank_id: Option<i64>,
    /// The visit's name in the day problem.
    pub visit_key: String,
    /// What was to be done.
    pub title: String,
    /// Why it is left out.
    pub reason: String,
    /// From when it could have been done.
    pub opens_at: Instant,
    /// Until when.
    pub closes_at: Instant,
    /// Until when it is withheld, where that is known.
    pub until_at: Option<Instant>,
}

/// Unfitted work with the name of its place.
#[derive(Clone, Debug, Queryable)]
pub struct UnfittedOfPlan {
    /// The court's name, where it is work on one.
    pub court: Option<String>,
    /// The bank's name, where it is work on one.
    pub bank: Option<String>,
    /// What was to be done.
    pub title: String,
    /// Why it is left out.
    pub reason: String,
    /// From when it could have been done.
    pub opens_at: Instant,
    /// Until when.
    pub closes_at: Instant,
    /// Until when it is withheld, where that is known.
    pub until_at: Option<Instant>,
}

/// Notes what a plan could not fit.
pub fn unfitted_add(tx: &mut Tx<'_>, scope: &Scope, visits: &[NewUnfitted]) -> Result<()> {
    for some in visits.chunks(ROWS_AT_ONCE) {
        let rows: Vec<_> = some
            .iter()
            .map(|visit| {
                (
                    unfitted_visits::site_id.eq(scope.site_id()),
                    unfitted_visits::day_plan_id.eq(visit.day_plan_id),
                    unfitted_visits::court_id.eq(visit.court_id),
                    unfitted_visits::bank_id.eq(visit.bank_id),
                    unfitted_visits::visit_key.eq(&visit.visit_key),
                    unfitted_visits::title.eq(&visit.title),
                    unfitted_visits::reason.eq(&visit.reason),
                    unfitted_visits::opens_at.eq(visit.opens_at),
                    unfitted_visits::closes_at.eq(visit.closes_at),
                    unfitted_visits::until_at.eq(visit.until_at),
                )
            })
            .collect();
        let insert = diesel::insert_into(unfitted_visits::table).values(rows);
        each_backend!(tx.conn(), inner => insert.execute(inner))?;
    }
    Ok(())
}

/// What a plan could not fit, in order of time.
pub fn unfitted_of(conn: &mut Conn, scope: &Scope, plan: i64) -> Result<Vec<UnfittedOfPlan>> {
    Ok(unfitted_visits::table
        .left_join(courts::table)
        .left_join(banks::table.on(unfitted_visits::bank_id.eq(banks::id.nullable())))
        .filter(
            unfitted_visits::site_id
                .eq(scope.site_id())
                .and(unfitted_visits::day_plan_id.eq(plan)),
        )
        .order((unfitted_visits::opens_at, unfitted_visits::id))
        .select((
            courts::name.nullable(),
            banks::name.nullable(),
            unfitted_visits::title,
            unfitted_visits::reason,
            unfitted_visits::opens_at,
            unfitted_visits::closes_at,
            unfitted_visits::until_at,
        ))
        .load(conn)?)
}
