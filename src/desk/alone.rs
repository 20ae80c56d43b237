//! Working alone: who does, and when there was last a sign that they are well. Silence is never taken for a good sign: a
//! tablet without signal and a person who fell are silent alike.

use std::collections::HashMap;

use chrono::TimeDelta;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::access::{Permit, SeeAlone, TellAlone};
use super::error::Named;
use super::happened::happened;
use super::notices::{Notice, is_notified, notify_managers};
use super::once::Once;
use super::settings::Settings;
use super::settings::known::ALONE_CHECK_IN_MIN;
use super::stops::actor;
use super::{Office, Result};
use crate::store::alone::{
    AloneEvent, NewAloneEvent, SignRow, WatchFilter, WatchRow, alone_event_add, signs_of,
    watch_list as rows,
};
use crate::store::audit::{Deed, audit_append};
use crate::store::courts::court_read;
use crate::store::crews::{crew_read, person_read};
use crate::store::reports::{ReportedSite, reported_sites};
use crate::store::{self, Conn, Instant, Page, Paged, Scope, Tx};

/// How long after it was due a sign is missed: a tap takes its time to come through. Common practice, no source.
const GRACE: TimeDelta = TimeDelta::minutes(5);
/// What began longer ago stays on the page until somebody ends it, and is mailed no more.
const MAILED_FOR: TimeDelta = TimeDelta::days(7);

/// Somebody begins to work alone.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct AloneTold {
    /// Who.
    pub person_id: i64,
    /// Their crew.
    pub crew_id: Option<i64>,
    /// The court.
    pub court_id: Option<i64>,
    /// When; now, where it is not told.
    pub happened_at: Option<Instant>,
}

/// A sign that somebody is well, or that they work alone no more.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct SignTold {
    /// When; now, where it is not told.
    pub happened_at: Option<Instant>,
}

/// What was told of a watch.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[schema(as = AloneSign)]
pub struct SignView {
    /// Id.
    pub id: i64,
    /// The client's own key of the watch.
    pub watch_key: String,
    /// What was told.
    pub event: AloneEvent,
    /// When it happened.
    pub happened_at: Instant,
    /// When the office learned of it.
    pub learned_at: Instant,
}

/// How a watch stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum AloneState {
    /// There was a sign, and the next is not due yet. That they are well now is not known.
    Heard,
    /// A sign is due now.
    Due,
    /// None came when it was due: it is not known whether they are well.
    Missed,
    /// They work alone no more.
    Ended,
}

/// Somebody who works alone.
#[derive(Clone, Debug, Serialize, ToSchema)]
#[schema(as = Alone)]
pub struct AloneView {
    /// Id.
    pub id: i64,
    /// The client's own key of the watch.
    pub watch_key: String,
    /// Who.
    pub person_id: i64,
    /// Their name.
    pub person: String,
    /// Their crew.
    pub crew_id: Option<i64>,
    /// The court.
    pub court_id: Option<i64>,
    /// Its name.
    pub court: Option<String>,
    /// Since when.
    pub started_at: Instant,
    /// How it stands now.
    pub state: AloneState,
    /// When the last sign of life was given, as their clock had it.
    pub last_sign_at: Instant,
    /// When the office learned of that.
    pub last_sign_learned_at: Instant,
    /// When the next is due; null where the site asks for none, and once it ended.
    pub due_at: Option<Instant>,
    /// When they ended it.
    pub ended_at: Option<Instant>,
}

/// Somebody begins to work alone. `client_key` names the watch for all that is told of it later.
pub fn alone_start(
    office: &Office,
    permit: &Permit<TellAlone>,
    client_key: String,
    told: &AloneTold,
) -> Result<SignView> {
    let once = Once::new(client_key, "alone".into(), told)?;
    office.db.write(permit, |tx| {
        once.run(tx, permit, |tx| {
            let conn = tx.conn();
            person_read(conn, permit, told.person_id).known_by("/person_id")?;
            if let Some(crew) = told.crew_id {
                crew_read(conn, permit, crew).known_by("/crew_id")?;
            }
            if let Some(court) = told.court_id {
                court_read(conn, permit, court).known_by("/court_id")?;
            }
            let event = NewAloneEvent {
                watch_key: &once.client_key,
                event: AloneEvent::Started,
                person_id: Some(told.person_id),
                crew_id: told.crew_id,
                court_id: told.court_id,
                happened_at: happened(tx.now(), told.happened_at, "/happened_at")?,
                user_id: actor(permit)?,
                client_key: &once.client_key,
            };
            add(tx, permit, &event)
        })
    })
}

/// Somebody who works alone is well. It may be told before the start is, and after the end.
pub fn alone_check_in(
    office: &Office,
    permit: &Permit<TellAlone>,
    watch_key: &str,
    client_key: String,
    told: &SignTold,
) -> Result<SignView> {
    sign(
        office,
        permit,
        (watch_key, AloneEvent::CheckedIn),
        client_key,
        told,
    )
}

/// Somebody works alone no more.
pub fn alone_end(
    office: &Office,
    permit: &Permit<TellAlone>,
    watch_key: &str,
    client_key: String,
    told: &SignTold,
) -> Result<SignView> {
    sign(
        office,
        permit,
        (watch_key, AloneEvent::Ended),
        client_key,
        told,
    )
}

fn sign(
    office: &Office,
    permit: &Permit<TellAlone>,
    (watch_key, event): (&str, AloneEvent),
    client_key: String,
    told: &SignTold,
) -> Result<SignView> {
    let once = Once::new(client_key, format!("alone/{watch_key}/{event}"), told)?;
    office.db.write(permit, |tx| {
        once.run(tx, permit, |tx| {
            let event = NewAloneEvent {
                watch_key,
                event,
                person_id: None,
                crew_id: None,
                court_id: None,
                happened_at: happened(tx.now(), told.happened_at, "/happened_at")?,
                user_id: actor(permit)?,
                client_key: &once.client_key,
            };
            add(tx, permit, &event)
        })
    })
}

/// The site's watches that pass the filter, as they stand now.
pub fn alone_list(
    office: &Office,
    permit: &Permit<SeeAlone>,
    on: Option<bool>,
    page: Page,
) -> Result<Paged<AloneView>> {
    let now = office.now();
    let filter = WatchFilter {
        on,
        ..WatchFilter::default()
    };
    Ok(office
        .db
        .read(|conn| views(conn, permit, filter, page, now))?)
}

/// Mails the managers of each site that nobody was heard of who is due; once for each sign that stayed the last.
pub fn notify_of_missed(office: &Office) -> Result<()> {
    let now = office.now();
    for ReportedSite { id: site_id, .. } in office.db.read(reported_sites)? {
        let permit = Permit::<SeeAlone>::of_the_service(site_id);
        let missed: Vec<Notice> = office.db.read(|conn| -> store::Result<_> {
            let mut missed = Vec::new();
            for notice in missed_now(conn, &permit, now)? {
                if !is_notified(conn, &permit, notice)? {
                    missed.push(notice);
                }
            }
            Ok(missed)
        })?;
        if missed.is_empty() {
            continue;
        }
        office.db.write(&permit, |tx| -> Result<()> {
            for notice in missed {
                notify_managers(tx, &permit, notice)?;
            }
            Ok(())
        })?;
    }
    Ok(())
}

/// The watch with this id, where no sign of it came after `last_sign_at` and one is missed still.
pub(super) fn still_missed(
    conn: &mut Conn,
    scope: &Scope,
    id: i64,
    last_sign_at: Instant,
    now: Instant,
) -> store::Result<Option<AloneView>> {
    let on = views(conn, scope, lately_on(now), Page::ALL, now)?.items;
    Ok(on.into_iter().find(|watch| {
        watch.id == id && watch.state == AloneState::Missed && watch.last_sign_at == last_sign_at
    }))
}

fn missed_now(conn: &mut Conn, scope: &Scope, now: Instant) -> store::Result<Vec<Notice>> {
    let on = views(conn, scope, lately_on(now), Page::ALL, now)?.items;
    let missed = on
        .into_iter()
        .filter(|watch| watch.state == AloneState::Missed);
    Ok(missed
        .map(|watch| Notice::Missed {
            watch: watch.id,
            last_sign_at: watch.last_sign_at,
        })
        .collect())
}

fn lately_on(now: Instant) -> WatchFilter {
    WatchFilter {
        on: Some(true),
        learned_from: Some((now.utc() - MAILED_FOR).into()),
    }
}

fn views(
    conn: &mut Conn,
    scope: &Scope,
    filter: WatchFilter,
    page: Page,
    now: Instant,
) -> store::Result<Paged<AloneView>> {
    let watches = rows(conn, scope, filter, page)?;
    if watches.items.is_empty() {
        return Ok(watches.map(|row| view(row, &[], None, now)));
    }
    let minutes = Settings::read(conn, scope)?.number(ALONE_CHECK_IN_MIN);
    let every = TimeDelta::try_minutes(minutes).filter(|every| !every.is_zero());
    let keys: Vec<String> = watches
        .items
        .iter()
        .map(|row| row.watch_key.clone())
        .collect();
    let mut signs: HashMap<String, Vec<SignRow>> = HashMap::new();
    for sign in signs_of(conn, scope, &keys)? {
        signs.entry(sign.watch_key.clone()).or_default().push(sign);
    }
    Ok(watches.map(|row| {
        let signs = signs.remove(&row.watch_key).unwrap_or_default();
        view(row, &signs, every, now)
    }))
}

/// A watch as it stands, by whatever was told of it, in whichever order that came.
fn view(row: WatchRow, signs: &[SignRow], every: Option<TimeDelta>, now: Instant) -> AloneView {
    let end = signs.iter().find(|sign| sign.event == AloneEvent::Ended);
    let start = (row.happened_at, row.learned_at);
    let told = signs.iter().map(|sign| (sign.happened_at, sign.learned_at));
    // The latest that happened; of those at one instant the one learned first.
    let (last_sign_at, last_sign_learned_at) =
        told.fold(
            start,
            |last, sign| {
                if sign.0 > last.0 { sign } else { last }
            },
        );
    let due_at = every
        .filter(|_| end.is_none())
        .map(|every| Instant::from(last_sign_at.utc() + every));
    let state = match (end, due_at) {
        (Some(_), _) => AloneState::Ended,
        (None, Some(due)) if now.utc() >= due.utc() + GRACE => AloneState::Missed,
        (None, Some(due)) if now >= due => AloneState::Due,
        (None, _) => AloneState::Heard,
    };
    AloneView {
        id: row.id,
        watch_key: row.watch_key,
        person_id: row.person_id,
        person: row.person,
        crew_id: row.crew_id,
        court_id: row.court_id,
        court: row.court,
        started_at: row.happened_at,
        state,
        last_sign_at,
        last_sign_learned_at,
        due_at,
        ended_at: end.map(|end| end.happened_at),
    }
}

fn add(tx: &mut Tx<'_>, scope: &Scope, event: &NewAloneEvent<'_>) -> Result<SignView> {
    let id = alone_event_add(tx, scope, event)?;
    let deed = Deed {
        verb: match event.event {
            AloneEvent::Started => "started",
            AloneEvent::CheckedIn => "told",
            AloneEvent::Ended => "over",
        },
        subject: "alone",
        id,
        data: serde_json::json!({
            "watch": event.watch_key, "person": event.person_id, "court": event.court_id,
            "happened_at": event.happened_at,
        }),
    };
    audit_append(tx, scope, &deed)?;
    Ok(SignView {
        id,
        watch_key: event.watch_key.to_owned(),
        event: event.event,
        happened_at: event.happened_at,
        learned_at: tx.now(),
    })
}
