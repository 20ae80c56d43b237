//! Incidents and near misses: told by whoever is there, known to the managers at once, and read in full by those alone who
//! are named for it.

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::access::{NameReader, OpenIncident, Permit, ReadIncident, TellIncident};
use super::error::{FieldFault, Named, is_missing};
use super::happened::happened;
use super::notices::{Notice, notify_managers};
use super::once::Once;
use super::stops::actor;
use super::{Error, Office, Result};
use crate::store::audit::{Deed, Touch, audit_append, audit_append_about};
use crate::store::courts::court_read;
use crate::store::crews::person_read;
use crate::store::incidents::{
    self, AnyoneHurt, IncidentKind, IncidentRow, IncidentWhat, NewIncident, ReaderRow,
    incident_add, is_reader, reader_add,
};
use crate::store::members::member_read;
use crate::store::{self, Conn, Instant, Page, Paged, Scope, Standing, Tx};

const LONGEST_NOTE: usize = 4_000;
const LONGEST_PLACE: usize = 200;
const LONGEST_WHO: usize = 500;

/// An incident or near miss, as it is told.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct IncidentTold {
    /// Whether it happened, or nearly.
    pub kind: IncidentKind,
    /// What.
    pub what: IncidentWhat,
    /// The court; this or `place` is needed.
    pub court_id: Option<i64>,
    /// Where, in words, at most 200 characters.
    pub place: Option<String>,
    /// Whether anyone was hurt.
    pub anyone_hurt: AnyoneHurt,
    /// Who, in words, at most 500 characters.
    pub who_hurt: Option<String>,
    /// The person who tells it.
    pub person_id: Option<i64>,
    /// What happened, in words, at most 4,000 characters.
    pub note: Option<String>,
    /// When; now, where it is not told.
    pub happened_at: Option<Instant>,
}

/// An incident or near miss whole, for those named for it.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct WholeIncident {
    /// What others see of it.
    #[serde(flatten)]
    pub incident: IncidentRow,
    /// Whether anyone was hurt.
    pub anyone_hurt: AnyoneHurt,
    /// Who, in words.
    pub who_hurt: Option<String>,
    /// The person who told it.
    pub person_id: Option<i64>,
    /// What happened, in words.
    pub note: Option<String>,
    /// The user who sent it.
    pub sent_by: i64,
}

/// Somebody who is named to read of incidents.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[schema(as = IncidentReader)]
pub struct ReaderView {
    /// Id.
    pub id: i64,
    /// The user.
    pub user_id: i64,
    /// Since when.
    pub named_at: Instant,
    /// The user who named them.
    pub named_by: i64,
}

/// Somebody is to be named.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct NewReader {
    /// A user of the site.
    pub user_id: i64,
}

impl From<ReaderRow> for ReaderView {
    fn from(row: ReaderRow) -> Self {
        Self {
            id: row.id,
            user_id: row.user_id,
            named_at: row.named_at,
            named_by: row.named_by,
        }
    }
}

/// Tells an incident or near miss: the site's managers are mailed that there is one.
pub fn incident_tell(
    office: &Office,
    permit: &Permit<TellIncident>,
    client_key: String,
    told: &IncidentTold,
) -> Result<IncidentRow> {
    let once = Once::new(client_key, "incidents".into(), told)?;
    office.db.write(permit, |tx| {
        once.run(tx, permit, |tx| tell(tx, permit, told, &once.client_key))
    })
}

fn tell(
    tx: &mut Tx<'_>,
    scope: &Scope,
    told: &IncidentTold,
    client_key: &str,
) -> Result<IncidentRow> {
    let happened_at = happened(tx.now(), told.happened_at, "/happened_at")?;
    let mut faults = Vec::new();
    let place = text("/place", told.place.as_deref(), LONGEST_PLACE, &mut faults);
    let who_hurt = text(
        "/who_hurt",
        told.who_hurt.as_deref(),
        LONGEST_WHO,
        &mut faults,
    );
    let note = text("/note", told.note.as_deref(), LONGEST_NOTE, &mut faults);
    match told.court_id {
        Some(court) => is_known(
            court_read(tx.conn(), scope, court),
            ("/court_id", "court"),
            &mut faults,
        )?,
        None if place.is_none() => {
            let mend = "say where: name the court, or tell the place in words";
            faults.push(FieldFault::new("/place", mend));
        }
        None => {}
    }
    if let Some(person) = told.person_id {
        let known = person_read(tx.conn(), scope, person);
        is_known(known, ("/person_id", "person"), &mut faults)?;
    }
    if !faults.is_empty() {
        return Err(Error::Refused(faults));
    }
    let new = NewIncident {
        kind: told.kind,
        what: told.what,
        court_id: told.court_id,
        place,
        anyone_hurt: told.anyone_hurt,
        who_hurt,
        person_id: told.person_id,
        note,
        happened_at,
        user_id: actor(scope)?,
        client_key,
    };
    let id = incident_add(tx, scope, &new)?;
    let deed = Deed {
        verb: "told",
        subject: "incident",
        id,
        data: serde_json::json!({
            "kind": told.kind, "court": told.court_id, "happened_at": happened_at,
        }),
    };
    let about: Vec<Touch> = told
        .court_id
        .map(|court| ("court", court))
        .into_iter()
        .collect();
    audit_append_about(tx, scope, &deed, &about)?;
    notify_managers(tx, scope, Notice::Incident(id))?;
    Ok(incidents::incident_read(tx.conn(), scope, id)?)
}

/// The site's incidents, without their details, for its managers and those named for them.
pub fn incident_list(
    office: &Office,
    permit: &Permit<ReadIncident>,
    page: Page,
) -> Result<Paged<IncidentRow>> {
    office.db.read(|conn| {
        if !permit.is_any(&[Standing::Manager]) {
            named(conn, permit)?;
        }
        Ok(incidents::incident_list(conn, permit, false, page)?)
    })
}

/// An incident whole. Only those named for it read it, and each reading is noted.
pub fn incident_read(
    office: &Office,
    permit: &Permit<ReadIncident>,
    id: i64,
) -> Result<WholeIncident> {
    office.db.write(permit, |tx| {
        // A manager sees in the list which incidents there are; whoever else is not named does not learn it here.
        if !permit.is_any(&[Standing::Manager]) {
            named(tx.conn(), permit)?;
        }
        let row = incidents::incident_read(tx.conn(), permit, id).named("incident")?;
        named(tx.conn(), permit)?;
        let details = incidents::incident_details(tx.conn(), permit, id)?;
        audit_append(tx, permit, &Deed::plain("read", "incident", id))?;
        Ok(WholeIncident {
            incident: row,
            anyone_hurt: details.anyone_hurt,
            who_hurt: details.who_hurt,
            person_id: details.person_id,
            note: details.note,
            sent_by: details.user_id,
        })
    })
}

/// A manager has taken notice of an incident: their pages do not call for it any more. Opened again, it stays as it is.
pub fn incident_open(
    office: &Office,
    permit: &Permit<OpenIncident>,
    id: i64,
    client_key: String,
) -> Result<IncidentRow> {
    let once = Once::new(client_key, format!("incidents/{id}/open"), &())?;
    office.db.write(permit, |tx| {
        once.run(tx, permit, |tx| {
            incidents::incident_read(tx.conn(), permit, id).named("incident")?;
            if incidents::incident_open(tx, permit, id, actor(permit)?)? {
                audit_append(tx, permit, &Deed::plain("opened", "incident", id))?;
            }
            Ok(incidents::incident_read(tx.conn(), permit, id)?)
        })
    })
}

/// How many incidents no manager has opened.
pub fn incidents_unopened(office: &Office, permit: &Permit<OpenIncident>) -> Result<i64> {
    Ok(office
        .db
        .read(|conn| incidents::incidents_unopened(conn, permit))?)
}

/// Who is named to read of incidents.
pub fn reader_list(
    office: &Office,
    permit: &Permit<NameReader>,
    page: Page,
) -> Result<Paged<ReaderView>> {
    let rows = office
        .db
        .read(|conn| incidents::reader_list(conn, permit, page))?;
    Ok(rows.map(ReaderView::from))
}

/// Names a user of the site to read of incidents.
pub fn reader_name(
    office: &Office,
    permit: &Permit<NameReader>,
    client_key: String,
    new: &NewReader,
) -> Result<ReaderView> {
    let once = Once::new(client_key, "incident readers".into(), new)?;
    office.db.write(permit, |tx| {
        once.run(tx, permit, |tx| {
            let user = member_read(tx.conn(), permit, new.user_id).map_err(|why| match why {
                store::Error::NotFound => {
                    Error::refused("/user_id", "nobody with this id signs in to this site")
                }
                other => other.into(),
            })?;
            if is_reader(tx.conn(), permit, user.user_id)? {
                return Err(Error::state("they are named already".into()));
            }
            let now = tx.now();
            let by = actor(permit)?;
            let id = reader_add(tx, permit, user.user_id, by)?;
            note_reader(tx, permit, "named", user.user_id)?;
            Ok(ReaderView {
                id,
                user_id: user.user_id,
                named_at: now,
                named_by: by,
            })
        })
    })
}

/// Takes somebody off who was named.
pub fn reader_remove(office: &Office, permit: &Permit<NameReader>, id: i64) -> Result<()> {
    office.db.write(permit, |tx| {
        let user = incidents::reader_remove(tx, permit, id).named("reader of incidents")?;
        note_reader(tx, permit, "removed", user)
    })
}

/// Whether the asker is named to read of incidents.
pub fn reads_incidents(office: &Office, permit: &Permit<ReadIncident>) -> Result<bool> {
    Ok(office.db.read(|conn| is_named(conn, permit))?)
}

/// The same within a transaction.
pub(super) fn is_named(conn: &mut Conn, scope: &Scope) -> store::Result<bool> {
    match scope.user_id() {
        Some(user) => is_reader(conn, scope, user),
        None => Ok(false),
    }
}

fn named(conn: &mut Conn, scope: &Scope) -> Result<()> {
    if is_named(conn, scope)? {
        return Ok(());
    }
    Err(Error::NotAllowed(
        "somebody whom a manager has named to read of incidents".into(),
    ))
}

fn note_reader(tx: &mut Tx<'_>, scope: &Scope, verb: &str, user: i64) -> Result<()> {
    let deed = Deed::plain(verb, "incident_reader", user);
    Ok(audit_append_about(tx, scope, &deed, &[("user", user)])?)
}

fn is_known<T>(
    found: store::Result<T>,
    (field, word): (&str, &str),
    faults: &mut Vec<FieldFault>,
) -> store::Result<()> {
    if is_missing(found)? {
        let mend = format!("this site has no {word} with this id");
        faults.push(FieldFault::new(field, mend));
    }
    Ok(())
}

fn text<'a>(
    field: &str,
    told: Option<&'a str>,
    longest: usize,
    faults: &mut Vec<FieldFault>,
) -> Option<&'a str> {
    let told = told.map(str::trim).filter(|told| !told.is_empty())?;
    if told.chars().count() > longest {
        let mend = format!("say it in at most {longest} characters");
        faults.push(FieldFault::new(field, mend));
    }
    Some(told)
}
