//! When tasks were last done, as somebody told it.

use chrono::NaiveDate;
use diesel::prelude::*;

use crate::store::schema::care_told;
use crate::store::{Conn, Instant, Result, Scope, Tx};

/// The newest word on when a task was last done at a place.
#[derive(Clone, Debug, Queryable)]
pub struct ToldRow {
    /// The care task.
    pub care_task_id: i64,
    /// The court, where it is done on one.
    pub court_id: Option<i64>,
    /// The bank, where it is done on one.
    pub bank_id: Option<i64>,
    /// The day; none where nobody knows.
    pub done_on: Option<NaiveDate>,
    /// When it was told.
    pub told_at: Instant,
}

/// The newest word on each task and place: one told later mends what was told before.
pub fn care_told_newest(conn: &mut Conn, scope: &Scope) -> Result<Vec<ToldRow>> {
    let later = diesel::alias!(care_told as later);
    let same_place = later
        .field(care_told::court_id)
        .eq(care_told::court_id)
        .or(later.field(care_told::bank_id).eq(care_told::bank_id));
    let mended = later.filter(
        later
            .field(care_told::site_id)
            .eq(care_told::site_id)
            .and(
                later
                    .field(care_told::care_task_id)
                    .eq(care_told::care_task_id),
            )
            .and(later.field(care_told::id).gt(care_told::id))
            .and(same_place),
    );
    Ok(care_told::table
        .filter(care_told::site_id.eq(scope.site_id()))
        .filter(diesel::dsl::not(diesel::dsl::exists(mended)))
        .order(care_told::id)
        .select((
            care_told::care_task_id,
            care_told::court_id,
            care_told::bank_id,
            care_told::done_on,
            care_told::told_at,
        ))
        .load(conn)?)
}

/// When a task was last done at a place, as it was told.
#[derive(Clone, Debug)]
pub struct NewTold {
    /// The care task.
    pub care_task_id: i64,
    /// The court, where it is done on one.
    pub court_id: Option<i64>,
    /// The bank, where it is done on one.
    pub bank_id: Option<i64>,
    /// The day; none where nobody knows.
    pub done_on: Option<NaiveDate>,
    /// When it was told.
    pub told_at: Instant,
    /// By whom.
    pub user_id: i64,
}

/// Notes when tasks were last done.
pub fn care_told_add(tx: &mut Tx<'_>, scope: &Scope, told: &[NewTold]) -> Result<()> {
    for one in told {
        diesel::insert_into(care_told::table)
            .values((
                care_told::site_id.eq(scope.site_id()),
                care_told::care_task_id.eq(one.care_task_id),
                care_told::court_id.eq(one.court_id),
                care_told::bank_id.eq(one.bank_id),
                care_told::done_on.eq(one.done_on),
                care_told::told_at.eq(one.told_at),
                care_told::user_id.eq(one.user_id),
            ))
            .execute(tx.conn())?;
    }
    Ok(())
}
