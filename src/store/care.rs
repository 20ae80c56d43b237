//! The care standard: what is done to a court or a bank, how often, and when it was last done.

use chrono::NaiveDate;
use diesel::prelude::*;
use serde::Serialize;

use super::columns::words;
use super::db::Conn;
use super::orders::{Direction, OrderState};
use super::schema::{care_tasks, courts, order_steps, work_orders};
use super::{Result, Scope};

diesel::allow_columns_to_appear_in_same_group_by_clause!(
    order_steps::care_task_id,
    work_orders::court_id,
    work_orders::bank_id,
);

words! {
    /// Where a care task is done.
    DoneAt {
        /// In the turnaround of a court, as one of its steps.
        Turnaround = "turnaround",
        /// On a court, by itself.
        Court = "court",
        /// On a whole bank.
        Bank = "bank",
    }
}

/// One care task as the site has it.
#[derive(Clone, Debug, Queryable, Selectable, Serialize, utoipa::ToSchema)]
#[diesel(table_name = care_tasks)]
#[schema(as = CareTask)]
pub struct CareTaskRow {
    /// Id.
    pub id: i64,
    /// The trade's word, or one of the site's own.
    pub code: String,
    /// What the site calls it.
    pub name: String,
    /// Place in lists.
    pub position: i64,
    /// Where it is done.
    pub done_at: DoneAt,
    /// How often, in the trade's word: `after_each_session`, `daily`, `weekly`, `every_14_days`,
    /// `monthly`, `yearly`, `as_found`.
    pub cadence: String,
    /// One person's work at it, s: on one court, or on a whole bank.
    pub base_s: i64,
    /// The fewest people who may do it.
    pub min_hands: i64,
    /// The skill it takes, if any.
    pub skill: Option<String>,
    /// What its tool does, where it takes one.
    pub tool_action: Option<String>,
    /// What ground it needs.
    pub ground: String,
    /// The usual caution's key, where it can hurt someone.
    pub caution: Option<String>,
    /// What leaving it out is taken to cost, cents.
    pub skip_cents: i64,
    /// Where this is known from.
    pub source: String,
}

/// When a task was last done at a place.
#[derive(Clone, Debug, Queryable)]
pub struct LastDone {
    /// The care task.
    pub care_task_id: i64,
    /// The court, where it was done on one.
    pub court_id: Option<i64>,
    /// The bank, where it was done on one.
    pub bank_id: Option<i64>,
    /// The day.
    pub on: Option<NaiveDate>,
}

/// The site's care standard, in its own order.
pub fn care_task_list(conn: &mut Conn, scope: &Scope) -> Result<Vec<CareTaskRow>> {
    Ok(care_tasks::table
        .filter(care_tasks::site_id.eq(scope.site_id()))
        .order((care_tasks::position, care_tasks::id))
        .select(CareTaskRow::as_select())
        .load(conn)?)
}

/// The states of an order that is still to be done.
const OPEN: [OrderState; 3] = [
    OrderState::Planned,
    OrderState::Issued,
    OrderState::UnderWay,
];

/// When each of these tasks was last done at each place before `date`. What stands in an order
/// still to be done, of `today` or later, counts as done on its day: it is not planned twice.
pub fn care_last_done(
    conn: &mut Conn,
    scope: &Scope,
    tasks: &[i64],
    date: NaiveDate,
    today: NaiveDate,
) -> Result<Vec<LastDone>> {
    let done = order_steps::done.eq(true).assume_not_null();
    let to_be_done = order_steps::done
        .is_null()
        .and(work_orders::state.eq_any(OPEN))
        .and(work_orders::work_date.ge(today));
    Ok(order_steps::table
        .inner_join(work_orders::table)
        .filter(
            order_steps::site_id
                .eq(scope.site_id())
                .and(order_steps::care_task_id.eq_any(tasks))
                .and(work_orders::work_date.lt(date)),
        )
        .filter(order_steps::done.is_not_null().and(done).or(to_be_done))
        .group_by((
            order_steps::care_task_id,
            work_orders::court_id,
            work_orders::bank_id,
        ))
        .select((
            order_steps::care_task_id,
            work_orders::court_id,
            work_orders::bank_id,
            diesel::dsl::max(work_orders::work_date),
        ))
        .load(conn)?)
}

/// Each court's last day before `date` on which it was groomed, with the direction of that day. A
/// grooming still to be done, of `today` or later, counts: the day after it takes the other
/// direction.
pub fn groomed_last(
    conn: &mut Conn,
    scope: &Scope,
    date: NaiveDate,
    today: NaiveDate,
) -> Result<Vec<(i64, NaiveDate, Direction)>> {
    let newest = || {
        work_orders::table
            .filter(
                work_orders::site_id
                    .eq(scope.site_id())
                    .and(work_orders::court_id.eq(courts::id.nullable()))
                    .and(work_orders::direction.is_not_null())
                    .and(work_orders::work_date.lt(date)),
            )
            .filter(
                work_orders::state
                    .eq(OrderState::Finished)
                    .or(work_orders::state
                        .eq_any(OPEN)
                        .and(work_orders::work_date.ge(today))),
            )
            .order((work_orders::work_date.desc(), work_orders::id.desc()))
            .limit(1)
    };
    let rows: Vec<(i64, Option<NaiveDate>, Option<Direction>)> = courts::table
        .filter(courts::site_id.eq(scope.site_id()))
        .order(courts::id)
        .select((
            courts::id,
            newest().select(work_orders::work_date).single_value(),
            newest().select(work_orders::direction).single_value(),
        ))
        .load(conn)?;
    Ok(rows
        .into_iter()
        .filter_map(|(court, date, direction)| Some((court, date?, direction?)))
        .collect())
}
