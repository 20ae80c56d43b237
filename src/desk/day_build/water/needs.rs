//! How much of its ordinary run a court gets, and why.

use chrono::{NaiveDate, NaiveTime, Timelike};
use trade::calendar::work_date;
use trade::grooming::Condition;
use trade::units::{Micrometres, Seconds};
use trade::watering::{Asked, Finding, Found, Limits, MoistureRule, Scaled, run_of, scale};

use crate::desk::day_build::Inputs;
use crate::desk::settings::known;
use crate::store::courts::CourtRow;

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
    let asked = Asked {
        drawn: None,
        usual: None,
        rain: Micrometres::ZERO,
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

/// How a court was found on the mornings up to the date, the last finding of each.
fn mornings(inputs: &Inputs, court: i64) -> Vec<Finding> {
    let zone = inputs.clock.zone();
    let noon = NaiveTime::from_hms_opt(12, 0, 0).unwrap_or_default();
    let mut last: Vec<(NaiveDate, Found)> = Vec::new();
    for seen in inputs.water.findings.iter().filter(|f| f.court_id == court) {
        let local = seen.at.utc().with_timezone(&zone);
        if local.num_seconds_from_midnight() >= noon.num_seconds_from_midnight() {
            continue;
        }
        let found = match seen.condition.0 {
            Condition::Powdery => Found::Dry,
            Condition::Soaked => Found::Wet,
            _ => Found::Damp,
        };
        let date = work_date(zone, seen.at.utc());
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
