//! How long finished orders took on their courts.

use chrono::NaiveDate;
use diesel::prelude::*;
use trade::care::CareTask;

use super::db::{Conn, Tx};
use super::orders::OrderKind;
use super::schema::{care_tasks, order_steps, times_taken};
use super::{Result, Scope};

diesel::allow_columns_to_appear_in_same_group_by_clause!(times_taken::court_id, times_taken::work);

/// What is timed: a kind of turnaround with the class it is groomed with, or a care task by its
/// code: the first of the order's `tasks` that is not taking leaves off before it. Work of another name is another
/// record.
pub fn work_name<'a>(
    kind: OrderKind,
    groom_class: Option<&str>,
    tasks: impl Iterator<Item = &'a str>,
) -> String {
    let tasks: Vec<&str> = tasks.collect();
    let leaves = CareTask::LeavesOff.as_str();
    let with = match kind {
        OrderKind::Care | OrderKind::Mend => {
            let other = tasks.iter().find(|task| **task != leaves);
            other.or(tasks.first()).copied()
        }
        _ => groom_class,
    };
    format!("{}:{}", kind.as_str(), with.unwrap_or("-"))
}

/// How long a finished order took.
#[derive(Clone, Debug)]
pub struct NewTime {
    /// The order.
    pub order_id: i64,
    /// Its court.
    pub court_id: i64,
    /// The site's own date.
    pub work_date: NaiveDate,
    /// What was timed, by [`work_name`].
    pub work: String,
    /// How long it takes so many people by the standard, s.
    pub standard_s: i64,
    /// How long it took them, s.
    pub taken_s: i64,
    /// The logarithm of their ratio, millionths.
    pub log_ratio: i64,
}

/// Forgets how long an order took, since its closing is taken back.
pub fn time_remove(tx: &mut Tx<'_>, scope: &Scope, order_id: i64) -> Result<()> {
    let of_order = times_taken::site_id
        .eq(scope.site_id())
        .and(times_taken::order_id.eq(order_id));
    diesel::delete(times_taken::table.filter(of_order)).execute(tx.conn())?;
    Ok(())
}

/// Keeps how long an order took.
pub fn time_add(tx: &mut Tx<'_>, scope: &Scope, time: &NewTime) -> Result<()> {
    diesel::insert_into(times_taken::table)
        .values((
            times_taken::site_id.eq(scope.site_id()),
            times_taken::order_id.eq(time.order_id),
            times_taken::court_id.eq(time.court_id),
            times_taken::work_date.eq(time.work_date),
            times_taken::work.eq(&time.work),
            times_taken::standard_s.eq(time.standard_s),
            times_taken::taken_s.eq(time.taken_s),
            times_taken::log_ratio.eq(time.log_ratio),
        ))
        .execute(tx.conn())?;
    Ok(())
}

/// What the record of one kind of work on one court comes to.
#[derive(Clone, Debug, Queryable)]
pub struct TimesOfCourt {
    /// The court.
    pub court_id: i64,
    /// What was timed.
    pub work: String,
    /// How often.
    pub count: i64,
    /// Sum of the logarithms of taken / standard, millionths.
    pub log_ratios: Option<i64>,
}

/// What was timed from `from` until before `until`, by court and work.
pub fn times_between(
    conn: &mut Conn,
    scope: &Scope,
    from: NaiveDate,
    until: NaiveDate,
) -> Result<Vec<TimesOfCourt>> {
    let sum = diesel::dsl::sql::<diesel::sql_types::Nullable<diesel::sql_types::BigInt>>(
        "CAST(SUM(times_taken.log_ratio) AS BIGINT)",
    );
    Ok(times_taken::table
        .filter(
            times_taken::site_id
                .eq(scope.site_id())
                .and(times_taken::work_date.ge(from))
                .and(times_taken::work_date.lt(until)),
        )
        .group_by((times_taken::court_id, times_taken::work))
        .select((
            times_taken::court_id,
            times_taken::work,
            diesel::dsl::count_star(),
            sum,
        ))
        .load(conn)?)
}

/// A step of an order as its time is judged.
#[derive(Clone, Debug, Queryable)]
pub struct StepTimed {
    /// Place in the order, from 1.
    pub position: i64,
    /// The care task's code.
    pub code: String,
    /// How long it takes one person by the standard, s; none in an order of before that was kept.
    pub alone_s: Option<i64>,
}

/// The steps of an order with what the standard gives for one person.
pub fn order_steps_timed(conn: &mut Conn, scope: &Scope, order_id: i64) -> Result<Vec<StepTimed>> {
    Ok(order_steps::table
        .inner_join(care_tasks::table)
        .filter(
            order_steps::site_id
                .eq(scope.site_id())
                .and(order_steps::order_id.eq(order_id)),
        )
        .order(order_steps::position)
        .select((
            order_steps::position,
            care_tasks::code,
            order_steps::alone_s,
        ))
        .load(conn)?)
}
