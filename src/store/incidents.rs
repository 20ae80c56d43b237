//! Incidents and near misses, and who is named to read of them.

use diesel::prelude::*;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::columns::words;
use super::db::{Conn, Tx};
use super::schema::{courts, incident_readers, incidents};
use super::{Instant, Page, Paged, Result, Scope};

words! {
    /// Whether something happened, or nearly.
    IncidentKind {
        /// It happened.
        Incident = "incident",
        /// It nearly happened.
        NearMiss = "near_miss",
    }
}

words! {
    /// What happened, or nearly.
    IncidentWhat {
        /// Somebody slipped or fell.
        SlipOrFall = "slip_or_fall",
        /// Somebody was struck or caught by something.
        Struck = "struck",
        /// A cut.
        Cut = "cut",
        /// Heat.
        Heat = "heat",
        /// A chemical.
        Chemical = "chemical",
        /// Electricity.
        Electric = "electric",
        /// A cart, roller or other vehicle.
        Vehicle = "vehicle",
        /// Something else.
        Other = "other",
    }
}

words! {
    /// Whether anyone was hurt.
    AnyoneHurt {
        /// Somebody was.
        Yes = "yes",
        /// Nobody was.
        No = "no",
        /// Nobody knows.
        Unknown = "unknown",
    }
}

/// An incident or near miss, without what only those named for it read.
#[derive(Clone, Debug, Queryable, Serialize, Deserialize, ToSchema)]
#[schema(as = Incident)]
pub struct IncidentRow {
    /// Id.
    pub id: i64,
    /// Whether it happened, or nearly.
    pub kind: IncidentKind,
    /// What.
    pub what: IncidentWhat,
    /// The court; null where it was elsewhere.
    pub court_id: Option<i64>,
    /// Its name.
    pub court: Option<String>,
    /// Where else, in words.
    pub place: Option<String>,
    /// When.
    pub happened_at: Instant,
    /// When the office learned of it.
    pub learned_at: Instant,
    /// When a manager opened it; null until then.
    pub opened_at: Option<Instant>,
    /// The user who did.
    pub opened_by: Option<i64>,
}

/// What only those named for incidents read.
#[derive(Clone, Debug, Queryable)]
pub struct IncidentDetails {
    /// Whether anyone was hurt.
    pub anyone_hurt: AnyoneHurt,
    /// Who, in words.
    pub who_hurt: Option<String>,
    /// The person who tells it.
    pub person_id: Option<i64>,
    /// What happened, in words.
    pub note: Option<String>,
    /// The user who sent it.
    pub user_id: i64,
}

/// An incident to be added.
#[derive(Clone, Debug)]
pub struct NewIncident<'a> {
    /// Whether it happened, or nearly.
    pub kind: IncidentKind,
    /// What.
    pub what: IncidentWhat,
    /// The court.
    pub court_id: Option<i64>,
    /// Where else, in words.
    pub place: Option<&'a str>,
    /// Whether anyone was hurt.
    pub anyone_hurt: AnyoneHurt,
    /// Who, in words.
    pub who_hurt: Option<&'a str>,
    /// The person who tells it.
    pub person_id: Option<i64>,
    /// What happened, in words.
    pub note: Option<&'a str>,
    /// When.
    pub happened_at: Instant,
    /// The user who sends it.
    pub user_id: i64,
    /// The client's own key of it.
    pub client_key: &'a str,
}

/// Somebody who is named to read of incidents.
#[derive(Clone, Debug, Queryable)]
pub struct ReaderRow {
    /// Id.
    pub id: i64,
    /// The user.
    pub user_id: i64,
    /// Since when.
    pub named_at: Instant,
    /// Who named them.
    pub named_by: i64,
}

/// Adds an incident; gives its id.
pub fn incident_add(tx: &mut Tx<'_>, scope: &Scope, new: &NewIncident<'_>) -> Result<i64> {
    let now = tx.now();
    Ok(diesel::insert_into(incidents::table)
        .values((
            incidents::site_id.eq(scope.site_id()),
            incidents::kind.eq(new.kind),
            incidents::what.eq(new.what),
            incidents::court_id.eq(new.court_id),
            incidents::place.eq(new.place),
            incidents::anyone_hurt.eq(new.anyone_hurt),
            incidents::who_hurt.eq(new.who_hurt),
            incidents::person_id.eq(new.person_id),
            incidents::note.eq(new.note),
            incidents::happened_at.eq(new.happened_at),
            incidents::learned_at.eq(now),
            incidents::user_id.eq(new.user_id),
            incidents::client_key.eq(new.client_key),
        ))
        .returning(incidents::id)
        .get_result(tx.conn())?)
}

/// What an [`IncidentRow`] is read from.
#[diesel::dsl::auto_type(no_type_alias)]
fn columns() -> _ {
    (
        incidents::id,
        incidents::kind,
        incidents::what,
        incidents::court_id,
        courts::name.nullable(),
        incidents::place,
        incidents::happened_at,
        incidents::learned_at,
        incidents::opened_at,
        incidents::opened_by,
    )
}

/// The site's incidents, of those only that no manager opened yet where `unopened`; in order of id.
pub fn incident_list(
    conn: &mut Conn,
    scope: &Scope,
    unopened: bool,
    page: Page,
) -> Result<Paged<IncidentRow>> {
    let mut query = incidents::table
        .left_join(courts::table)
        .filter(
            incidents::site_id
                .eq(scope.site_id())
                .and(incidents::id.gt(page.after)),
        )
        .into_boxed();
    if unopened {
        query = query.filter(incidents::opened_at.is_null());
    }
    let rows = query
        .order(incidents::id)
        .limit(page.fetch())
        .select(columns())
        .load(conn)?;
    Ok(page.of(rows, |incident: &IncidentRow| incident.id))
}

/// One incident of the site.
pub fn incident_read(conn: &mut Conn, scope: &Scope, id: i64) -> Result<IncidentRow> {
    Ok(incidents::table
        .left_join(courts::table)
        .filter(
            incidents::site_id
                .eq(scope.site_id())
                .and(incidents::id.eq(id)),
        )
        .select(columns())
        .first(conn)?)
}

/// What of an incident only those named for it read. Whoever calls this notes that it was read.
pub fn incident_details(conn: &mut Conn, scope: &Scope, id: i64) -> Result<IncidentDetails> {
    Ok(incidents::table
        .filter(
            incidents::site_id
                .eq(scope.site_id())
                .and(incidents::id.eq(id)),
        )
        .select((
            incidents::anyone_hurt,
            incidents::who_hurt,
            incidents::person_id,
            incidents::note,
            incidents::user_id,
        ))
        .first(conn)?)
}

/// How many incidents no manager has opened.
pub fn incidents_unopened(conn: &mut Conn, scope: &Scope) -> Result<i64> {
    Ok(incidents::table
        .filter(
            incidents::site_id
                .eq(scope.site_id())
                .and(incidents::opened_at.is_null()),
        )
        .count()
        .get_result(conn)?)
}

/// A manager opens an incident that none has opened; says whether it was the first time.
pub fn incident_open(tx: &mut Tx<'_>, scope: &Scope, id: i64, by: i64) -> Result<bool> {
    let now = tx.now();
    let rows = diesel::update(
        incidents::table.filter(
            incidents::site_id
                .eq(scope.site_id())
                .and(incidents::id.eq(id))
                .and(incidents::opened_at.is_null()),
        ),
    )
    .set((incidents::opened_at.eq(now), incidents::opened_by.eq(by)))
    .execute(tx.conn())?;
    Ok(rows == 1)
}

/// Who is named to read of incidents.
pub fn reader_list(conn: &mut Conn, scope: &Scope, page: Page) -> Result<Paged<ReaderRow>> {
    let rows = incident_readers::table
        .filter(
            incident_readers::site_id
                .eq(scope.site_id())
                .and(incident_readers::id.gt(page.after)),
        )
        .order(incident_readers::id)
        .limit(page.fetch())
        .select((
            incident_readers::id,
            incident_readers::user_id,
            incident_readers::named_at,
            incident_readers::named_by,
        ))
        .load(conn)?;
    Ok(page.of(rows, |reader: &ReaderRow| reader.id))
}

/// Whether a user is named to read of incidents.
pub fn is_reader(conn: &mut Conn, scope: &Scope, user_id: i64) -> Result<bool> {
    let named = incident_readers::table.filter(
        incident_readers::site_id
            .eq(scope.site_id())
            .and(incident_readers::user_id.eq(user_id)),
    );
    Ok(diesel::select(diesel::dsl::exists(named)).get_result(conn)?)
}

/// Names somebody; gives the id of the row.
pub fn reader_add(tx: &mut Tx<'_>, scope: &Scope, user_id: i64, by: i64) -> Result<i64> {
    let now = tx.now();
    Ok(diesel::insert_into(incident_readers::table)
        .values((
            incident_readers::site_id.eq(scope.site_id()),
            incident_readers::user_id.eq(user_id),
            incident_readers::named_at.eq(now),
            incident_readers::named_by.eq(by),
        ))
        .returning(incident_readers::id)
        .get_result(tx.conn())?)
}

/// Takes a name off; gives the user.
pub fn reader_remove(tx: &mut Tx<'_>, scope: &Scope, id: i64) -> Result<i64> {
    let row = incident_readers::table.filter(
        incident_readers::site_id
            .eq(scope.site_id())
            .and(incident_readers::id.eq(id)),
    );
    Ok(diesel::delete(row)
        .returning(incident_readers::user_id)
        .get_result(tx.conn())?)
}

/// Whoever leaves the site is not named any more, also where they come back.
pub fn reader_forget(tx: &mut Tx<'_>, scope: &Scope, user_id: i64) -> Result<()> {
    let row = incident_readers::table.filter(
        incident_readers::site_id
            .eq(scope.site_id())
            .and(incident_readers::user_id.eq(user_id)),
    );
    diesel::delete(row).execute(tx.conn())?;
    Ok(())
}
