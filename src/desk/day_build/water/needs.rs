//! How much of its ordinary run a court gets, and why.

use chrono::{NaiveDate, Timelike};
use trade::calendar::work_date;
use trade::care::Moisture;
use trade::grooming::Condition;
use trade::units::Seconds;
use trade::watering::{Asked, Finding, Found, Limits, MoistureRule, Scaled, run_of, scale};

use crate::desk::day_build::Inputs;
use crate::desk::settings::known;
use crate::store::Instant;
use crate::store::courts::CourtRow;
use crate::store::inspections::InspectionRow;

/// What a court gets of its ordinary run.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Need {
    /// Its ordinary run, s.
    pub base_s: i64,
    /// Its run, s.
    pub run_s: i64,
    /// The share, and why.
    pub scaled: Scaled,
}

/// What a court gets of each of its night cycles.
pub fn night_need(inputs: &Inputs, court: &CourtRow) -> Need {
    need(inputs, court, court.night_cycle_s)
}

/// How long a court's midday soak runs, s.
pub fn soak_run_s(inputs: &Inputs, court: &CourtRow) -> i64 {
    need(inputs, court, court.soak_s).run_s
}

fn need(inputs: &Inputs, court: &CourtRow, base_s: i64) -> Need {
    let settings = &inputs.settings;
    let limits = Limits {
        low_permille: settings.number(known::WATER_LOW_PERMILLE),
        high_permille: settings.number(known::WATER_HIGH_PERMILLE),
    };
    let moisture = MoistureRule {
        step_permille: settings.number(known::MORNING_STEP_PERMILLE),
        ..MoistureRule::default()
    };
    let findings = mornings(inputs, court.id);
    let air = inputs.sky.air;
    let asked = Asked {
        drawn: air.map(|air| air.drawn),
        usual: air.and_then(|air| air.usual),
        rain: inputs.sky.rain,
        findings: &findings,
        moisture,
    };
    // Limits that cross are the site's own slip: the ordinary run then holds.
    let scaled = scale(&asked, &limits).unwrap_or(Scaled {
        permille: 1_000,
        why: Vec::new(),
    });
    let run_s = run_of(Seconds(base_s), scaled.permille).map_or(base_s, |run| run.0);
    Need {
        base_s,
        run_s,
        scaled,
    }
}

/// How a court was found on the mornings up to the date, the last finding of each: by what was told of its condition,
/// and by whoever looked it over.
fn mornings(inputs: &Inputs, court: i64) -> Vec<Finding> {
    let zone = inputs.clock.zone();
    let told = inputs.water.findings.iter().filter(|f| f.court_id == court);
    let told = told.map(|told| (told.at, found_by_word(told.condition.0)));
    let looks = inputs.ground.looks.iter().filter(|l| l.court_id == court);
    let looks = looks.filter_map(|look| Some((look.seen_at, found_by_look(look)?)));
    let mut all: Vec<(Instant, Found)> = told.chain(looks).collect();
    all.sort_by_key(|(at, _)| *at);
    let mut last: Vec<(NaiveDate, Found)> = Vec::new();
    for (at, found) in all {
        if at.utc().with_timezone(&zone).hour() >= NOON {
            continue;
        }
        let date = work_date(zone, at.utc());
        last.retain(|(known, _)| *known != date);
        last.push((date, found));
    }
    last.into_iter()
        .map(|(date, found)| Finding {
            days_ago: (inputs.date - date).num_days(),
            found,
        })
        .collect()
}

/// The hour with which a morning ends.
const NOON: u32 = 12;

const fn found_by_word(condition: Condition) -> Found {
    match condition {
        Condition::Powdery => Found::Dry,
        Condition::Soaked => Found::Wet,
        _ => Found::Damp,
    }
}

/// None where the look tells nothing of water.
fn found_by_look(look: &InspectionRow) -> Option<Found> {
    if look.standing_water == Some(true) {
        return Some(Found::Wet);
    }
    Some(match look.moisture.as_ref()?.0 {
        Moisture::Dry => Found::Dry,
        Moisture::Damp => Found::Damp,
        Moisture::Wet => Found::Wet,
    })
}
