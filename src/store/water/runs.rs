//! The runs of water: as planned, as told, as booked. A run of a valve over several courts is a row a court, of one plan,
//! valve and start.

use chrono::NaiveDate;
use diesel::dsl::sql;
use diesel::prelude::*;
use diesel::sql_types::BigInt;

use crate::store::columns::words;
use crate::store::day_plans::{PlanState, WateringKind};
use crate::store::orders::OrderState;
use crate::store::schema::{courts, day_plans, waterings, work_orders};
use crate::store::{Conn, Instant, Result, Scope, Tx};

words! {
    /// Who says whether a run came.
    ToldBy {
        /// A meter on the line.
        Meter = "meter",
        /// The controller's own record.
        Controller = "controller",
        /// Somebody on the opening walk.
        OpeningWalk = "opening_walk",
    }
}

/// A court's part of a run.
#[derive(Clone, Debug, Queryable)]
pub struct RunRow {
    /// Id.
    pub id: i64,
    /// The plan.
    pub day_plan_id: i64,
    /// The date the plan is of.
    pub work_date: NaiveDate,
    /// The court.
    pub court_id: i64,
    /// Its name.
    pub court: String,
    /// Its bank.
    pub bank_id: i64,
    /// The valve; none where the court's own sprinklers are meant.
    pub valve_id: Option<i64>,
    /// What it is for.
    pub kind: WateringKind,
    /// Its number in the night.
    pub cycle: Option<i64>,
    /// From when.
    pub starts_at: Instant,
    /// Until when.
    pub ends_at: Instant,
    /// Its part of the flow, ml/s.
    pub flow_mlps: i64,
    /// Its part of the planned water, ml.
    pub volume_ml: i64,
    /// Its part of the real water, ml.
    pub real_ml: Option<i64>,
    /// `planned`, `run`, `did_not_run` or `withdrawn`.
    pub state: String,
    /// Who said so.
    pub told_by: Option<ToldBy>,
    /// When.
    pub told_at: Option<Instant>,
    /// What of it is booked as cost, ml.
    pub booked_ml: Option<i64>,
    /// The run it stands in for, where that did not come.
    pub again_of_id: Option<i64>,
}

type Columns = (
    waterings::id,
    waterings::day_plan_id,
    day_plans::work_date,
    waterings::court_id,
    courts::name,
    courts::bank_id,
    waterings::valve_id,
    waterings::kind,
    waterings::cycle,
    waterings::starts_at,
    waterings::ends_at,
    waterings::flow_mlps,
    waterings::volume_ml,
    waterings::real_ml,
    waterings::state,
    waterings::told_by,
    waterings::told_at,
    waterings::booked_ml,
    waterings::again_of_id,
);

const COLUMNS: Columns = (
    waterings::id,
    waterings::day_plan_id,
    day_plans::work_date,
    waterings::court_id,
    courts::name,
    courts::bank_id,
    waterings::valve_id,
    waterings::kind,
    waterings::cycle,
    waterings::starts_at,
    waterings::ends_at,
    waterings::flow_mlps,
    waterings::volume_ml,
    waterings::real_ml,
    waterings::state,
    waterings::told_by,
    waterings::told_at,
    waterings::booked_ml,
    waterings::again_of_id,
);

/// A plan's runs that were not withdrawn, in order of time.
pub fn runs_of_plan(conn: &mut Conn, scope: &Scope, plan: i64) -> Result<Vec<RunRow>> {
    Ok(waterings::table
        .inner_join(courts::table)
        .inner_join(day_plans::table)
        .filter(
            waterings::site_id
                .eq(scope.site_id())
                .and(waterings::day_plan_id.eq(plan))
                .and(waterings::state.ne("withdrawn")),
        )
        .order((waterings::starts_at, courts::position, waterings::id))
        .select(COLUMNS)
        .load(conn)?)
}

/// One court's part of a run.
pub fn run_read(conn: &mut Conn, scope: &Scope, id: i64) -> Result<RunRow> {
    Ok(waterings::table
        .inner_join(courts::table)
        .inner_join(day_plans::table)
        .filter(
            waterings::site_id
                .eq(scope.site_id())
                .and(waterings::id.eq(id)),
        )
        .select(COLUMNS)
        .first(conn)?)
}

/// All courts' parts of the run that `run` is a part of, in order of id.
pub fn runs_beside(conn: &mut Conn, scope: &Scope, run: &RunRow) -> Result<Vec<RunRow>> {
    let mut query = waterings::table
        .inner_join(courts::table)
        .inner_join(day_plans::table)
        .filter(
            waterings::site_id
                .eq(scope.site_id())
                .and(waterings::day_plan_id.eq(run.day_plan_id))
                .and(waterings::starts_at.eq(run.starts_at))
                .and(waterings::kind.eq(run.kind)),
        )
        .into_boxed();
    query = match run.valve_id {
        Some(valve) => query.filter(waterings::valve_id.eq(valve)),
        None => query.filter(waterings::id.eq(run.id)),
    };
    Ok(query.order(waterings::id).select(COLUMNS).load(conn)?)
}

/// The runs of plans that were handed out that go with no order, that are over and not booked, oldest first, so many at
/// most.
pub fn runs_to_book(
    conn: &mut Conn,
    scope: &Scope,
    now: Instant,
    most: i64,
) -> Result<Vec<RunRow>> {
    Ok(waterings::table
        .inner_join(courts::table)
        .inner_join(day_plans::table)
        .filter(
            waterings::site_id
                .eq(scope.site_id())
                .and(waterings::booked_ml.is_null())
                .and(waterings::ends_at.le(now))
                .and(
                    waterings::kind
                        .eq(WateringKind::NightCycle)
                        .or(waterings::order_id
                            .is_null()
                            .and(waterings::valve_id.is_not_null())),
                )
                .and(waterings::state.eq_any(["planned", "run"]))
                .and(day_plans::state.ne(PlanState::Planned)),
        )
        .order((waterings::ends_at, waterings::id))
        .limit(most)
        .select(COLUMNS)
        .load(conn)?)
}

/// Whether there is one.
pub fn site_has_to_book(conn: &mut Conn, scope: &Scope, now: Instant) -> Result<bool> {
    Ok(!runs_to_book(conn, scope, now, 1)?.is_empty())
}

/// The work on some courts that is still to be done between the two instants, as court, start and end.
pub fn visits_between(
    conn: &mut Conn,
    scope: &Scope,
    on: &[i64],
    from: Instant,
    to: Instant,
) -> Result<Vec<(i64, Instant, Instant)>> {
    let rows: Vec<(Option<i64>, Instant, Instant)> = work_orders::table
        .filter(
            work_orders::site_id
                .eq(scope.site_id())
                .and(work_orders::court_id.eq_any(on))
                .and(work_orders::planned_start.lt(to))
                .and(work_orders::planned_end.gt(from))
                .and(work_orders::state.eq_any([
                    OrderState::Planned,
                    OrderState::Issued,
                    OrderState::UnderWay,
                ])),
        )
        .order((work_orders::planned_start, work_orders::id))
        .select((
            work_orders::court_id,
            work_orders::planned_start,
            work_orders::planned_end,
        ))
        .load(conn)?;
    let on_courts = rows.into_iter();
    Ok(on_courts
        .filter_map(|(court, start, end)| Some((court?, start, end)))
        .collect())
}

/// What is said of a court's part of a run.
#[derive(Clone, Copy, Debug)]
pub struct Told {
    /// Whether it came.
    pub ran: bool,
    /// Its part of the real water, ml.
    pub real_ml: i64,
    /// Who says so.
    pub by: ToldBy,
    /// When.
    pub at: Instant,
}

/// Notes what is said of a court's part of a run.
pub fn told_set(tx: &mut Tx<'_>, scope: &Scope, id: i64, told: &Told) -> Result<()> {
    let state = if told.ran { "run" } else { "did_not_run" };
    diesel::update(
        waterings::table.filter(
            waterings::site_id
                .eq(scope.site_id())
                .and(waterings::id.eq(id)),
        ),
    )
    .set((
        waterings::state.eq(state),
        waterings::real_ml.eq(told.real_ml),
        waterings::told_by.eq(told.by),
        waterings::told_at.eq(told.at),
    ))
    .execute(tx.conn())?;
    Ok(())
}

/// Notes how much of a court's part of a run is booked as cost; one whose time has passed unsaid counts as run.
pub fn water_booked(tx: &mut Tx<'_>, scope: &Scope, id: i64, booked_ml: i64) -> Result<()> {
    diesel::update(
        waterings::table.filter(
            waterings::site_id
                .eq(scope.site_id())
                .and(waterings::id.eq(id)),
        ),
    )
    .set(waterings::booked_ml.eq(booked_ml))
    .execute(tx.conn())?;
    Ok(())
}

/// Gives the soak of an order another time, where nobody has said what came of it.
pub fn soak_move(
    tx: &mut Tx<'_>,
    scope: &Scope,
    order: i64,
    from: Instant,
    to: Instant,
) -> Result<()> {
    diesel::update(
        waterings::table.filter(
            waterings::site_id
                .eq(scope.site_id())
                .and(waterings::order_id.eq(order))
                .and(waterings::state.eq("planned")),
        ),
    )
    .set((waterings::starts_at.eq(from), waterings::ends_at.eq(to)))
    .execute(tx.conn())?;
    Ok(())
}

/// Withdraws the soak of an order, where nobody has said what came of it.
pub fn soak_withdraw(tx: &mut Tx<'_>, scope: &Scope, order: i64) -> Result<()> {
    diesel::update(
        waterings::table.filter(
            waterings::site_id
                .eq(scope.site_id())
                .and(waterings::order_id.eq(order))
                .and(waterings::state.eq("planned")),
        ),
    )
    .set(waterings::state.eq("withdrawn"))
    .execute(tx.conn())?;
    Ok(())
}

/// Withdraws what a plan still plans of a valve's runs of one kind, for they are laid anew.
pub fn runs_withdraw(
    tx: &mut Tx<'_>,
    scope: &Scope,
    plan: i64,
    valve: i64,
    kind: WateringKind,
) -> Result<()> {
    diesel::update(
        waterings::table.filter(
            waterings::site_id
                .eq(scope.site_id())
                .and(waterings::day_plan_id.eq(plan))
                .and(waterings::valve_id.eq(valve))
                .and(waterings::kind.eq(kind))
                .and(waterings::state.eq("planned")),
        ),
    )
    .set(waterings::state.eq("withdrawn"))
    .execute(tx.conn())?;
    Ok(())
}

/// Lays a court's part of a run that did not come once more, at another time.
pub fn again_add(
    tx: &mut Tx<'_>,
    scope: &Scope,
    run: &RunRow,
    from: Instant,
    to: Instant,
) -> Result<i64> {
    Ok(diesel::insert_into(waterings::table)
        .values((
            waterings::site_id.eq(scope.site_id()),
            waterings::day_plan_id.eq(run.day_plan_id),
            waterings::court_id.eq(run.court_id),
            waterings::kind.eq(run.kind),
            waterings::starts_at.eq(from),
            waterings::ends_at.eq(to),
            waterings::flow_mlps.eq(run.flow_mlps),
            waterings::volume_ml.eq(run.volume_ml),
            waterings::state.eq("planned"),
            waterings::valve_id.eq(run.valve_id),
            waterings::cycle.eq(run.cycle),
            waterings::again_of_id.eq(run.id),
        ))
        .returning(waterings::id)
        .get_result(tx.conn())?)
}

/// Water of one court over some dates.
#[derive(Clone, Copy, Debug, Queryable)]
pub struct SumOfCourt {
    /// The court.
    pub court_id: i64,
    /// What it is for.
    pub kind: WateringKind,
    /// Runs that were not withdrawn.
    pub runs: i64,
    /// Planned, ml.
    pub planned_ml: i64,
    /// Real where it was told, else as planned where it ran or its time has passed, ml.
    pub used_ml: i64,
}

/// The water of each court and kind by the dates of the plans, both included, as it stands `now`.
pub fn water_sums(
    conn: &mut Conn,
    scope: &Scope,
    from: NaiveDate,
    to: NaiveDate,
) -> Result<Vec<SumOfCourt>> {
    Ok(waterings::table
        .inner_join(day_plans::table)
        .filter(
            waterings::site_id
                .eq(scope.site_id())
                .and(day_plans::work_date.between(from, to))
                .and(waterings::state.ne("withdrawn")),
        )
        .group_by((waterings::court_id, waterings::kind))
        .order((waterings::court_id, waterings::kind))
        .select((
            waterings::court_id,
            waterings::kind,
            sql::<BigInt>("CAST(COUNT(*) AS BIGINT)"),
            sql::<BigInt>("CAST(SUM(volume_ml) AS BIGINT)"),
            // What is booked is what was used: with an order, when told, or when its time had passed.
            sql::<BigInt>("CAST(SUM(COALESCE(booked_ml, 0)) AS BIGINT)"),
        ))
        .load(conn)?)
}
