//! How each court is on the day: by what was told of its condition, what was seen of it, and when it was made new.

use std::collections::HashMap;

use chrono::{NaiveDate, TimeDelta};
use chrono_tz::Tz;
use trade::calendar::work_date;
use trade::care::{CareTask, Ground};
use trade::court::CourtNow;
use trade::grooming::Condition;

use super::clock::DayClock;
use super::heat::by_hour;
use super::inputs::Inputs;
use super::leaves;
use super::sky::{Sky, between};
use crate::desk::inspections::{courts_at, limits};
use crate::desk::place::Place;
use crate::store::Instant;
use crate::store::courts::CourtRow;
use crate::store::crews::ShiftRow;
use crate::store::inspections::InspectionRow;
use crate::store::play::ConditionRow;

/// How long a court counts as just resurfaced where nobody says how it is. Common practice, no
/// source.
const SETTLING: TimeDelta = TimeDelta::days(42);

/// What was told and seen of the courts.
#[derive(Clone, Debug, Default)]
pub struct Grounds {
    /// The newest word on each court's condition.
    pub told: Vec<ConditionRow>,
    /// The looks at them, by court and time.
    pub looks: Vec<InspectionRow>,
}

/// When the first crew of a date comes to work; its first instant where none does.
pub fn at_work(clock: &DayClock, shifts: &[ShiftRow], date: NaiveDate) -> Instant {
    let of_date = shifts.iter().filter(|shift| shift.work_date == date);
    let first = of_date.map(|shift| shift.starts_at).min();
    first.unwrap_or_else(|| clock.start().into())
}

impl Inputs {
    /// The same with each court as it is at an instant, and the date's heat.
    #[must_use]
    pub(super) fn judged(mut self, at: Instant) -> Self {
        let zone = self.clock.zone();
        let Grounds { told, looks } = &self.ground;
        self.seen = courts_at(zone, &self.courts, looks, limits(&self.settings), at);
        self.conditions = conditions_at(
            zone,
            self.date,
            &self.courts,
            (told, looks),
            |court| self.seen.get(&court).copied(),
            at,
        );
        let (from, until) = self.clock.around();
        self.heat = by_hour(&self.clock, between(&self.weather, from, until));
        self.sky = Sky::of(&self, at);
        self.leaves = leaves::lying(&self, at);
        // Nobody works on a court before it has drained; by then it is sound where nothing else was told.
        for court in self.sky.drying.keys() {
            if self.conditions.get(court) == Some(&Condition::Soaked) {
                self.conditions.remove(court);
            }
            if let Some(is) = self.seen.get_mut(court) {
                is.ground = Ground {
                    frozen: is.ground.frozen,
                    ..Ground::default()
                };
            }
        }
        self
    }

    /// How a court's ground is: by its condition, and what was seen of it.
    pub fn ground(&self, court: i64) -> Ground {
        let seen = self.seen.get(&court).copied().unwrap_or_default().ground;
        Ground {
            firm: seen.firm && self.condition(court) != Condition::Soaked,
            frozen: seen.frozen || (self.sky.frost && self.thaw_not_seen(court)),
            ..seen
        }
    }

    /// Whether nobody looked since whether the court is still frozen.
    fn thaw_not_seen(&self, court: i64) -> bool {
        let mut told = self.weather.iter().rev();
        let read_at = told
            .find(|row| row.frost == Some(true))
            .map(|row| row.read_at);
        let mut looks = self.ground.looks.iter();
        !looks.any(|look| {
            look.court_id == court && look.frozen == Some(false) && Some(look.seen_at) >= read_at
        })
    }

    /// Whether a court's baselines were found packed and not loosened since.
    pub fn baselines_packed(&self, court: i64) -> bool {
        if !self.seen.get(&court).is_some_and(|is| is.baselines_packed) {
            return false;
        }
        let told =
            |look: &&InspectionRow| look.court_id == court && look.baselines_packed.is_some();
        let looks = self.ground.looks.iter().filter(told);
        let found = looks.map(|look| work_date(self.clock.zone(), look.seen_at.utc()));
        let code = CareTask::Loosen.as_str();
        let task = self.tasks.iter().find(|row| row.code == code);
        let done = task.and_then(|row| self.care.last_done(row.id, Place::Court(court)));
        done.is_none_or(|done| found.max().is_some_and(|found| found > done))
    }
}

/// The condition of each court at an instant of a date: what was seen of it, unless a later word says otherwise; a court
/// of which nobody said anything is left out. `seen` is how each is for the looks.
pub fn conditions_at(
    zone: Tz,
    date: NaiveDate,
    courts: &[CourtRow],
    (told, looks): (&[ConditionRow], &[InspectionRow]),
    seen: impl Fn(i64) -> Option<CourtNow>,
    at: Instant,
) -> HashMap<i64, Condition> {
    let mut known = conditions(zone, date, courts, told);
    for look in looks.iter().filter(|look| look.seen_at <= at) {
        let Some(is) = seen(look.court_id) else {
            continue;
        };
        let word = told.iter().find(|word| word.court_id == look.court_id);
        if word.is_none_or(|word| outranks(look, word)) {
            known.insert(look.court_id, is.condition);
        }
    }
    known
}

/// Whether a look says anew what the word on the condition says.
fn outranks(look: &InspectionRow, word: &ConditionRow) -> bool {
    let tells = match word.condition {
        Condition::Soaked | Condition::Powdery => {
            look.moisture.is_some() || look.standing_water.is_some() || look.firmness.is_some()
        }
        _ => look.firmness.is_some() || look.hardpan.is_some() || look.low_spots.is_some(),
    };
    tells && look.seen_at >= word.observed_at
}

/// The newest word on each court; one resurfaced since, and lately, is just resurfaced.
fn conditions(
    zone: Tz,
    date: NaiveDate,
    courts: &[CourtRow],
    told: &[ConditionRow],
) -> HashMap<i64, Condition> {
    let mut known: HashMap<i64, (NaiveDate, Condition)> = told
        .iter()
        .map(|row| {
            let on = work_date(zone, row.observed_at.utc());
            (row.court_id, (on, row.condition))
        })
        .collect();
    for court in courts {
        let Some(on) = court.resurfaced_on else {
            continue;
        };
        let since = known.get(&court.id).is_none_or(|(seen, _)| *seen < on);
        if since && (TimeDelta::zero()..=SETTLING).contains(&(date - on)) {
            known.insert(court.id, (on, Condition::JustResurfaced));
        }
    }
    known
        .into_iter()
        .map(|(court, (_, condition))| (court, condition))
        .collect()
}
