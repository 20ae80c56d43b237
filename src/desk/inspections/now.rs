//! How every court is now, and what that follows from.

use chrono::TimeDelta;
use serde::Serialize;
use trade::calendar::work_date;
use trade::care::{Moisture, Obstacle, play_forbidden};
use trade::court::Firmness;
use trade::grooming::Condition;
use utoipa::ToSchema;

use super::{LOOK_BACK, courts_at, limits};
use crate::desk::access::{Permit, SeeSite};
use crate::desk::day_build::{conditions_at, drying};
use crate::desk::settings::Settings;
use crate::desk::{Office, Result};
use crate::store::courts::court_list;
use crate::store::inspections::{InspectionRow, inspections_between};
use crate::store::play::{ConditionRow, conditions_newest};
use crate::store::sites::site_read;
use crate::store::weather::weather_between;
use crate::store::{self, Instant, Page};

/// How every court is now.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct ConditionsView {
    /// The courts, in their own order.
    pub courts: Vec<ConditionView>,
}

/// How a court is now.
#[derive(Clone, Debug, Serialize, ToSchema)]
#[expect(
    clippy::struct_excessive_bools,
    reason = "each is one thing that was seen or not"
)]
pub struct ConditionView {
    /// The court.
    pub court_id: i64,
    /// Its name.
    pub name: String,
    /// Its condition, in one word.
    pub condition: &'static str,
    /// What the condition follows from: a `look`, a `word` on the condition itself, the court being `resurfaced`, or
    /// `nothing`.
    pub because: &'static str,
    /// When that was seen or said.
    pub because_at: Option<Instant>,
    /// Whether water stands.
    pub standing_water: bool,
    /// Whether it is firm underfoot.
    pub firm: bool,
    /// Whether it is frozen, or thawing and not drained.
    pub frozen: bool,
    /// How moist: `dry`, `damp` or `wet`.
    pub moisture: &'static str,
    /// Whether the baselines are packed.
    pub baselines_packed: bool,
    /// What forbids play on it, in one word; null where nothing does.
    pub forbids_play: Option<&'static str>,
    /// When it was last looked over; null where nobody did in the last 60 days.
    pub seen_at: Option<Instant>,
    /// By when it is expected to have drained after rain, by its own record of draining; null where it does not drain, or
    /// nobody can tell any more without looking.
    pub expected_fit_at: Option<Instant>,
}

/// How every court is now.
pub fn conditions_now(office: &Office, permit: &Permit<SeeSite>) -> Result<ConditionsView> {
    let now = office.now();
    let from = Instant::from(now.utc() - LOOK_BACK);
    let after = Instant::from(now.utc() + TimeDelta::minutes(5));
    Ok(office.db.read(|conn| -> store::Result<_> {
        let zone = site_read(conn, permit)?.zone()?;
        let settings = Settings::read(conn, permit)?;
        let mut courts = court_list(conn, permit, Page::ALL)?.items;
        courts.sort_by_key(|court| (court.position, court.id));
        let looks = inspections_between(conn, permit, from, after)?;
        // Told a moment ahead by a clock that runs fast: it is seen now.
        let latest = looks.iter().map(|look| look.seen_at).max();
        let at = latest.map_or(now, |latest| latest.max(now));
        let how = courts_at(zone, &courts, &looks, limits(&settings), at);
        let weather = weather_between(conn, permit, from, after)?;
        let all = courts.iter().map(|court| court.id);
        let told = conditions_newest(conn, permit, None, after)?;
        let today = work_date(zone, at.utc());
        let known = conditions_at(
            zone,
            today,
            &courts,
            (&told, &looks),
            |court| how.get(&court).copied(),
            at,
        );
        let wet = drying(&settings, all, &weather, &looks, at);
        let views = courts.into_iter().map(|court| {
            let is = how.get(&court.id).copied().unwrap_or_default();
            let of_court = looks.iter().filter(|look| look.court_id == court.id);
            let known = known.get(&court.id).copied();
            let condition = known.unwrap_or(Condition::Sound);
            let word = told.iter().find(|word| word.court_id == court.id);
            let (because, because_at) = because(condition, of_court.clone(), word);
            ConditionView {
                court_id: court.id,
                condition: condition.as_str(),
                because,
                because_at,
                standing_water: is.ground.standing_water,
                firm: is.ground.firm,
                frozen: is.ground.frozen,
                moisture: is.ground.moisture.as_str(),
                baselines_packed: is.baselines_packed,
                forbids_play: play_forbidden(is.ground).map(Obstacle::as_str),
                seen_at: of_court.map(|look| look.seen_at).max(),
                expected_fit_at: wet.get(&court.id).map(|wet| wet.fit_at),
                name: court.name,
            }
        });
        Ok(ConditionsView {
            courts: views.collect(),
        })
    })?)
}

/// What a condition follows from, and when that was seen or said. `looks` are those at the court, the oldest first.
fn because<'a>(
    condition: Condition,
    looks: impl Iterator<Item = &'a InspectionRow>,
    word: Option<&ConditionRow>,
) -> (&'static str, Option<Instant>) {
    if condition == Condition::JustResurfaced {
        return ("resurfaced", None);
    }
    if let Some(look) = looks.filter(|look| shows(look, condition)).last() {
        return ("look", Some(look.seen_at));
    }
    let word = word.filter(|word| word.condition == condition);
    word.map_or(("nothing", None), |word| ("word", Some(word.observed_at)))
}

/// Whether a look shows the condition; any look lets a sound court stand.
fn shows(look: &InspectionRow, condition: Condition) -> bool {
    let firmness = look.firmness.map(|word| word.0);
    match condition {
        Condition::Sound => true,
        Condition::Powdery => look.moisture.map(|word| word.0) == Some(Moisture::Dry),
        Condition::LowSpots => look
            .low_spots
            .as_ref()
            .is_some_and(|spots| !spots.0.is_empty()),
        Condition::Hardened => firmness == Some(Firmness::Hard),
        Condition::Hardpan => look.hardpan == Some(true),
        Condition::Soaked => firmness == Some(Firmness::Soft) || look.standing_water == Some(true),
        Condition::NewlyDressed => look.newly_dressed == Some(true),
        Condition::JustResurfaced | Condition::FirmingUp => false,
    }
}
