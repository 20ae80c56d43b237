//! Work orders: what a crew is given for a visit and gives back, with their steps, tools and
//! events.

use chrono::NaiveDate;
use diesel::prelude::*;
use serde::{Deserialize, Serialize};

use super::columns::words;
use super::db::{Conn, Tx};
use super::holds::HoldReason;
use super::schema::{order_steps, order_tools, work_orders};
use super::{Instant, Page, Paged, Result, Scope};

mod closing;
mod events;
mod notes;
mod placing;
mod reopening;
mod shown;
mod valves;

pub use closing::{
    NewOrderEvent, OrderClosed, ReadingOfOrder, WateringOfOrder, order_close, order_event_add,
    order_start, order_steps_mark, order_tools_mark, order_waterings, order_waterings_set,
};
pub use events::{OrderEventRow, order_event_list};
pub use notes::{
    Grade, NewNote, NewRecheck, NoteFilter, NoteKind, NoteRow, RecheckRow, note_add, note_list,
    note_read, note_seen, notes_of, recheck_add, rechecks_of,
};
pub use placing::{
    MEND, Placed, REST, is_by_hand, last_position, order_place, order_was_issued, orders_by_hand,
    orders_following, orders_of_visit,
};
pub use reopening::{
    RunOfOrder, closing_told, order_readings_take_back, order_reopen, order_steps_unmark,
    order_tools_unmark, order_waterings_all, order_waterings_move, watering_as_planned,
    waterings_again,
};
pub use shown::{
    OrderNames, StepOfOrder, ToolOfOrder, order_names, order_steps_named, order_tools,
};

pub use valves::{ValveOrder, valve_orders};

words! {
    /// What an order is for.
    OrderKind {
        /// Every step of the turnaround after a play session.
        FullTurnaround = "full_turnaround",
        /// The turnaround that fits a short gap.
        ShortTurnaround = "short_turnaround",
        /// One care task beside the turnarounds.
        Care = "care",
        /// Mending something that was seen on the court.
        Mend = "mend",
    }
}

words! {
    /// Where an order stands.
    OrderState {
        /// In the plan, not handed out.
        Planned = "planned",
        /// Handed to its crew.
        Issued = "issued",
        /// Being worked on.
        UnderWay = "under_way",
        /// Given back done.
        Finished = "finished",
        /// Given back not done.
        LeftUndone = "left_undone",
        /// Taken back before it was begun.
        Withdrawn = "withdrawn",
    }
}

words! {
    /// What the crew that closes a court says of it.
    Fit {
        /// Fit for play.
        Yes = "yes",
        /// Not yet; it says until when.
        NotYet = "not_yet",
        /// Kept shut; it says why.
        Held = "held",
    }
}

words! {
    /// Why an order was left undone.
    UndoneReason {
        /// The court was in play.
        CourtInPlay = "court_in_play",
        /// Rain, lightning, heat.
        Weather = "weather",
        /// The tool it takes was not to be had.
        NoTool = "no_tool",
        /// There was no water.
        NoWater = "no_water",
        /// The time did not reach.
        NoTime = "no_time",
        /// It was not safe to do.
        Unsafe = "unsafe",
        /// Something else: the note says what.
        Other = "other",
    }
}

words! {
    /// What happens to an order.
    OrderEvent {
        /// It is handed to its crew.
        Issued = "issued",
        /// It is taken back before it was begun.
        Withdrawn = "withdrawn",
        /// The crew starts it.
        Started = "started",
        /// The crew gives it back done.
        Finished = "finished",
        /// The crew gives it back not done.
        LeftUndone = "left_undone",
        /// The plan has another time or other tools for it.
        Retimed = "retimed",
        /// Another crew gets it.
        HandedOver = "handed_over",
        /// What closed it is taken back.
        TakenBack = "taken_back",
        /// It was withdrawn, and its crew did it all the same before it learned of that.
        Reinstated = "reinstated",
    }
}

words! {
    /// Which way the tool goes.
    Direction {
        /// Along the court.
        Along = "along",
        /// Across it.
        Across = "across",
    }
}

/// A work order.
#[derive(Clone, Debug, Queryable, Selectable, Serialize, Deserialize, utoipa::ToSchema)]
#[diesel(table_name = work_orders)]
#[schema(as = WorkOrder)]
pub struct OrderRow {
    /// Id.
    pub id: i64,
    /// The day plan it comes from.
    pub day_plan_id: i64,
    /// Its round.
    pub round_id: i64,
    /// Its crew.
    pub crew_id: i64,
    /// The site's own date it belongs to.
    pub work_date: NaiveDate,
    /// The court, where it is work on one court.
    pub court_id: Option<i64>,
    /// The bank, where it is work on a whole bank.
    pub bank_id: Option<i64>,
    /// Place in the round, from 1.
    pub position: i64,
    /// The visit's name in the day problem.
    pub visit_key: String,
    /// What it is for.
    pub kind: OrderKind,
    /// Where it stands.
    pub state: OrderState,
    /// Which way the court is groomed, where it is.
    pub direction: Option<Direction>,
    /// Code of the tool class it is groomed with, where it is.
    pub groom_class: Option<String>,
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
    /// What the crew said of the court.
    pub fit: Option<Fit>,
    /// Until when it is not fit yet.
    pub fit_until: Option<Instant>,
    /// Why it is held.
    pub fit_reason: Option<String>,
    /// Why it was left undone.
    pub undone_reason: Option<UndoneReason>,
    /// The same in the crew's own words.
    pub undone_note: Option<String>,
    /// Version.
    pub version: i64,
    /// When it is said to be done, where it runs over.
    pub expected_end_at: Option<Instant>,
    /// Why it is held, as it was picked.
    pub fit_hold_reason: Option<HoldReason>,
    /// The order whose steps it does that were left.
    pub follows_id: Option<i64>,
}

/// An order as a plan makes it.
#[derive(Clone, Debug)]
pub struct NewOrder {
    /// Its day plan.
    pub day_plan_id: i64,
    /// Its round.
    pub round_id: i64,
    /// Its crew.
    pub crew_id: i64,
    /// The site's own date.
    pub work_date: NaiveDate,
    /// Its court, or its bank.
    pub court_id: Option<i64>,
    /// Its bank, or its court.
    pub bank_id: Option<i64>,
    /// Place in the round, from 1.
    pub position: i64,
    /// The visit's name in the day problem.
    pub visit_key: String,
    /// What it is for.
    pub kind: OrderKind,
    /// Which way the court is groomed.
    pub direction: Option<Direction>,
    /// Code of the tool class it is groomed with.
    pub groom_class: Option<String>,
    /// When the plan starts it.
    pub planned_start: Instant,
    /// When the plan ends it.
    pub planned_end: Instant,
    /// By when it must be done.
    pub due_at: Instant,
    /// The order whose steps it does that were left.
    pub follows_id: Option<i64>,
}

/// A step of an order.
#[derive(Clone, Debug, Queryable, Selectable, Serialize, Deserialize, utoipa::ToSchema)]
#[diesel(table_name = order_steps)]
#[schema(as = OrderStep)]
pub struct StepRow {
    /// Its order.
    #[serde(skip, default)]
    pub order_id: i64,
    /// Place in the order, from 1.
    pub position: i64,
    /// The care task it does.
    pub care_task_id: i64,
    /// How long it takes the crew as planned, s.
    pub planned_s: i64,
    /// Whether it was done; null until the order is given back.
    pub done: Option<bool>,
    /// How long it takes the crew by the standard, s.
    pub standard_s: Option<i64>,
    /// How long it takes one person by the standard, s.
    pub alone_s: Option<i64>,
}

/// Adds an order in state `planned`; gives its id.
pub fn order_add(tx: &mut Tx<'_>, scope: &Scope, order: &NewOrder) -> Result<i64> {
    Ok(diesel::insert_into(work_orders::table)
        .values((
            work_orders::site_id.eq(scope.site_id()),
            work_orders::state.eq(OrderState::Planned),
            work_orders::version.eq(1),
            (
                work_orders::day_plan_id.eq(order.day_plan_id),
                work_orders::round_id.eq(order.round_id),
                work_orders::crew_id.eq(order.crew_id),
                work_orders::work_date.eq(order.work_date),
                work_orders::court_id.eq(order.court_id),
                work_orders::bank_id.eq(order.bank_id),
                work_orders::position.eq(order.position),
                work_orders::visit_key.eq(&order.visit_key),
                work_orders::kind.eq(order.kind),
                work_orders::direction.eq(order.direction),
                work_orders::groom_class.eq(&order.groom_class),
                work_orders::planned_start.eq(order.planned_start),
                work_orders::planned_end.eq(order.planned_end),
                work_orders::due_at.eq(order.due_at),
                work_orders::follows_id.eq(order.follows_id),
            ),
        ))
        .returning(work_orders::id)
        .get_result(tx.conn())?)
}

/// Notes by when work that is under way is said to be done. What the order is asked to do stays, so its version does.
pub fn order_expect(tx: &mut Tx<'_>, scope: &Scope, id: i64, until: Instant) -> Result<()> {
    diesel::update(
        work_orders::table.filter(
            work_orders::site_id
                .eq(scope.site_id())
                .and(work_orders::id.eq(id)),
        ),
    )
    .set(work_orders::expected_end_at.eq(until))
    .execute(tx.conn())?;
    Ok(())
}

/// Adds a step to an order.
pub fn order_step_add(tx: &mut Tx<'_>, scope: &Scope, step: &StepRow) -> Result<()> {
    diesel::insert_into(order_steps::table)
        .values((
            order_steps::site_id.eq(scope.site_id()),
            order_steps::order_id.eq(step.order_id),
            order_steps::position.eq(step.position),
            order_steps::care_task_id.eq(step.care_task_id),
            order_steps::planned_s.eq(step.planned_s),
            order_steps::standard_s.eq(step.standard_s),
            order_steps::alone_s.eq(step.alone_s),
        ))
        .execute(tx.conn())?;
    Ok(())
}

/// One order.
pub fn order_read(conn: &mut Conn, scope: &Scope, id: i64) -> Result<OrderRow> {
    Ok(work_orders::table
        .filter(
            work_orders::site_id
                .eq(scope.site_id())
                .and(work_orders::id.eq(id)),
        )
        .select(OrderRow::as_select())
        .first(conn)?)
}

/// Those of these orders that the site has.
pub fn orders_by_id(conn: &mut Conn, scope: &Scope, ids: &[i64]) -> Result<Vec<OrderRow>> {
    Ok(work_orders::table
        .filter(
            work_orders::site_id
                .eq(scope.site_id())
                .and(work_orders::id.eq_any(ids)),
        )
        .select(OrderRow::as_select())
        .load(conn)?)
}

/// The steps of these orders, in order.
pub fn order_steps(conn: &mut Conn, scope: &Scope, orders: &[i64]) -> Result<Vec<StepRow>> {
    Ok(order_steps::table
        .filter(
            order_steps::site_id
                .eq(scope.site_id())
                .and(order_steps::order_id.eq_any(orders)),
        )
        .order((order_steps::order_id, order_steps::position))
        .select(StepRow::as_select())
        .load(conn)?)
}

/// Which orders a list shows.
#[derive(Clone, Debug, Default)]
pub struct OrderFilter {
    /// Of this date only.
    pub work_date: Option<NaiveDate>,
    /// In this state only.
    pub state: Option<OrderState>,
    /// Of this crew only.
    pub crew_id: Option<i64>,
    /// Of this court only.
    pub court_id: Option<i64>,
    /// Of this plan only.
    pub day_plan_id: Option<i64>,
}

/// The site's orders that pass the filter, in order of id.
pub fn order_list(
    conn: &mut Conn,
    scope: &Scope,
    filter: &OrderFilter,
    page: Page,
) -> Result<Paged<OrderRow>> {
    let mut query = work_orders::table
        .filter(
            work_orders::site_id
                .eq(scope.site_id())
                .and(work_orders::id.gt(page.after)),
        )
        .into_boxed();
    if let Some(date) = filter.work_date {
        query = query.filter(work_orders::work_date.eq(date));
    }
    if let Some(state) = filter.state {
        query = query.filter(work_orders::state.eq(state));
    }
    if let Some(crew) = filter.crew_id {
        query = query.filter(work_orders::crew_id.eq(crew));
    }
    if let Some(court) = filter.court_id {
        query = query.filter(work_orders::court_id.eq(court));
    }
    if let Some(plan) = filter.day_plan_id {
        query = query.filter(work_orders::day_plan_id.eq(plan));
    }
    let rows = query
        .order(work_orders::id)
        .limit(page.fetch())
        .select(OrderRow::as_select())
        .load(conn)?;
    Ok(page.of(rows, |order| order.id))
}

/// Gives an order a tool, whose uses are not known until the order is given back.
pub fn order_tool_add(tx: &mut Tx<'_>, scope: &Scope, order_id: i64, tool_id: i64) -> Result<()> {
    diesel::insert_into(order_tools::table)
        .values((
            order_tools::site_id.eq(scope.site_id()),
            order_tools::order_id.eq(order_id),
            order_tools::tool_id.eq(tool_id),
        ))
        .execute(tx.conn())?;
    Ok(())
}
