//! Stops: lightning, one tap for the whole site, and heat, for the site or one crew.
//!
//! A lightning stop is released by a person, and by nobody before the wait that the site sets is over
//! (usual: 30 minutes after the last thunder, advice of the US Weather Service, not law). A heat stop
//! is logged without blame: no reason is asked, nobody is named, whoever is there ends it.

use std::collections::HashMap;

use chrono::TimeDelta;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::access::{Permit, ReleaseStop, SeeSite, TellStop};
use super::error::Named;
use super::happened::time_fault;
use super::holds::{HoldView, holds_on};
use super::once::Once;
use super::settings::Settings;
use super::settings::known::LIGHTNING_WAIT_S;
use super::{Error, Office, Result};
use crate::store::audit::{Deed, audit_append};
use crate::store::crews::crew_read;
use crate::store::stops::{
    self, NewStopEvent, StopEvent, StopEventRow, StopFilter, StopKind, StopRow, stop_event_add,
    stop_events_of,
};
use crate::store::{self, Conn, Instant, Page, Paged, Scope, Tx};

/// What is told later than this stops nobody any more.
const LATEST: TimeDelta = TimeDelta::hours(24);

/// Lightning or heat, as it is told.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct StopTold {
    /// Why work stops.
    pub kind: StopKind,
    /// The crew that stops for heat; the whole site, where it is not told. Lightning always stops all.
    pub crew_id: Option<i64>,
    /// When; now, where it is not told.
    pub happened_at: Option<Instant>,
}

/// A stop.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[schema(as = Stop)]
pub struct StopView {
    /// Id.
    pub id: i64,
    /// Why work stops.
    pub kind: StopKind,
    /// The crew that stops; null where it is the whole site.
    pub crew_id: Option<i64>,
    /// Its name.
    pub crew: Option<String>,
    /// Whether it is on.
    pub is_on: bool,
    /// When it began.
    pub told_at: Instant,
    /// Who told it; null with heat, which names nobody.
    pub told_by: Option<String>,
    /// When thunder was last told; null with heat.
    pub last_thunder_at: Option<Instant>,
    /// Before this nobody releases it; null with heat, and once it is over.
    pub release_from: Option<Instant>,
    /// When it was released.
    pub released_at: Option<Instant>,
    /// Who released it; null with heat.
    pub released_by: Option<String>,
}

/// What keeps courts shut and people in as of now.
#[derive(Clone, Debug, Default, Serialize, ToSchema)]
pub struct Standing {
    /// The lightning stop that is on; null where there is none. Rounds pause and every court is held.
    pub stop: Option<StopView>,
    /// The heat stops that are on.
    pub heat_stops: Vec<StopView>,
    /// The holds that are on, each of one court.
    pub held: Vec<HoldView>,
}

/// The stops and holds that are on: a fixed number of queries.
pub fn standing(conn: &mut Conn, scope: &Scope) -> store::Result<Standing> {
    let (lightning, heat_stops) = on_now(conn, scope)?
        .into_iter()
        .partition::<Vec<_>, _>(|stop| stop.kind == StopKind::Lightning);
    Ok(Standing {
        stop: lightning.into_iter().next(),
        heat_stops,
        held: holds_on(conn, scope)?,
    })
}

/// The site's stops that pass the filter.
pub fn stop_list(
    office: &Office,
    permit: &Permit<SeeSite>,
    filter: StopFilter,
    page: Page,
) -> Result<Paged<StopView>> {
    Ok(office.db.read(|conn| -> store::Result<_> {
        let Paged { items, next } = stops::stop_list(conn, permit, filter, page)?;
        let items = views(conn, permit, items)?;
        Ok(Paged { items, next })
    })?)
}

/// The stops that are on now.
pub fn stops_on(office: &Office, permit: &Permit<SeeSite>) -> Result<Vec<StopView>> {
    Ok(office.db.read(|conn| on_now(conn, permit))?)
}

/// Tells lightning or heat. Where such a stop is on already, it is told again: with lightning the wait
/// begins anew.
pub fn stop_tell(
    office: &Office,
    permit: &Permit<TellStop>,
    client_key: String,
    told: &StopTold,
) -> Result<StopView> {
    let once = Once::new(client_key, "stops".into(), told)?;
    office.db.write(permit, |tx| {
        once.run(tx, permit, |tx| tell(tx, permit, told, &once.client_key))
    })
}

/// Releases a lightning stop: everybody may go back out. [`Error::State`] before its wait is over.
pub fn stop_release(
    office: &Office,
    permit: &Permit<ReleaseStop>,
    id: i64,
    client_key: String,
) -> Result<StopView> {
    let once = Once::new(client_key, format!("stops/{id}/release"), &())?;
    office.db.write(permit, |tx| {
        once.run(tx, permit, |tx| {
            let stop = one_on(tx, permit, id)?;
            if stop.kind != StopKind::Lightning {
                return Err(Error::state(
                    "this is a heat stop: whoever is there ends it with /end".into(),
                ));
            }
            let now = tx.now();
            if let Some(from) = stop.release_from.filter(|from| now < *from) {
                return Err(Error::state(format!(
                    "too early: the last thunder was at {}, so nobody goes back out before {from}",
                    stop.last_thunder_at.unwrap_or(stop.told_at)
                )));
            }
            end(tx, permit, &stop, &once.client_key)
        })
    })
}

/// Ends a heat stop.
pub fn stop_end(
    office: &Office,
    permit: &Permit<TellStop>,
    id: i64,
    client_key: String,
) -> Result<StopView> {
    let once = Once::new(client_key, format!("stops/{id}/end"), &())?;
    office.db.write(permit, |tx| {
        once.run(tx, permit, |tx| {
            let stop = one_on(tx, permit, id)?;
            if stop.kind != StopKind::Heat {
                return Err(Error::state(
                    "this is a lightning stop: a manager or crew lead releases it".into(),
                ));
            }
            end(tx, permit, &stop, &once.client_key)
        })
    })
}

/// That no lightning keeps people in at `at`: what was begun before it was told is no fault.
pub(super) fn no_lightning(conn: &mut Conn, scope: &Scope, at: Instant) -> Result<()> {
    let on = on_now(conn, scope)?;
    let lightning = |stop: &&StopView| stop.kind == StopKind::Lightning && stop.told_at <= at;
    match on.iter().find(lightning) {
        None => Ok(()),
        Some(stop) => Err(Error::state_of(
            ("lightning", [("since", serde_json::json!(stop.told_at))]),
            format!(
                "lightning since {}: everyone goes in and no work is begun until a manager or crew \
                 lead releases the stop; what is under way can be finished or left undone",
                stop.told_at
            ),
        )),
    }
}

fn tell(
    tx: &mut Tx<'_>,
    permit: &Permit<TellStop>,
    told: &StopTold,
    client_key: &str,
) -> Result<StopView> {
    let at = when(tx.now(), told.happened_at)?;
    if let Some(crew) = told.crew_id {
        if told.kind == StopKind::Lightning {
            let mend = "leave it out: lightning stops the whole site";
            return Err(Error::refused("/crew_id", mend));
        }
        crew_read(tx.conn(), permit, crew).map_err(|why| match why {
            store::Error::NotFound => {
                Error::refused("/crew_id", "this site has no crew with this id")
            }
            other => other.into(),
        })?;
    }
    let on = on_now(tx.conn(), permit)?;
    let before = on
        .iter()
        .find(|stop| stop.kind == told.kind && stop.crew_id == told.crew_id);
    let event = NewStopEvent {
        stop_id: before.map(|stop| stop.id),
        kind: told.kind,
        event: before.map_or(StopEvent::Told, |_| StopEvent::Again),
        crew_id: told.crew_id,
        happened_at: at,
        user_id: actor(permit)?,
        client_key,
    };
    let added = stop_event_add(tx, permit, &event)?;
    let id = event.stop_id.unwrap_or(added);
    note(tx, permit, id, &event)?;
    read(tx.conn(), permit, id)
}

fn end(tx: &mut Tx<'_>, scope: &Scope, stop: &StopView, client_key: &str) -> Result<StopView> {
    let event = NewStopEvent {
        stop_id: Some(stop.id),
        kind: stop.kind,
        event: StopEvent::Released,
        crew_id: stop.crew_id,
        happened_at: tx.now(),
        user_id: actor(scope)?,
        client_key,
    };
    stop_event_add(tx, scope, &event)?;
    note(tx, scope, stop.id, &event)?;
    read(tx.conn(), scope, stop.id)
}

fn note(tx: &mut Tx<'_>, scope: &Scope, id: i64, event: &NewStopEvent<'_>) -> Result<()> {
    audit_append(
        tx,
        scope,
        &Deed {
            verb: event.event.as_str(),
            subject: "stop",
            id,
            data: serde_json::json!({
                "kind": event.kind, "crew": event.crew_id, "happened_at": event.happened_at,
            }),
        },
    )?;
    Ok(())
}

fn one_on(tx: &mut Tx<'_>, scope: &Scope, id: i64) -> Result<StopView> {
    let stop = read(tx.conn(), scope, id)?;
    if stop.is_on {
        return Ok(stop);
    }
    Err(Error::state(
        "this stop is over already: there is nothing to release".into(),
    ))
}

fn read(conn: &mut Conn, scope: &Scope, id: i64) -> Result<StopView> {
    let row = stops::stop_read(conn, scope, id).named("stop")?;
    let view = views(conn, scope, vec![row])?.pop();
    view.ok_or(Error::NotFound("stop"))
}

fn on_now(conn: &mut Conn, scope: &Scope) -> store::Result<Vec<StopView>> {
    let filter = StopFilter {
        on: Some(true),
        ..StopFilter::default()
    };
    let rows = stops::stop_list(conn, scope, filter, Page::ALL)?.items;
    views(conn, scope, rows)
}

/// Stops with what followed them.
fn views(conn: &mut Conn, scope: &Scope, rows: Vec<StopRow>) -> store::Result<Vec<StopView>> {
    if rows.is_empty() {
        return Ok(Vec::new());
    }
    let wait = Settings::read(conn, scope)?.number(LIGHTNING_WAIT_S);
    let wait = TimeDelta::try_seconds(wait).unwrap_or(LATEST);
    let ids: Vec<i64> = rows.iter().map(|stop| stop.id).collect();
    let mut later: HashMap<i64, Vec<StopEventRow>> = HashMap::new();
    for event in stop_events_of(conn, scope, &ids)? {
        later.entry(event.stop_id).or_default().push(event);
    }
    Ok(rows
        .into_iter()
        .map(|row| {
            let events = later.remove(&row.id).unwrap_or_default();
            view(row, &events, wait)
        })
        .collect())
}

fn view(row: StopRow, later: &[StopEventRow], wait: TimeDelta) -> StopView {
    let is_lightning = row.kind == StopKind::Lightning;
    let again = later.iter().filter(|event| event.event == StopEvent::Again);
    // A tablet without signal may tell an earlier thunder last.
    let last = again
        .map(|event| event.happened_at)
        .fold(row.happened_at, Ord::max);
    let end = later
        .iter()
        .find(|event| event.event == StopEvent::Released);
    StopView {
        id: row.id,
        kind: row.kind,
        crew_id: row.crew_id,
        crew: row.crew,
        is_on: end.is_none(),
        told_at: row.happened_at,
        told_by: Some(row.told_by).filter(|_| is_lightning),
        last_thunder_at: is_lightning.then_some(last),
        release_from: (is_lightning && end.is_none()).then(|| (last.utc() + wait).into()),
        released_at: end.map(|event| event.happened_at),
        released_by: end
            .map(|event| event.told_by.clone())
            .filter(|_| is_lightning),
    }
}

/// When it happened: not in the future, and not so long ago that it stops nobody.
pub(super) fn when(now: Instant, told: Option<Instant>) -> Result<Instant> {
    let at = told.unwrap_or(now);
    let mend = "this is more than a day ago: tell what holds now";
    match time_fault(now, at, "/happened_at", (LATEST, mend)) {
        Some(fault) => Err(Error::Refused(vec![fault])),
        None => Ok(at),
    }
}

pub(super) fn actor(scope: &Scope) -> Result<i64> {
    scope
        .user_id()
        .ok_or(Error::NotSignedIn("this is told by a user"))
}
