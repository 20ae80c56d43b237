//! What was seen of courts, and how each is for it.

mod now;

use std::collections::HashMap;

use chrono::TimeDelta;
use chrono_tz::Tz;
use serde::{Deserialize, Serialize};
use serde_json::json;
use trade::court::{CourtNow, Firmness, Limits, court_now};
use trade::units::Seconds;
use utoipa::ToSchema;

pub use now::{ConditionView, ConditionsView, conditions_now};

use super::access::{InspectCourt, Permit, SeeSite};
use super::day_build::{drying, foretold};
use super::error::Named;
use super::once::Once;
use super::settings::Settings;
use super::settings::known::{SEEN_OTHER_S, SEEN_WATER_S};
use super::word_schema::word_or_null;
use super::{Error, Office, Result};
use crate::store::audit::{Deed, audit_append};
use crate::store::columns::{Json, Word};
use crate::store::courts::{CourtRow, court_list, court_read};
use crate::store::inspections::{self, CourtPlace, InspectionRow};
use crate::store::weather::weather_between;
use crate::store::{self, Conn, Instant, Page, Paged, Scope, Tx};

/// How far back looks are asked for: as long as any of them holds.
pub const LOOK_BACK: TimeDelta = TimeDelta::days(60);
/// Longest note, characters.
const NOTE_CHARS: usize = 2_000;

/// What somebody saw who looked a court over. What was not looked at is left out.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct InspectionTold {
    /// When; now, where it is not told.
    pub seen_at: Option<Instant>,
    /// How firm: `soft` (a heel sinks), `firm` or `hard`.
    #[schema(schema_with = firmness)]
    pub firmness: Option<Firmness>,
    /// How moist: `dry`, `damp` or `wet`.
    #[schema(schema_with = moisture)]
    pub moisture: Option<trade::care::Moisture>,
    /// Whether water stands.
    pub standing_water: Option<bool>,
    /// Whether it is frozen, or thawing and not drained.
    pub frozen: Option<bool>,
    /// Where the low spots are; empty where there are none.
    pub low_spots: Option<Vec<CourtPlace>>,
    /// Whether algae grow on it.
    pub algae: Option<bool>,
    /// Whether it is hard throughout, or material has built up.
    pub hardpan: Option<bool>,
    /// Whether the baselines are packed.
    pub baselines_packed: Option<bool>,
    /// Whether it was top-dressed and has not bound.
    pub newly_dressed: Option<bool>,
    /// Whether leaves lie on it.
    pub leaves: Option<bool>,
    /// Anything else, at most 2,000 characters.
    pub note: Option<String>,
}

fn firmness() -> utoipa::openapi::Object {
    word_or_null(
        "how firm it is; soft: a heel sinks",
        Firmness::ALL.iter().map(|word| word.as_str()),
    )
}

fn moisture() -> utoipa::openapi::Object {
    word_or_null(
        "how damp it is",
        trade::care::Moisture::ALL.iter().map(|word| word.as_str()),
    )
}

/// Keeps a look at a court. Sent again under the same key, it gives the first answer.
pub fn inspection_add(
    office: &Office,
    permit: &Permit<InspectCourt>,
    court_id: i64,
    client_key: String,
    told: &InspectionTold,
) -> Result<InspectionRow> {
    let once = Once::new(client_key, format!("inspect court {court_id}"), told)?;
    let user_id = permit
        .user_id()
        .ok_or(Error::NotSignedIn("a look needs a signed-in user"))?;
    office.db.write(permit, |tx| {
        once.run(tx, permit, |tx| keep(tx, permit, user_id, court_id, told))
    })
}

/// Keeps the same look at several courts: of all of them or, where one cannot be, of none. Gives how many.
pub fn inspections_add(
    office: &Office,
    permit: &Permit<InspectCourt>,
    court_ids: &[i64],
    client_key: String,
    told: &InspectionTold,
) -> Result<usize> {
    if court_ids.is_empty() {
        return Err(Error::refused("/court_ids", "name at least one court"));
    }
    let once = Once::new(client_key, "inspect courts".into(), &(court_ids, told))?;
    let user_id = permit
        .user_id()
        .ok_or(Error::NotSignedIn("a look needs a signed-in user"))?;
    office.db.write(permit, |tx| {
        once.run(tx, permit, |tx| {
            for court_id in court_ids {
                keep(tx, permit, user_id, *court_id, told)?;
            }
            Ok(court_ids.len())
        })
    })
}

fn keep(
    tx: &mut Tx<'_>,
    scope: &Scope,
    user_id: i64,
    court_id: i64,
    told: &InspectionTold,
) -> Result<InspectionRow> {
    court_read(tx.conn(), scope, court_id).named("court")?;
    let row = row_of(court_id, told, tx.now())?;
    let row = inspections::inspection_add(tx, scope, user_id, &row)?;
    audit_append(
        tx,
        scope,
        &Deed {
            verb: "inspected",
            subject: "court",
            id: court_id,
            data: json!({ "inspection": row.id }),
        },
    )?;
    Ok(row)
}

fn row_of(court_id: i64, told: &InspectionTold, now: Instant) -> Result<InspectionRow> {
    let seen_at = told.seen_at.unwrap_or(now);
    let age = now.utc() - seen_at.utc();
    if age < TimeDelta::minutes(-5) || age > LOOK_BACK {
        return Err(Error::refused(
            "/seen_at",
            "give a time of the last 60 days",
        ));
    }
    let note = told
        .note
        .as_deref()
        .map(str::trim)
        .filter(|n| !n.is_empty());
    if note.is_some_and(|note| note.chars().count() > NOTE_CHARS) {
        return Err(Error::refused(
            "/note",
            "say it in at most 2,000 characters",
        ));
    }
    let mut spots = told.low_spots.clone();
    if let Some(spots) = &mut spots {
        spots.sort_unstable();
        spots.dedup();
    }
    let row = InspectionRow {
        id: 0,
        court_id,
        seen_at,
        firmness: told.firmness.map(Word),
        moisture: told.moisture.map(Word),
        standing_water: told.standing_water,
        frozen: told.frozen,
        low_spots: spots.map(Json),
        algae: told.algae,
        hardpan: told.hardpan,
        baselines_packed: told.baselines_packed,
        newly_dressed: told.newly_dressed,
        leaves: told.leaves,
        note: note.map(str::to_owned),
    };
    let tells_more = row.algae.is_some() || row.leaves.is_some() || note.is_some();
    if row.look() == trade::court::Inspection::default() && !tells_more {
        return Err(Error::refused("", "tell at least one thing that was seen"));
    }
    Ok(row)
}

/// The looks at a court, in the order in which they were told.
pub fn inspection_list(
    office: &Office,
    permit: &Permit<SeeSite>,
    court_id: i64,
    page: Page,
) -> Result<Paged<InspectionRow>> {
    office.db.read(|conn| {
        court_read(conn, permit, court_id).named("court")?;
        Ok(inspections::inspection_list(conn, permit, court_id, page)?)
    })
}

/// A court with the newest looks at it, newest first.
pub fn looks_of(
    office: &Office,
    permit: &Permit<SeeSite>,
    court_id: i64,
    most: i64,
) -> Result<(CourtRow, Vec<InspectionRow>)> {
    office.db.read(|conn| {
        let court = court_read(conn, permit, court_id).named("court")?;
        let looks = inspections::inspections_newest(conn, permit, court_id, most)?;
        Ok((court, looks))
    })
}

/// How long what was seen holds at a site.
pub fn limits(settings: &Settings) -> Limits {
    Limits {
        water: Seconds(settings.number(SEEN_WATER_S)),
        other: Seconds(settings.number(SEEN_OTHER_S)),
        ..Limits::default()
    }
}

/// How each court is at an instant, for the looks of the time before it; by court.
pub fn courts_at(
    zone: Tz,
    courts: &[CourtRow],
    looks: &[InspectionRow],
    limits: Limits,
    at: Instant,
) -> HashMap<i64, CourtNow> {
    let mut seen: HashMap<i64, Vec<_>> = HashMap::new();
    for look in looks {
        let age = Seconds((at.utc() - look.seen_at.utc()).num_seconds());
        seen.entry(look.court_id)
            .or_default()
            .push((age, look.look()));
    }
    courts
        .iter()
        .map(|court| {
            let looks = seen.get(&court.id).map_or(&[][..], Vec::as_slice);
            let resurfaced = court.resurfaced_on.map(|on| {
                let from = trade::calendar::day_start(zone, on);
                Seconds((at.utc() - from).num_seconds())
            });
            (court.id, court_now(looks, resurfaced, limits))
        })
        .collect()
}

/// A court that drains after rain.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct DrainingView {
    /// The court.
    pub court_id: i64,
    /// Its name.
    pub court: String,
    /// By when it is expected to be fit, by its own record of draining.
    pub expected_fit_at: Instant,
}

/// A shower that is foretold. It shuts no court: a forecast may be wrong.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct RainForetold {
    /// When it is to begin.
    pub starts_at: Instant,
    /// Until when courts are likely wet, by what the site usually takes to drain.
    pub wet_until: Instant,
    /// What is to fall, thousandths of a millimetre.
    pub rain_um: i64,
}

/// The courts that drain after rain now, in the site's own order, and the rain that is foretold until an instant: four
/// queries.
pub fn rain_now(
    conn: &mut Conn,
    scope: &Scope,
    now: Instant,
    until: Instant,
) -> store::Result<(Vec<DrainingView>, Vec<RainForetold>)> {
    let from = Instant::from(now.utc() - LOOK_BACK);
    let settings = Settings::read(conn, scope)?;
    let weather = weather_between(conn, scope, from, until.max(now))?;
    let looks = inspections::inspections_between(conn, scope, from, now)?;
    let foretold = foretold(&settings, &weather, now, until.max(now));
    let foretold = foretold.into_iter().map(|shower| RainForetold {
        starts_at: shower.from,
        wet_until: shower.wet_until,
        rain_um: shower.fell.0,
    });
    let mut courts = court_list(conn, scope, Page::ALL)?.items;
    courts.sort_by_key(|court| (court.position, court.id));
    let all = courts.iter().map(|court| court.id);
    let wet = drying(&settings, all, &weather, &looks, now);
    let view = |court: CourtRow| {
        let fit_at = wet.get(&court.id)?.fit_at;
        (fit_at > now).then_some(DrainingView {
            court_id: court.id,
            court: court.name,
            expected_fit_at: fit_at,
        })
    };
    let draining = courts.into_iter().filter_map(view).collect();
    Ok((draining, foretold.collect()))
}
