//! Calendars that a site's play comes from: described by a manager, taken by [`import`], and what they would change on
//! planned dates decided by [`changes`].

pub mod changes;
mod decide;
pub mod feed;
pub mod import;
pub mod read;

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::access::{EditCalendars, Permit, SeeCalendars};
use super::error::{FieldFault, Named};
use super::once::Once;
use super::{Error, Office, Result};
use crate::store::audit::{Change, Deed, audit_append, audit_edit};
use crate::store::calendars::{self as rows, CalendarRow, CalendarSaid, Makes};
use crate::store::courts::court_read;
use crate::store::{self, Conn, Instant, Page, Paged, Scope, Tx};

/// A calendar.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[schema(as = Calendar)]
pub struct CalendarView {
    /// Id.
    pub id: i64,
    /// What the site calls it.
    pub name: String,
    /// The one court all its events are on; none where each event names its own.
    pub court_id: Option<i64>,
    /// The site's own names of places, each with its court; a court's name needs none.
    pub courts: BTreeMap<String, i64>,
    /// Whether its events are play or closures.
    pub makes: Makes,
    /// Whether the turnarounds after its sessions may be short.
    pub short_turnaround: bool,
    /// Where it is fetched from every few minutes.
    pub address: Option<String>,
    /// Whether the address may lie in a private network.
    pub allow_private: bool,
    /// When the address was last asked.
    pub asked_at: Option<Instant>,
    /// Why that gave nothing.
    pub fetch_error: Option<String>,
    /// When a file was last taken.
    pub imported_at: Option<Instant>,
    /// What became of it.
    pub report: Option<import::Report>,
    /// Version.
    pub version: i64,
}

impl From<CalendarRow> for CalendarView {
    fn from(row: CalendarRow) -> Self {
        let report = row.report.and_then(|text| serde_json::from_str(&text).ok());
        Self {
            id: row.id,
            name: row.name,
            court_id: row.court_id,
            courts: row.courts.0,
            makes: row.makes,
            short_turnaround: row.short_turnaround,
            address: row.address,
            allow_private: row.allow_private,
            asked_at: row.asked_at,
            fetch_error: row.fetch_error,
            imported_at: row.imported_at,
            report,
            version: row.version,
        }
    }
}

/// A calendar as it is to be.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct CalendarEdit {
    /// What the site calls it, 1 to 120 characters.
    pub name: String,
    /// The one court all its events are on; leave it out where each event names its own in `LOCATION`.
    #[serde(default)]
    pub court_id: Option<i64>,
    /// The site's own names of places, each with its court.
    #[serde(default)]
    pub courts: BTreeMap<String, i64>,
    /// Whether its events are play or closures; it cannot be changed later.
    #[serde(default = "sessions")]
    pub makes: Makes,
    /// Whether the turnarounds after its sessions may be short.
    #[serde(default)]
    pub short_turnaround: bool,
    /// Where it is fetched from: https.
    #[serde(default)]
    pub address: Option<String>,
    /// Whether the address may lie in a private network: only an owner may say so.
    #[serde(default)]
    pub allow_private: bool,
}

const fn sessions() -> Makes {
    Makes::Sessions
}

/// The site's calendars.
pub fn calendar_list(
    office: &Office,
    permit: &Permit<SeeCalendars>,
    page: Page,
) -> Result<Paged<CalendarView>> {
    let rows = office
        .db
        .read(|conn| rows::calendar_list(conn, permit, page))?;
    Ok(rows.map(CalendarView::from))
}

/// One calendar.
pub fn calendar_read(
    office: &Office,
    permit: &Permit<SeeCalendars>,
    id: i64,
) -> Result<CalendarView> {
    let row = office
        .db
        .read(|conn| rows::calendar_read(conn, permit, id).named("calendar"))?;
    Ok(row.into())
}

/// Adds a calendar. [`Error::State`] where another has its name.
pub fn calendar_add(
    office: &Office,
    permit: &Permit<EditCalendars>,
    edit: &CalendarEdit,
    key: String,
) -> Result<CalendarView> {
    let once = Once::new(key, "add calendar".into(), edit)?;
    office.db.write(permit, |tx| {
        once.run(tx, permit, |tx| {
            let said = checked(tx.conn(), permit, edit, None)?;
            let id = named(rows::calendar_add(tx, permit, &said))?;
            note(tx, permit, "added", id)?;
            Ok(rows::calendar_read(tx.conn(), permit, id)?.into())
        })
    })
}

/// Describes a calendar anew, if it still has `version`. What was taken of it follows with the next file.
pub fn calendar_edit(
    office: &Office,
    permit: &Permit<EditCalendars>,
    id: i64,
    version: i64,
    edit: &CalendarEdit,
) -> Result<CalendarView> {
    office.db.write(permit, |tx| {
        let before = rows::calendar_read(tx.conn(), permit, id).named("calendar")?;
        let said = checked(tx.conn(), permit, edit, Some(&before))?;
        named(rows::calendar_edit(tx, permit, id, version, &said))?;
        let after = rows::calendar_read(tx.conn(), permit, id)?;
        let change = Change::between(
            &CalendarView::from(before),
            &CalendarView::from(after.clone()),
        )?;
        let deed = Deed::plain("edited", "calendar", id);
        // An address may hold the key to a calendar.
        audit_edit(tx, permit, deed, change, &["address"])?;
        Ok(after.into())
    })
}

/// Removes a calendar. The sessions and closures that came of it stand; nothing moves them any more.
pub fn calendar_remove(office: &Office, permit: &Permit<EditCalendars>, id: i64) -> Result<()> {
    office.db.write(permit, |tx| {
        rows::calendar_read(tx.conn(), permit, id).named("calendar")?;
        rows::calendar_remove(tx, permit, id)?;
        note(tx, permit, "removed", id)
    })
}

fn note(tx: &mut Tx<'_>, scope: &Scope, verb: &str, id: i64) -> Result<()> {
    let deed = Deed::plain(verb, "calendar", id);
    Ok(audit_append(tx, scope, &deed)?)
}

fn named<T>(done: store::Result<T>) -> Result<T> {
    match done {
        Err(store::Error::Taken(_)) => Err(Error::state(
            "another calendar has this name: give it one of its own".into(),
        )),
        other => Ok(other?),
    }
}

/// Longest name of a calendar or a place, characters.
const NAME_CHARS: usize = 120;
/// Most places a calendar may name.
const MOST_PLACES: usize = 500;
/// Longest address, bytes.
const ADDRESS_BYTES: usize = 2_000;

/// Holds a description against the site and against what its actor may allow.
fn checked(
    conn: &mut Conn,
    scope: &Scope,
    edit: &CalendarEdit,
    before: Option<&CalendarRow>,
) -> Result<CalendarSaid> {
    let mut faults = Vec::new();
    let mut fault = |field: &str, detail: &str| faults.push(FieldFault::new(field, detail));
    let one_line = |text: &str| {
        !text.is_empty()
            && text.chars().count() <= NAME_CHARS
            && !text.chars().any(char::is_control)
    };
    let name = edit.name.trim();
    if !one_line(name) {
        fault(
            "/name",
            "give the calendar a name in one line of 1 to 120 characters",
        );
    }
    if edit.courts.len() > MOST_PLACES || !edit.courts.keys().all(|place| one_line(place.trim())) {
        fault(
            "/courts",
            "name at most 500 places, each in one line of 1 to 120 characters",
        );
    }
    if edit.court_id.is_some() && !edit.courts.is_empty() {
        fault("/courts", "name one court or places, not both");
    }
    if before.is_some_and(|before| before.makes != edit.makes) {
        fault(
            "/makes",
            "what a calendar makes stays as it is: add another calendar",
        );
    }
    let address = edit
        .address
        .as_deref()
        .map(str::trim)
        .filter(|address| !address.is_empty());
    if address.is_some_and(|address| !is_address(address, edit.allow_private)) {
        let mend =
            "give a web address that begins with https:// and names a host, without a password";
        fault("/address", mend);
    }
    let newly_private = edit.allow_private && !before.is_some_and(|before| before.allow_private);
    let moved = before.is_some_and(|before| before.address.as_deref() != address);
    if newly_private || (edit.allow_private && moved) {
        let owner = match scope.user_id() {
            Some(user) => rows::is_owner(conn, user)?,
            None => true,
        };
        if !owner {
            fault(
                "/allow_private",
                "only the owner of the installation may allow an address in a private network",
            );
        }
    }
    if let Some(id) = edit.court_id
        && missing(conn, scope, id)?
    {
        fault("/court_id", "no such court here");
    }
    for (place, id) in edit.courts.iter().take(MOST_PLACES) {
        if missing(conn, scope, *id)? {
            let place = place.replace('~', "~0").replace('/', "~1");
            fault(&format!("/courts/{place}"), "no such court here");
        }
    }
    if !faults.is_empty() {
        return Err(Error::Refused(faults));
    }
    Ok(CalendarSaid {
        name: name.to_owned(),
        court_id: edit.court_id,
        courts: edit.courts.clone(),
        makes: edit.makes,
        short_turnaround: edit.short_turnaround,
        address: address.map(str::to_owned),
        allow_private: edit.allow_private,
    })
}

fn missing(conn: &mut Conn, scope: &Scope, court_id: i64) -> Result<bool> {
    match court_read(conn, scope, court_id) {
        Ok(_) => Ok(false),
        Err(store::Error::NotFound) => Ok(true),
        Err(why) => Err(why.into()),
    }
}

/// Whether an address can be asked at all; where it leads is looked at when it is. Within one's own network, which only
/// an owner allows, it may be plain http.
fn is_address(text: &str, private: bool) -> bool {
    let (scheme, rest) = text.split_once("://").unwrap_or_default();
    let host = rest.split(['/', '?', '#']).next().unwrap_or_default();
    let by_http = private && scheme.eq_ignore_ascii_case("http");
    (scheme.eq_ignore_ascii_case("https") || by_http)
        && text.len() <= ADDRESS_BYTES
        && text.chars().all(|c| c.is_ascii_graphic())
        && !host.is_empty()
        // A password in an address would stand in pages and logs.
        && !host.contains('@')
}
