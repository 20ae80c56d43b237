//! When each net was last gauged and looked at, what came of it, and when that is due again.

use std::collections::HashMap;

use chrono::{Days, NaiveDate};
use serde::Serialize;
use trade::calendar::work_date;
use trade::care::interval_days;
use utoipa::ToSchema;

use super::NetGauged;
use super::looks::{GAUGE, LOOK, at_latest, looked_over};
use crate::desk::access::{Permit, SeeTools};
use crate::desk::care::{PlaceLastDone, TasksOfCourts, tasks_of_courts};
use crate::desk::{Office, Result};
use crate::store::net_checks::{NetPart, net_parts, newest_net_checks};
use crate::store::tool_checks::EyeVerdict;
use crate::store::tools::WearPartKind;
use crate::store::{Conn, Instant, Scope};

/// The site's nets.
#[derive(Clone, Debug, Serialize, ToSchema)]
#[schema(as = NetsOfSite)]
pub struct NetsNow {
    /// The site's own date.
    pub on: NaiveDate,
    /// A net a court, in the site's own order.
    pub nets: Vec<NetView>,
}

/// The net of a court.
#[derive(Clone, Debug, Serialize, ToSchema)]
#[schema(as = NetOfCourt)]
pub struct NetView {
    /// The court.
    pub court_id: i64,
    /// Its name.
    pub court: String,
    /// How it was gauged last; null where it never was.
    pub gauged: Option<NetGauged>,
    /// When that was.
    pub gauged_at: Option<Instant>,
    /// When it is to be gauged.
    pub gauge: LookDue,
    /// Its parts, with what the eye said of each last.
    pub parts: Vec<NetPartSeen>,
    /// When they are to be looked at.
    pub look: LookDue,
}

/// When a net is to be gauged, or looked at, again.
#[derive(Clone, Copy, Debug, Serialize, ToSchema)]
pub struct LookDue {
    /// The day on which it was last done, by a check or by a finished order; null where nobody knows.
    pub done_on: Option<NaiveDate>,
    /// The day on which it is due next.
    pub due_on: NaiveDate,
    /// Whether that day has passed.
    pub is_overdue: bool,
}

/// A part of a net.
#[derive(Clone, Copy, Debug, Serialize, ToSchema)]
#[schema(as = PartOfNet)]
pub struct NetPartSeen {
    /// The part.
    pub wear_part_id: i64,
    /// What it is.
    pub kind: WearPartKind,
    /// What the eye said; null where nobody looked.
    pub verdict: Option<EyeVerdict>,
    /// When.
    pub looked_at: Option<Instant>,
}

impl From<NetPart> for NetPartSeen {
    fn from(part: NetPart) -> Self {
        Self {
            wear_part_id: part.wear_part_id,
            kind: part.kind,
            verdict: part.verdict,
            looked_at: part.looked_at,
        }
    }
}

/// How the site's nets stand. A fixed number of queries.
pub fn nets_now(office: &Office, permit: &Permit<SeeTools>) -> Result<NetsNow> {
    let now = office.now();
    office.db.read(|conn| read(conn, permit, now))
}

fn read(conn: &mut Conn, scope: &Scope, now: Instant) -> Result<NetsNow> {
    let TasksOfCourts {
        courts,
        calendar,
        settings,
        last: [of_gauge, of_look],
    } = tasks_of_courts(conn, scope, now, [GAUGE, LOOK])?;
    let zone = calendar.zone;
    let on = work_date(zone, now.utc());
    let newest = newest_net_checks(conn, scope, None)?;
    let parts = net_parts(
        conn,
        scope,
        Instant::from(now.utc() + chrono::TimeDelta::days(1)),
    )?;
    let looked = looked_over(&parts, calendar);
    let due =
        |of: &HashMap<i64, PlaceLastDone>, code: &str, court: i64, seen: Option<NaiveDate>| {
            let place = of.get(&court);
            let done_on = place.and_then(|place| place.done_on).max(seen);
            // Where the care standard has no such task, it is due by the setting alone.
            let days = at_latest(&settings, code).and_then(|rule| interval_days(&rule));
            let from = done_on.unwrap_or(calendar.founded_on);
            let by_setting = from.checked_add_days(Days::new(days.unwrap_or(0)));
            let due_on = place.and_then(|place| place.due_on).or(by_setting);
            let due_on = due_on.unwrap_or(from);
            LookDue {
                done_on,
                due_on,
                is_overdue: due_on < on,
            }
        };
    let nets = courts.into_iter().map(|court| {
        let gauged = newest.iter().find(|net| net.court_id == court.id);
        let gauged_on = gauged.map(|net| work_date(zone, net.happened_at.utc()));
        let own = parts.iter().filter(|part| part.court_id == court.id);
        NetView {
            court_id: court.id,
            gauged: gauged.map(|net| NetGauged::of(net.height_um, net.strap_um)),
            gauged_at: gauged.map(|net| net.happened_at),
            gauge: due(&of_gauge, GAUGE, court.id, gauged_on),
            parts: own.map(|part| NetPartSeen::from(*part)).collect(),
            look: due(&of_look, LOOK, court.id, looked.get(&court.id).copied()),
            court: court.name,
        }
    });
    Ok(NetsNow {
        on,
        nets: nets.collect(),
    })
}
