//! Courts watered from below: the level read in the control box against its target. A small step, then a day's wait.

use chrono::{Days, NaiveDate};
use serde::{Deserialize, Serialize};

use crate::units::Millimetres;

/// How levels are kept. Common practice, no source: the water moves slowly under the court, so that whoever turns
/// twice in a day turns too far.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub struct LevelRule {
    /// As near to the target as this is on target.
    pub tolerance: Millimetres,
    /// The most one step changes.
    pub step: Millimetres,
    /// Days to wait after a step.
    pub wait_days: u64,
    /// Looked at anew after so many days at the latest.
    pub look_days: u64,
}

impl Default for LevelRule {
    fn default() -> Self {
        Self {
            tolerance: Millimetres(5),
            step: Millimetres(10),
            wait_days: 1,
            look_days: 7,
        }
    }
}

/// What to do about a level.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(tag = "step", rename_all = "snake_case")]
pub enum Step {
    /// It is on target.
    Keep,
    /// The last step still works its way: look again on the date.
    Wait {
        /// When to look again.
        until: NaiveDate,
    },
    /// Raise it.
    Raise {
        /// By so much.
        by: Millimetres,
    },
    /// Lower it.
    Lower {
        /// By so much.
        by: Millimetres,
    },
}

/// What to do about a level read on a date, after the last step that was made.
pub fn level_step(
    target: Millimetres,
    reading: Millimetres,
    on: NaiveDate,
    last_change: Option<NaiveDate>,
    rule: &LevelRule,
) -> Step {
    let off = reading.0.saturating_sub(target.0);
    if off.unsigned_abs() <= rule.tolerance.0.max(0).unsigned_abs() {
        return Step::Keep;
    }
    let until = last_change.and_then(|change| change.checked_add_days(Days::new(rule.wait_days)));
    if let Some(until) = until.filter(|until| on < *until) {
        return Step::Wait { until };
    }
    let size = off.saturating_abs().min(rule.step.0.max(1));
    if off < 0 {
        Step::Raise {
            by: Millimetres(size),
        }
    } else {
        Step::Lower {
            by: Millimetres(size),
        }
    }
}

/// Whether a level is to be looked at on a date: never read, a week ago, rain since, or a step since.
pub fn level_due(
    last_reading: Option<NaiveDate>,
    rained_on: Option<NaiveDate>,
    stepped_on: Option<NaiveDate>,
    on: NaiveDate,
    rule: &LevelRule,
) -> bool {
    let Some(last) = last_reading else {
        return true;
    };
    let by = last.checked_add_days(Days::new(rule.look_days));
    let settled = stepped_on.and_then(|day| day.checked_add_days(Days::new(rule.wait_days)));
    by.is_none_or(|by| on >= by)
        || rained_on.is_some_and(|rain| rain >= last && rain < on)
        || settled.is_some_and(|settled| last < settled && on >= settled)
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn day(text: &str) -> NaiveDate {
        text.parse().unwrap()
    }

    fn step(reading: i64, last_change: Option<&str>) -> Step {
        level_step(
            Millimetres(150),
            Millimetres(reading),
            day("2031-06-10"),
            last_change.map(day),
            &LevelRule::default(),
        )
    }

    #[test]
    fn a_small_step_then_a_days_wait() {
        let by = Millimetres(10);
        assert_eq!(step(150, None), Step::Keep);
        assert_eq!(step(145, None), Step::Keep);
        assert_eq!(step(130, None), Step::Raise { by });
        assert_eq!(step(180, None), Step::Lower { by });
        assert_eq!(step(157, None), Step::Lower { by: Millimetres(7) });
        let until = day("2031-06-11");
        assert_eq!(step(130, Some("2031-06-10")), Step::Wait { until });
        assert_eq!(step(130, Some("2031-06-09")), Step::Raise { by });
    }

    #[test]
    fn a_level_is_looked_at_weekly_after_rain_and_a_day_after_a_step() {
        let due = |last: Option<&str>, rain: Option<&str>, step: Option<&str>| {
            let today = day("2031-06-10");
            level_due(
                last.map(day),
                rain.map(day),
                step.map(day),
                today,
                &LevelRule::default(),
            )
        };
        assert!(due(None, None, None));
        assert!(!due(Some("2031-06-04"), None, None));
        assert!(due(Some("2031-06-03"), None, None));
        assert!(due(Some("2031-06-08"), Some("2031-06-09"), None));
        assert!(!due(Some("2031-06-09"), Some("2031-06-07"), None));
        assert!(due(Some("2031-06-09"), None, Some("2031-06-09")));
        assert!(!due(Some("2031-06-10"), None, Some("2031-06-10")));
    }

    proptest! {
        #[test]
        fn a_step_never_overshoots_and_never_exceeds_the_rule(target in 0_i64..400, reading in 0_i64..400) {
            let rule = LevelRule::default();
            let step = level_step(Millimetres(target), Millimetres(reading), day("2031-06-10"), None, &rule);
            let after = match step {
                Step::Keep => reading,
                Step::Raise { by } => reading + by.0,
                Step::Lower { by } => reading - by.0,
                Step::Wait { .. } => unreachable!("nothing was changed before"),
            };
            prop_assert!((after - reading).abs() <= rule.step.0);
            prop_assert!((after - target).abs() <= (reading - target).abs());
            prop_assert_eq!((after - target).signum() * (reading - target).signum() < 0, false);
        }
    }
}
