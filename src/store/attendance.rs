//! When people came, took their breaks and went, and who changed crews: events that are kept as they are told.

use chrono::NaiveDate;
use diesel::prelude::*;

use super::columns::words;
use super::db::{Conn, Tx};
use super::dialect::each_backend;
use super::schema::{attendance_events, people, shift_changes, shift_people, shifts};
use super::{Instant, Result, Scope};

words! {
    /// What somebody does.
    AttendanceKind {
        /// They come.
        In = "in",
        /// They begin a break.
        BreakStart = "break_start",
        /// They end it.
        BreakEnd = "break_end",
        /// They go.
        Out = "out",
    }
}

/// Somebody who came, took a break or went.
#[derive(Clone, Debug, Queryable)]
pub struct AttendanceRow {
    /// Id.
    pub id: i64,
    /// Who.
    pub person_id: i64,
    /// Their name.
    pub person: String,
    /// What they did.
    pub kind: AttendanceKind,
    /// Their crew.
    pub crew_id: Option<i64>,
    /// When.
    pub happened_at: Instant,
    /// When the office learned of it.
    pub learned_at: Instant,
}

/// Such an event to be added.
#[derive(Clone, Debug)]
pub struct NewAttendance<'a> {
    /// Who.
    pub person_id: i64,
    /// What they do.
    pub kind: AttendanceKind,
    /// Their crew.
    pub crew_id: Option<i64>,
    /// When.
    pub happened_at: Instant,
    /// Who tells it.
    pub user_id: i64,
    /// The client's own key of it.
    pub client_key: &'a str,
}

/// Somebody joins a crew for the day, or leaves it.
#[derive(Clone, Debug)]
pub struct NewShiftChange<'a> {
    /// The shift.
    pub shift_id: i64,
    /// Who.
    pub person_id: i64,
    /// Whether they join; else they leave.
    pub joins: bool,
    /// When.
    pub happened_at: Instant,
    /// Who tells it.
    pub user_id: i64,
    /// The client's own key of it.
    pub client_key: &'a str,
}

/// Appends an event; gives its id.
pub fn attendance_add(tx: &mut Tx<'_>, scope: &Scope, new: &NewAttendance<'_>) -> Result<i64> {
    let (seq, now) = (tx.next_seq(), tx.now());
    Ok(diesel::insert_into(attendance_events::table)
        .values((
            attendance_events::site_id.eq(scope.site_id()),
            attendance_events::seq.eq(seq),
            attendance_events::person_id.eq(new.person_id),
            attendance_events::kind.eq(new.kind),
            attendance_events::crew_id.eq(new.crew_id),
            attendance_events::happened_at.eq(new.happened_at),
            attendance_events::learned_at.eq(now),
            attendance_events::user_id.eq(new.user_id),
            attendance_events::client_key.eq(new.client_key),
        ))
        .returning(attendance_events::id)
        .get_result(tx.conn())?)
}

/// What happened from `from` on and before `to`: by person, in order of time.
pub fn attendance_between(
    conn: &mut Conn,
    scope: &Scope,
    from: Instant,
    to: Instant,
) -> Result<Vec<AttendanceRow>> {
    Ok(attendance_events::table
        .inner_join(people::table)
        .filter(
            attendance_events::site_id
                .eq(scope.site_id())
                .and(attendance_events::happened_at.ge(from))
                .and(attendance_events::happened_at.lt(to)),
        )
        .order((
            people::name,
            people::id,
            attendance_events::happened_at,
            attendance_events::seq,
        ))
        .select((
            attendance_events::id,
            people::id,
            people::name,
            attendance_events::kind,
            attendance_events::crew_id,
            attendance_events::happened_at,
            attendance_events::learned_at,
        ))
        .load(conn)?)
}

/// Appends a change of a shift; gives its id.
pub fn shift_change_add(tx: &mut Tx<'_>, scope: &Scope, new: &NewShiftChange<'_>) -> Result<i64> {
    let (seq, now) = (tx.next_seq(), tx.now());
    Ok(diesel::insert_into(shift_changes::table)
        .values((
            shift_changes::site_id.eq(scope.site_id()),
            shift_changes::seq.eq(seq),
            shift_changes::shift_id.eq(new.shift_id),
            shift_changes::person_id.eq(new.person_id),
            shift_changes::joins.eq(new.joins),
            shift_changes::happened_at.eq(new.happened_at),
            shift_changes::learned_at.eq(now),
            shift_changes::user_id.eq(new.user_id),
            shift_changes::client_key.eq(new.client_key),
        ))
        .returning(shift_changes::id)
        .get_result(tx.conn())?)
}

/// The change of a person's crew that happened last on a date.
pub fn shift_change_last(
    conn: &mut Conn,
    scope: &Scope,
    person_id: i64,
    date: NaiveDate,
) -> Result<Option<i64>> {
    Ok(shift_changes::table
        .inner_join(shifts::table)
        .filter(
            shift_changes::site_id
                .eq(scope.site_id())
                .and(shift_changes::person_id.eq(person_id))
                .and(shifts::work_date.eq(date)),
        )
        .order((shift_changes::happened_at.desc(), shift_changes::seq.desc()))
        .select(shift_changes::id)
        .first(conn)
        .optional()?)
}

/// Puts a person on a shift, and takes them off every other of its date.
pub fn shift_join(
    tx: &mut Tx<'_>,
    scope: &Scope,
    (shift_id, date): (i64, NaiveDate),
    person_id: i64,
) -> Result<()> {
    let site = scope.site_id();
    let others = shifts::table
        .filter(
            shifts::site_id
                .eq(site)
                .and(shifts::work_date.eq(date))
                .and(shifts::id.ne(shift_id)),
        )
        .select(shifts::id);
    let elsewhere = shift_people::table.filter(
        shift_people::site_id
            .eq(site)
            .and(shift_people::person_id.eq(person_id))
            .and(shift_people::shift_id.eq_any(others)),
    );
    diesel::delete(elsewhere).execute(tx.conn())?;
    let row = (
        shift_people::site_id.eq(site),
        shift_people::shift_id.eq(shift_id),
        shift_people::person_id.eq(person_id),
    );
    each_backend!(tx.conn(), inner => diesel::insert_into(shift_people::table)
        .values(row)
        .on_conflict((shift_people::site_id, shift_people::shift_id, shift_people::person_id))
        .do_nothing()
        .execute(inner))?;
    Ok(())
}

/// Takes a person off a shift.
pub fn shift_leave(tx: &mut Tx<'_>, scope: &Scope, shift_id: i64, person_id: i64) -> Result<()> {
    let row = shift_people::table.filter(
        shift_people::site_id
            .eq(scope.site_id())
            .and(shift_people::shift_id.eq(shift_id))
            .and(shift_people::person_id.eq(person_id)),
    );
    diesel::delete(row).execute(tx.conn())?;
    Ok(())
}
