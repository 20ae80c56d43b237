//! Calendars that a site's play comes from, and what was taken of them.

mod changes;
mod events;

use std::collections::BTreeMap;

use diesel::prelude::*;
use serde::{Deserialize, Serialize};

use super::columns::{Json, json, words};
use super::db::{Conn, Tx};
use super::schema::{calendar_changes, calendar_events, calendars, users};
use super::{Error, Instant, Page, Paged, Result, Scope};

pub use changes::{
    CalendarChangeKind, ChangeRow, ChangeState, NewChange, change_add, change_decide, change_list,
    change_read, changes_of, changes_withdraw, changes_within,
};
pub use events::{
    Planned, Said, Taken, Target, closures_of, event_add, event_move, event_remove, events_of,
    sessions_from,
};

words! {
    /// What a calendar's events become.
    Makes {
        /// Sessions of play.
        Sessions = "sessions",
        /// Times when a court is shut.
        Closures = "closures",
    }
}

/// A calendar.
#[derive(Clone, Debug, Queryable, Selectable)]
#[diesel(table_name = calendars)]
pub struct CalendarRow {
    /// Id.
    pub id: i64,
    /// What the site calls it.
    pub name: String,
    /// The one court all its events are on.
    pub court_id: Option<i64>,
    /// The site's own names of places, each with its court.
    pub courts: Json<BTreeMap<String, i64>>,
    /// What its events become.
    pub makes: Makes,
    /// Whether the turnarounds after its sessions may be short.
    pub short_turnaround: bool,
    /// Where it is fetched from.
    pub address: Option<String>,
    /// Whether the address may lie in a private network.
    pub allow_private: bool,
    /// What the server said of the newest copy that was taken.
    pub etag: Option<String>,
    /// As `etag`.
    pub last_modified: Option<String>,
    /// When the address was last asked.
    pub asked_at: Option<Instant>,
    /// Why that gave nothing.
    pub fetch_error: Option<String>,
    /// When a file was last taken.
    pub imported_at: Option<Instant>,
    /// What was said of it: JSON.
    pub report: Option<String>,
    /// Version.
    pub version: i64,
}

/// A calendar as a manager describes it.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct CalendarSaid {
    /// See [`CalendarRow`].
    pub name: String,
    /// See [`CalendarRow`].
    pub court_id: Option<i64>,
    /// See [`CalendarRow`].
    pub courts: BTreeMap<String, i64>,
    /// See [`CalendarRow`].
    pub makes: Makes,
    /// See [`CalendarRow`].
    pub short_turnaround: bool,
    /// See [`CalendarRow`].
    pub address: Option<String>,
    /// See [`CalendarRow`].
    pub allow_private: bool,
}

/// A site's calendars, in order of id.
pub fn calendar_list(conn: &mut Conn, scope: &Scope, page: Page) -> Result<Paged<CalendarRow>> {
    let rows = calendars::table
        .filter(
            calendars::site_id
                .eq(scope.site_id())
                .and(calendars::id.gt(page.after)),
        )
        .order(calendars::id)
        .limit(page.fetch())
        .select(CalendarRow::as_select())
        .load(conn)?;
    Ok(page.of(rows, |row| row.id))
}

/// One calendar.
pub fn calendar_read(conn: &mut Conn, scope: &Scope, id: i64) -> Result<CalendarRow> {
    Ok(calendars::table
        .filter(
            calendars::site_id
                .eq(scope.site_id())
                .and(calendars::id.eq(id)),
        )
        .select(CalendarRow::as_select())
        .first(conn)?)
}

/// Adds a calendar; gives its id.
pub fn calendar_add(tx: &mut Tx<'_>, scope: &Scope, said: &CalendarSaid) -> Result<i64> {
    let courts = json(&said.courts)?;
    Ok(diesel::insert_into(calendars::table)
        .values((
            calendars::site_id.eq(scope.site_id()),
            calendars::name.eq(&said.name),
            calendars::court_id.eq(said.court_id),
            calendars::courts.eq(courts),
            calendars::makes.eq(said.makes),
            calendars::short_turnaround.eq(said.short_turnaround),
            calendars::address.eq(&said.address),
            calendars::allow_private.eq(said.allow_private),
            calendars::version.eq(1),
        ))
        .returning(calendars::id)
        .get_result(tx.conn())?)
}

/// Describes a calendar anew, if it still has `version`. What its server said before is forgotten, so that the next
/// fetch takes the whole file.
pub fn calendar_edit(
    tx: &mut Tx<'_>,
    scope: &Scope,
    id: i64,
    version: i64,
    said: &CalendarSaid,
) -> Result<()> {
    let courts = json(&said.courts)?;
    let rows = diesel::update(
        calendars::table.filter(
            calendars::site_id
                .eq(scope.site_id())
                .and(calendars::id.eq(id))
                .and(calendars::version.eq(version)),
        ),
    )
    .set((
        calendars::name.eq(&said.name),
        calendars::court_id.eq(said.court_id),
        calendars::courts.eq(courts),
        calendars::short_turnaround.eq(said.short_turnaround),
        calendars::address.eq(&said.address),
        calendars::allow_private.eq(said.allow_private),
        calendars::etag.eq(None::<String>),
        calendars::last_modified.eq(None::<String>),
        calendars::fetch_error.eq(None::<String>),
        calendars::version.eq(calendars::version + 1),
    ))
    .execute(tx.conn())?;
    if rows == 1 { Ok(()) } else { Err(Error::Stale) }
}

/// Removes a calendar with its notes; what was taken of it stands.
pub fn calendar_remove(tx: &mut Tx<'_>, scope: &Scope, id: i64) -> Result<()> {
    let site = scope.site_id();
    diesel::delete(
        calendar_changes::table.filter(
            calendar_changes::site_id
                .eq(site)
                .and(calendar_changes::calendar_id.eq(id)),
        ),
    )
    .execute(tx.conn())?;
    diesel::delete(
        calendar_events::table.filter(
            calendar_events::site_id
                .eq(site)
                .and(calendar_events::calendar_id.eq(id)),
        ),
    )
    .execute(tx.conn())?;
    diesel::delete(calendars::table.filter(calendars::site_id.eq(site).and(calendars::id.eq(id))))
        .execute(tx.conn())?;
    Ok(())
}

/// What a server said of the copy it sent.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Validators {
    /// `ETag`.
    pub etag: Option<String>,
    /// `Last-Modified`.
    pub last_modified: Option<String>,
}

/// Notes that a file was taken, and what was said of it.
pub fn calendar_imported(
    tx: &mut Tx<'_>,
    scope: &Scope,
    id: i64,
    report: &impl Serialize,
) -> Result<()> {
    let (now, report) = (tx.now(), json(report)?);
    diesel::update(row(scope.site_id(), id))
        .set((calendars::imported_at.eq(now), calendars::report.eq(report)))
        .execute(tx.conn())?;
    Ok(())
}

/// Notes that the address was asked, and what came of it.
pub fn calendar_asked(
    tx: &mut Tx<'_>,
    scope: &Scope,
    id: i64,
    outcome: std::result::Result<Option<&Validators>, &str>,
) -> Result<()> {
    let now = tx.now();
    let error = outcome
        .err()
        .map(|why| why.chars().take(300).collect::<String>());
    diesel::update(row(scope.site_id(), id))
        .set((
            calendars::asked_at.eq(now),
            calendars::fetch_error.eq(error),
        ))
        .execute(tx.conn())?;
    if let Ok(Some(said)) = outcome {
        diesel::update(row(scope.site_id(), id))
            .set((
                calendars::etag.eq(&said.etag),
                calendars::last_modified.eq(&said.last_modified),
            ))
            .execute(tx.conn())?;
    }
    Ok(())
}

#[diesel::dsl::auto_type(no_type_alias)]
fn row(site: i64, id: i64) -> _ {
    calendars::table.filter(calendars::site_id.eq(site).and(calendars::id.eq(id)))
}

/// A calendar that is fetched, of whichever site.
#[derive(Clone, Debug, Queryable)]
pub struct Feed {
    /// Its site.
    pub site_id: i64,
    /// The calendar.
    pub id: i64,
    /// When it was last asked.
    pub asked_at: Option<Instant>,
}

/// Every calendar that has an address: for the job that fetches them.
pub fn feeds(conn: &mut Conn) -> Result<Vec<Feed>> {
    Ok(calendars::table
        .filter(calendars::address.is_not_null())
        .order((calendars::site_id, calendars::id))
        .select((calendars::site_id, calendars::id, calendars::asked_at))
        .load(conn)?)
}

/// Whether the user owns the installation.
pub fn is_owner(conn: &mut Conn, user_id: i64) -> Result<bool> {
    Ok(users::table
        .find(user_id)
        .select(users::is_owner)
        .first(conn)?)
}
