//! What somebody decided by hand about the visits of a date.

use std::collections::BTreeMap;

use chrono::NaiveDate;
use diesel::prelude::*;
use serde::Serialize;

use super::columns::words;
use super::db::{Conn, Tx};
use super::schema::day_changes;
use super::{Instant, Result, Scope};

words! {
    /// What is decided about a visit.
    ChangeKind {
        /// This crew does it, at this time where one is given.
        Pin = "pin",
        /// It is left out.
        Drop = "drop",
        /// The planner decides again.
        Free = "free",
        /// It is to be done, whether or not it is due.
        Add = "add",
    }
}

/// A decision.
#[derive(Clone, Debug, Queryable, Selectable, Serialize, utoipa::ToSchema)]
#[diesel(table_name = day_changes)]
#[schema(as = DayChange)]
pub struct ChangeRow {
    /// The site's own date.
    pub work_date: NaiveDate,
    /// The visit's name in the day problem.
    pub visit_key: String,
    /// What is decided.
    pub kind: ChangeKind,
    /// The crew that does it, of a pin.
    pub crew_id: Option<i64>,
    /// When it starts, of a pin that says so.
    pub start_at: Option<Instant>,
}

/// Adds a decision: it holds from now on for its visit.
pub fn change_add(tx: &mut Tx<'_>, scope: &Scope, change: &ChangeRow, user_id: i64) -> Result<i64> {
    let now = tx.now();
    Ok(diesel::insert_into(day_changes::table)
        .values((
            day_changes::site_id.eq(scope.site_id()),
            day_changes::work_date.eq(change.work_date),
            day_changes::visit_key.eq(&change.visit_key),
            day_changes::kind.eq(change.kind),
            day_changes::crew_id.eq(change.crew_id),
            day_changes::start_at.eq(change.start_at),
            day_changes::user_id.eq(user_id),
            day_changes::created_at.eq(now),
        ))
        .returning(day_changes::id)
        .get_result(tx.conn())?)
}

/// What holds on the dates from `first` to `last`, by date and visit.
pub fn changes_between(
    conn: &mut Conn,
    scope: &Scope,
    first: NaiveDate,
    last: NaiveDate,
) -> Result<Vec<ChangeRow>> {
    let rows: Vec<ChangeRow> = day_changes::table
        .filter(
            day_changes::site_id
                .eq(scope.site_id())
                .and(day_changes::work_date.between(first, last)),
        )
        .order(day_changes::id)
        .select(ChangeRow::as_select())
        .load(conn)?;
    // That work was added holds beside what was decided about it since.
    let mut newest = BTreeMap::new();
    for row in rows {
        let key = (row.work_date, row.visit_key.clone());
        newest.insert((key, row.kind != ChangeKind::Add), row);
    }
    Ok(newest
        .into_values()
        .filter(|row| row.kind != ChangeKind::Free)
        .collect())
}
