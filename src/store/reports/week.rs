//! What a week report is written from, read from the stored rows: dates are the site's own, both
//! ends included.

use chrono::NaiveDate;
use diesel::dsl::sql;
use diesel::prelude::*;
use diesel::sql_types::BigInt;

use super::super::day_plans::PlanState;
use super::super::db::Conn;
use super::super::holds::HoldReason;
use super::super::hours::HoursKind;
use super::super::orders::{Fit, OrderKind, OrderState, UndoneReason};
use super::super::schema::{
    banks, closures, cost_lines, courts, day_plans, hours_entries, materials, play_sessions,
    readings, stock_moves, tool_classes, tools, unfitted_visits, wear_parts, work_orders,
};
use super::super::stores::{MaterialUnit, StockMoveKind};
use super::super::{Instant, Result, Scope};

/// An order of the week.
#[derive(Clone, Debug, Queryable)]
pub struct WeekOrder {
    /// Its court's name, where it is work on one court.
    pub court: Option<String>,
    /// Its bank's name, where it is work on a whole bank.
    pub bank: Option<String>,
    /// Its visit's name in the day problem.
    pub visit_key: String,
    /// What it is for.
    pub kind: OrderKind,
    /// Where it stands.
    pub state: OrderState,
    /// By when it must be done.
    pub due_at: Instant,
    /// When it was given back.
    pub ended_at: Option<Instant>,
    /// Why it was left undone.
    pub undone_reason: Option<UndoneReason>,
    /// The same in the crew's own words.
    pub undone_note: Option<String>,
}

/// The orders of these dates that were not withdrawn, in order of time.
pub fn week_orders(
    conn: &mut Conn,
    scope: &Scope,
    from: NaiveDate,
    to: NaiveDate,
) -> Result<Vec<WeekOrder>> {
    Ok(work_orders::table
        .left_join(courts::table.on(work_orders::court_id.eq(courts::id.nullable())))
        .left_join(banks::table.on(work_orders::bank_id.eq(banks::id.nullable())))
        .filter(
            work_orders::site_id
                .eq(scope.site_id())
                .and(work_orders::work_date.between(from, to))
                .and(work_orders::state.ne(OrderState::Withdrawn)),
        )
        .order((work_orders::due_at, work_orders::id))
        .select((
            courts::name.nullable(),
            banks::name.nullable(),
            work_orders::visit_key,
            work_orders::kind,
            work_orders::state,
            work_orders::due_at,
            work_orders::ended_at,
            work_orders::undone_reason,
            work_orders::undone_note,
        ))
        .load(conn)?)
}

/// A plan in force in the week; where it could not fit all work in, a row for each such work.
#[derive(Clone, Debug, Queryable)]
pub struct PlanOfWeek {
    /// The site's own date it is for.
    pub work_date: NaiveDate,
    /// What it could not fit in: its name in the day problem.
    pub visit_key: Option<String>,
    /// Name of the court that was for, where it was work on one court.
    pub court: Option<String>,
    /// Name of the bank, where it was work on a whole bank.
    pub bank: Option<String>,
    /// Why it did not fit: a reason of the day plan.
    pub reason: Option<String>,
    /// Until when it could have been done.
    pub closes_at: Option<Instant>,
}

/// The plans in force for these dates, with what they could not fit in, in order of date.
pub fn week_plans(
    conn: &mut Conn,
    scope: &Scope,
    from: NaiveDate,
    to: NaiveDate,
) -> Result<Vec<PlanOfWeek>> {
    Ok(day_plans::table
        .left_join(unfitted_visits::table)
        .left_join(courts::table.on(unfitted_visits::court_id.eq(courts::id.nullable())))
        .left_join(banks::table.on(unfitted_visits::bank_id.eq(banks::id.nullable())))
        .filter(
            day_plans::site_id
                .eq(scope.site_id())
                .and(day_plans::work_date.between(from, to))
                .and(day_plans::state.ne(PlanState::Replaced)),
        )
        .order((day_plans::work_date, unfitted_visits::id))
        .select((
            day_plans::work_date,
            unfitted_visits::visit_key.nullable(),
            courts::name.nullable(),
            banks::name.nullable(),
            unfitted_visits::reason.nullable(),
            unfitted_visits::closes_at.nullable(),
        ))
        .load(conn)?)
}

/// A play session that ended.
#[derive(Clone, Debug, Queryable)]
pub struct WeekSession {
    /// Its court's name.
    pub court: String,
    /// When it ended.
    pub ends_at: Instant,
}

/// The play sessions that ended from `from` up to, but without, `to`, in order of time. One that
/// ended while its court was shut is left out: nobody waited for that court.
pub fn sessions_ended(
    conn: &mut Conn,
    scope: &Scope,
    from: Instant,
    to: Instant,
) -> Result<Vec<WeekSession>> {
    let shut = closures::table.filter(
        closures::site_id
            .eq(scope.site_id())
            .and(closures::court_id.eq(play_sessions::court_id))
            .and(closures::cancelled_at.is_null())
            .and(closures::starts_at.lt(play_sessions::ends_at))
            .and(closures::ends_at.ge(play_sessions::ends_at)),
    );
    Ok(play_sessions::table
        .inner_join(courts::table)
        .filter(
            play_sessions::site_id
                .eq(scope.site_id())
                .and(play_sessions::cancelled_at.is_null())
                .and(play_sessions::ends_at.ge(from))
                .and(play_sessions::ends_at.lt(to)),
        )
        .filter(diesel::dsl::not(diesel::dsl::exists(shut)))
        .order((play_sessions::ends_at, play_sessions::id))
        .select((courts::name, play_sessions::ends_at))
        .load(conn)?)
}

/// A stretch of somebody's paid time.
#[derive(Clone, Debug, Queryable)]
pub struct WeekHours {
    /// What it went into.
    pub kind: HoursKind,
    /// From when.
    pub starts_at: Instant,
    /// Until when.
    pub ends_at: Instant,
    /// The entry it takes back, where it takes one back.
    pub reverses_id: Option<i64>,
}

/// The hours entries of these dates.
pub fn week_hours(
    conn: &mut Conn,
    scope: &Scope,
    from: NaiveDate,
    to: NaiveDate,
) -> Result<Vec<WeekHours>> {
    Ok(hours_entries::table
        .filter(
            hours_entries::site_id
                .eq(scope.site_id())
                .and(hours_entries::work_date.between(from, to)),
        )
        .order(hours_entries::id)
        .select((
            hours_entries::kind,
            hours_entries::starts_at,
            hours_entries::ends_at,
            hours_entries::reverses_id,
        ))
        .load(conn)?)
}

/// A material as it stands now.
#[derive(Clone, Debug, Queryable)]
pub struct WeekMaterial {
    /// Id.
    pub id: i64,
    /// Name.
    pub name: String,
    /// What it is counted in.
    pub unit: MaterialUnit,
    /// What it is handed out in.
    pub pack_name: String,
    /// How much one of those holds, in its unit.
    pub pack_quantity: i64,
    /// How much is there, in its unit.
    pub on_hand: i64,
}

/// The site's materials, by name.
pub fn week_materials(conn: &mut Conn, scope: &Scope) -> Result<Vec<WeekMaterial>> {
    Ok(materials::table
        .filter(materials::site_id.eq(scope.site_id()))
        .order((materials::name, materials::id))
        .select((
            materials::id,
            materials::name,
            materials::unit,
            materials::pack_name,
            materials::pack_quantity,
            materials::on_hand,
        ))
        .load(conn)?)
}

/// What moved of one material in one way on a day.
#[derive(Clone, Debug, Queryable)]
pub struct MovesOfDay {
    /// The material.
    pub material_id: i64,
    /// In which way.
    pub kind: StockMoveKind,
    /// The site's own date.
    pub work_date: NaiveDate,
    /// How much, in its unit; below zero where it went out.
    pub quantity: i64,
    /// What that was worth, cents; below zero where it went out.
    pub value_cents: i64,
}

/// What moved from `from` on, by material, way and day.
pub fn moves_by_day(conn: &mut Conn, scope: &Scope, from: NaiveDate) -> Result<Vec<MovesOfDay>> {
    Ok(stock_moves::table
        .filter(
            stock_moves::site_id
                .eq(scope.site_id())
                .and(stock_moves::work_date.ge(from)),
        )
        .group_by((
            stock_moves::material_id,
            stock_moves::kind,
            stock_moves::work_date,
        ))
        .order((
            stock_moves::material_id,
            stock_moves::kind,
            stock_moves::work_date,
        ))
        .select((
            stock_moves::material_id,
            stock_moves::kind,
            stock_moves::work_date,
            // diesel's own SUM of 64-bit numbers is NUMERIC, which the common connection has not.
            sql::<BigInt>("CAST(SUM(quantity) AS BIGINT)"),
            sql::<BigInt>("CAST(SUM(value_cents) AS BIGINT)"),
        ))
        .load(conn)?)
}

/// What a court cost on a day.
#[derive(Clone, Debug, Queryable)]
pub struct CostOfDay {
    /// The court.
    pub court_id: i64,
    /// The site's own date.
    pub work_date: NaiveDate,
    /// Cents.
    pub cents: i64,
}

/// What each court cost on each of these dates; what has no line has no row.
pub fn cost_by_day(
    conn: &mut Conn,
    scope: &Scope,
    from: NaiveDate,
    to: NaiveDate,
) -> Result<Vec<CostOfDay>> {
    Ok(cost_lines::table
        .filter(
            cost_lines::site_id
                .eq(scope.site_id())
                .and(cost_lines::work_date.between(from, to)),
        )
        .group_by((cost_lines::court_id, cost_lines::work_date))
        .order((cost_lines::court_id, cost_lines::work_date))
        .select((
            cost_lines::court_id,
            cost_lines::work_date,
            sql::<BigInt>("CAST(SUM(cents) AS BIGINT)"),
        ))
        .load(conn)?)
}

/// A measured part of a tool.
#[derive(Clone, Debug, Queryable)]
pub struct WeekPart {
    /// Number of its tool.
    pub tool: String,
    /// Name of the tool's class.
    pub class: String,
    /// Its length when new, µm.
    pub start_um: Option<i64>,
    /// The length at which it is worn out, µm.
    pub limit_um: i64,
    /// Its newest reading up to the date, µm.
    pub length_um: Option<i64>,
    /// When that was measured.
    pub measured_on: Option<NaiveDate>,
}

/// The parts with a wear limit that were on a tool on `on`, each with its newest reading up to
/// then, by tool.
pub fn week_parts(conn: &mut Conn, scope: &Scope, on: NaiveDate) -> Result<Vec<WeekPart>> {
    let newest = || {
        readings::table
            .filter(
                readings::site_id
                    .eq(scope.site_id())
                    .and(readings::wear_part_id.eq(wear_parts::id))
                    .and(readings::taken_back_at.is_null())
                    .and(readings::measured_on.le(on)),
            )
            .order((readings::measured_on.desc(), readings::id.desc()))
            .limit(1)
    };
    Ok(wear_parts::table
        .inner_join(tools::table.inner_join(tool_classes::table))
        .filter(
            wear_parts::site_id
                .eq(scope.site_id())
                .and(wear_parts::limit_um.is_not_null())
                .and(wear_parts::fitted_on.le(on))
                .and(
                    wear_parts::retired_on
                        .is_null()
                        .or(wear_parts::retired_on.gt(on)),
                ),
        )
        .order((tools::number, wear_parts::id))
        .select((
            tools::number,
            tool_classes::name,
            wear_parts::start_um,
            wear_parts::limit_um.assume_not_null(),
            newest().select(readings::length_um).single_value(),
            newest().select(readings::measured_on).single_value(),
        ))
        .load(conn)?)
}

/// What was last said of a court.
#[derive(Clone, Debug, Queryable)]
pub struct CourtFit {
    /// Its name.
    pub court: String,
    /// What was said.
    pub fit: Fit,
    /// When.
    pub said_at: Instant,
    /// Until when it is not fit yet.
    pub until: Option<Instant>,
    /// Why it is held, as it was picked.
    pub hold_reason: Option<HoldReason>,
    /// The same in the crew's own words.
    pub reason: Option<String>,
}

/// What the crews last said of each court before `before`, by the courts' order; a court of which
/// nothing was ever said is left out.
pub fn fit_newest(conn: &mut Conn, scope: &Scope, before: Instant) -> Result<Vec<CourtFit>> {
    let other = diesel::alias!(work_orders as other);
    let newest = other
        .filter(
            other
                .field(work_orders::site_id)
                .eq(scope.site_id())
                .and(other.field(work_orders::court_id).eq(work_orders::court_id))
                .and(other.field(work_orders::fit).is_not_null())
                .and(other.field(work_orders::ended_at).lt(before)),
        )
        .order((
            other.field(work_orders::ended_at).desc(),
            other.field(work_orders::id).desc(),
        ))
        .limit(1)
        .select(other.field(work_orders::id))
        .single_value();
    Ok(work_orders::table
        .inner_join(courts::table)
        .filter(
            work_orders::site_id
                .eq(scope.site_id())
                .and(work_orders::fit.is_not_null())
                .and(work_orders::ended_at.lt(before))
                .and(work_orders::id.nullable().eq(newest)),
        )
        .order((courts::position, courts::id))
        .select((
            courts::name,
            work_orders::fit.assume_not_null(),
            work_orders::ended_at.assume_not_null(),
            work_orders::fit_until,
            work_orders::fit_hold_reason,
            work_orders::fit_reason,
        ))
        .load(conn)?)
}
