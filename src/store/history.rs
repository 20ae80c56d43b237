//! Work that was done before the office kept its books, many rows at a time: plans, orders with
//! their parts and events, water, stock moves. Live work goes through the doors of each subject.

use std::collections::HashMap;

use chrono::NaiveDate;
use diesel::prelude::*;

use super::cost::{NewCostLine, TotalKind, TotalRow, cost_lines_add};
use super::db::{Conn, Tx};
use super::dialect::each_backend;
use super::hours::{NewHours, hours_add};
use super::orders::{Direction, Fit, OrderEvent, OrderKind, OrderState, UndoneReason};
use super::schema::{
    closures, day_plans, materials, memberships, order_events, order_steps, order_tools, plan_runs,
    rounds, running_totals, stock_moves, times_taken, unfitted_visits, waterings, work_orders,
};
use super::stores::StockMoveKind;
use super::{Instant, Result, Role, Scope};

/// Rows a statement: enough that a statement is worth its preparing, few enough for what either
/// engine takes as parameters of one (SQLite 32,766, PostgreSQL 65,535).
const ROWS: usize = 400;

/// Declares the rows of one table as they stand in the past, and the door that adds them.
macro_rules! past {
    ($(
        $(#[$meta:meta])*
        $row:ident in $table:ident by $add:ident {
            $($(#[$fmeta:meta])* $field:ident: $type:ty,)+
        }
    )+) => {$(
        $(#[$meta])*
        #[derive(Clone, Debug, Insertable)]
        #[diesel(table_name = $table, treat_none_as_default_value = false)]
        pub struct $row {
            $($(#[$fmeta])* pub $field: $type,)+
        }

        /// Adds the rows.
        pub fn $add(tx: &mut Tx<'_>, scope: &Scope, rows: &[$row]) -> Result<()> {
            for some in rows.chunks(ROWS) {
                let of_site: Vec<_> =
                    some.iter().map(|row| ($table::site_id.eq(scope.site_id()), row)).collect();
                each_backend!(tx.conn(), inner => {
                    diesel::insert_into($table::table).values(of_site).execute(inner)
                })?;
            }
            Ok(())
        }
    )+};
}

past! {
    /// A court shut in the past.
    PastClosure in closures by closures_add {
        /// The court.
        court_id: i64,
        /// From when.
        starts_at: Instant,
        /// Until when.
        ends_at: Instant,
        /// Why.
        reason: String,
    }

    /// A planning run whose plan was taken.
    PastRun in plan_runs by plan_runs_add {
        /// The site's own date.
        work_date: NaiveDate,
        /// Where it stands.
        state: &'static str,
        /// What chose among the searches.
        seed: i64,
        /// How long it searched, s.
        limit_s: i64,
        /// Digest of what it was made from.
        inputs_digest: String,
        /// The day problem.
        problem: String,
        /// What it costs, cents.
        cost_cents: i64,
        /// No plan of the day can cost less, cents.
        lower_bound_cents: i64,
        /// Nobody stopped it.
        stop_asked: bool,
        /// What is to be said of it.
        message: String,
        /// Who asked for it.
        requested_by: i64,
        /// When.
        created_at: Instant,
        /// When it began.
        started_at: Instant,
        /// When it was ready.
        ended_at: Instant,
    }

    /// A day plan that was handed out.
    PastPlan in day_plans by day_plans_add {
        /// The site's own date.
        work_date: NaiveDate,
        /// Where it stands.
        state: &'static str,
        /// Its run.
        plan_run_id: i64,
        /// What it costs, cents.
        cost_cents: i64,
        /// No plan of the day can cost less, cents.
        lower_bound_cents: i64,
        /// When it was taken.
        created_at: Instant,
        /// When its orders were handed out.
        issued_at: Instant,
        /// Version.
        version: i64,
    }

    /// A round of a past day.
    PastRound in rounds by rounds_add {
        /// Its day plan.
        day_plan_id: i64,
        /// The crew.
        crew_id: i64,
        /// Its shift.
        shift_id: i64,
        /// When it left the shed.
        leaves_at: Instant,
        /// When it was back.
        returns_at: Instant,
        /// Codes of the tool classes it took along, as JSON.
        kit: String,
    }

    /// A work order that was given back.
    PastOrder in work_orders by orders_add {
        /// Its day plan.
        day_plan_id: i64,
        /// Its round.
        round_id: i64,
        /// Its crew.
        crew_id: i64,
        /// The site's own date.
        work_date: NaiveDate,
        /// Its court, or its bank.
        court_id: Option<i64>,
        /// Its bank, or its court.
        bank_id: Option<i64>,
        /// Place in the round, from 1.
        position: i64,
        /// The visit's name, told apart by it within its plan.
        visit_key: String,
        /// What it was for.
        kind: OrderKind,
        /// Finished or left undone.
        state: OrderState,
        /// Which way the court was groomed.
        direction: Option<Direction>,
        /// Code of the tool class it was groomed with.
        groom_class: Option<String>,
        /// When the plan started it.
        planned_start: Instant,
        /// When the plan ended it.
        planned_end: Instant,
        /// By when it had to be done.
        due_at: Instant,
        /// When the crew started.
        started_at: Option<Instant>,
        /// When the crew gave it back.
        ended_at: Option<Instant>,
        /// What the crew said of the court.
        fit: Option<Fit>,
        /// Until when it was not fit.
        fit_until: Option<Instant>,
        /// Why it was left undone.
        undone_reason: Option<UndoneReason>,
        /// The same in the crew's own words.
        undone_note: Option<String>,
        /// Version.
        version: i64,
    }

    /// A step of an order that was given back.
    PastStep in order_steps by order_steps_add {
        /// Its order.
        order_id: i64,
        /// Place in the order, from 1.
        position: i64,
        /// The care task it did.
        care_task_id: i64,
        /// How long it took the crew as planned, s.
        planned_s: i64,
        /// Whether it was done.
        done: bool,
        /// How long it took the crew by the standard, s.
        standard_s: i64,
        /// How long it took one person by the standard, s.
        alone_s: i64,
    }

    /// How long a finished order took.
    PastTime in times_taken by times_add {
        /// The order.
        order_id: i64,
        /// Its court.
        court_id: i64,
        /// The site's own date.
        work_date: NaiveDate,
        /// What was timed.
        work: String,
        /// How long it takes by the standard, s.
        standard_s: i64,
        /// How long it took, s.
        taken_s: i64,
        /// The logarithm of their ratio, millionths.
        log_ratio: i64,
    }

    /// A tool of an order that was given back.
    PastTool in order_tools by order_tools_add {
        /// Its order.
        order_id: i64,
        /// The tool.
        tool_id: i64,
        /// How often it was used.
        uses: i64,
    }

    /// Something that happened to an order.
    PastEvent in order_events by order_events_add {
        /// Its number in the site's sequence.
        seq: i64,
        /// The order.
        order_id: i64,
        /// What happened.
        kind: OrderEvent,
        /// When.
        happened_at: Instant,
        /// When the office learned of it.
        learned_at: Instant,
        /// Who told it.
        user_id: i64,
        /// What was told with it, as JSON.
        data: String,
    }

    /// Work that a past day's plan could not fit.
    PastUnfitted in unfitted_visits by unfitted_add {
        /// The day plan.
        day_plan_id: i64,
        /// The court, or the bank.
        court_id: Option<i64>,
        /// The bank, or the court.
        bank_id: Option<i64>,
        /// The visit's name.
        visit_key: String,
        /// What was to be done.
        title: String,
        /// Why it did not fit.
        reason: &'static str,
        /// From when it could have been done.
        opens_at: Instant,
        /// Until when.
        closes_at: Instant,
    }

    /// A run of water in the past.
    PastWatering in waterings by waterings_add {
        /// The day plan.
        day_plan_id: i64,
        /// The court.
        court_id: i64,
        /// The order it followed.
        order_id: Option<i64>,
        /// A soak or a night cycle.
        kind: &'static str,
        /// From when.
        starts_at: Instant,
        /// Until when.
        ends_at: Instant,
        /// Its flow, ml/s.
        flow_mlps: i64,
        /// How much, ml.
        volume_ml: i64,
        /// Run or withdrawn.
        state: &'static str,
        /// What of it is booked already, ml.
        booked_ml: Option<i64>,
    }

    /// A stock move of the past. The material's stock is set apart, see [`stock_set`].
    PastMove in stock_moves by stock_moves_add {
        /// Its number in the site's sequence.
        seq: i64,
        /// The material.
        material_id: i64,
        /// The order, where it was for one.
        order_id: Option<i64>,
        /// What moved.
        kind: StockMoveKind,
        /// How much, signed.
        quantity: i64,
        /// What it was worth, cents, signed.
        value_cents: i64,
        /// Whether some of it was not in store.
        beyond_stock: bool,
        /// The site's own date.
        work_date: NaiveDate,
        /// When it was booked.
        booked_at: Instant,
        /// What it was booked with.
        source_kind: &'static str,
        /// The id of that.
        source_id: i64,
    }

    /// A running total as it stood at the end.
    PastTotal in running_totals by totals_add {
        /// What it is kept of.
        kind: TotalKind,
        /// The person, bank or tool.
        subject_id: i64,
        /// The stretch it is kept over.
        period: String,
        /// Sum of price × use.
        used: i64,
        /// Sum of the lines booked, cents.
        booked_cents: i64,
    }
}

impl From<TotalRow> for PastTotal {
    fn from(total: TotalRow) -> Self {
        Self {
            kind: total.kind,
            subject_id: total.subject_id,
            period: total.period,
            used: total.used,
            booked_cents: total.booked_cents,
        }
    }
}

/// Appends any number of hours entries.
pub fn hours_entries_add(tx: &mut Tx<'_>, entries: &[NewHours]) -> Result<()> {
    entries
        .chunks(ROWS)
        .try_for_each(|some| hours_add(tx, some))
}

/// Appends any number of cost lines.
pub fn cost_add(tx: &mut Tx<'_>, lines: &[NewCostLine]) -> Result<()> {
    lines
        .chunks(ROWS)
        .try_for_each(|some| cost_lines_add(tx, some))
}

/// Sets what is in store of a material after its moves were added.
pub fn stock_set(
    tx: &mut Tx<'_>,
    scope: &Scope,
    material_id: i64,
    on_hand: i64,
    value_cents: i64,
) -> Result<()> {
    diesel::update(
        materials::table.filter(
            materials::site_id
                .eq(scope.site_id())
                .and(materials::id.eq(material_id)),
        ),
    )
    .set((
        materials::on_hand.eq(on_hand),
        materials::value_cents.eq(value_cents),
        materials::version.eq(materials::version + 1),
    ))
    .execute(tx.conn())?;
    Ok(())
}

/// The planning runs by date.
pub fn run_ids(conn: &mut Conn, scope: &Scope) -> Result<HashMap<NaiveDate, i64>> {
    let rows: Vec<(NaiveDate, i64)> = plan_runs::table
        .filter(plan_runs::site_id.eq(scope.site_id()))
        .select((plan_runs::work_date, plan_runs::id))
        .load(conn)?;
    Ok(rows.into_iter().collect())
}

/// The day plans by date.
pub fn plan_ids(conn: &mut Conn, scope: &Scope) -> Result<HashMap<NaiveDate, i64>> {
    let rows: Vec<(NaiveDate, i64)> = day_plans::table
        .filter(day_plans::site_id.eq(scope.site_id()))
        .select((day_plans::work_date, day_plans::id))
        .load(conn)?;
    Ok(rows.into_iter().collect())
}

/// The rounds by day plan and crew.
pub fn round_ids(conn: &mut Conn, scope: &Scope) -> Result<HashMap<(i64, i64), i64>> {
    let rows: Vec<(i64, i64, i64)> = rounds::table
        .filter(rounds::site_id.eq(scope.site_id()))
        .select((rounds::day_plan_id, rounds::crew_id, rounds::id))
        .load(conn)?;
    Ok(rows
        .into_iter()
        .map(|(plan, crew, id)| ((plan, crew), id))
        .collect())
}

/// The orders by date and visit.
pub fn order_ids(conn: &mut Conn, scope: &Scope) -> Result<HashMap<(NaiveDate, String), i64>> {
    let rows: Vec<(NaiveDate, String, i64)> = work_orders::table
        .filter(work_orders::site_id.eq(scope.site_id()))
        .select((
            work_orders::work_date,
            work_orders::visit_key,
            work_orders::id,
        ))
        .load(conn)?;
    Ok(rows
        .into_iter()
        .map(|(date, visit, id)| ((date, visit), id))
        .collect())
}

/// A user who holds this role at the site.
pub fn user_in_role(conn: &mut Conn, scope: &Scope, role: Role) -> Result<i64> {
    Ok(memberships::table
        .filter(
            memberships::site_id
                .eq(scope.site_id())
                .and(memberships::role.eq(role)),
        )
        .order(memberships::id)
        .select(memberships::user_id)
        .first(conn)?)
}
