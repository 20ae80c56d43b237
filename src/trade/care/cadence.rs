//! How often a care task falls due.

use std::fmt;
use std::num::NonZeroU16;
use std::str::FromStr;

use chrono::{Days, Months, NaiveDate};
use serde::{Deserialize, Serialize};
use thiserror::Error;

/// How often a task is done; written `after_each_session`, `daily`, `weekly`, `every_14_days`, `monthly`, `yearly`, `as_found`.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(into = "String", try_from = "String")]
pub enum Cadence {
    /// After each session of play.
    AfterEachSession,
    /// Once a day.
    Daily,
    /// Seven days after the last time.
    Weekly,
    /// So many days after the last time.
    EveryDays(NonZeroU16),
    /// On the same day of the next month, or its last day where it is shorter.
    Monthly,
    /// On the same date of the next year.
    Yearly,
    /// Only where it is found to be needed.
    AsFound,
}

/// A text that names no cadence.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
#[error(
    "`{0}` is not a cadence: it is one of after_each_session, daily, weekly, every_N_days, monthly, yearly, as_found"
)]
pub struct NotACadence(String);

/// Whether a task is due on a day; what is due longer is the greater.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(tag = "state", rename_all = "snake_case")]
pub enum Due {
    /// Not yet.
    NotDue,
    /// Today.
    Due,
    /// It was due so many days ago.
    Overdue {
        /// Days since the day on which it was due.
        days: i64,
    },
}

/// The date on which a task next falls due after it was last done; `None` where no date says so.
pub fn next_due(cadence: Cadence, last_done: NaiveDate) -> Option<NaiveDate> {
    match cadence {
        Cadence::AfterEachSession => Some(last_done),
        Cadence::Daily => last_done.checked_add_days(Days::new(1)),
        Cadence::Weekly => last_done.checked_add_days(Days::new(7)),
        Cadence::EveryDays(days) => last_done.checked_add_days(Days::new(u64::from(days.get()))),
        Cadence::Monthly => last_done.checked_add_months(Months::new(1)),
        Cadence::Yearly => last_done.checked_add_months(Months::new(12)),
        Cadence::AsFound => None,
    }
}

/// Whether the task is due on `today`. One never done is due; one that follows each session is due whenever a
/// session ends and never overdue by days; one done as found is not due by itself.
pub fn due(cadence: Cadence, last_done: Option<NaiveDate>, today: NaiveDate) -> Due {
    match (cadence, last_done) {
        (Cadence::AsFound, _) => Due::NotDue,
        (Cadence::AfterEachSession, _) | (_, None) => Due::Due,
        (_, Some(last)) => match next_due(cadence, last) {
            Some(next) if next == today => Due::Due,
            Some(next) if next < today => Due::Overdue {
                days: (today - next).num_days(),
            },
            _ => Due::NotDue,
        },
    }
}

impl fmt::Display for Cadence {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::AfterEachSession => "after_each_session",
            Self::Daily => "daily",
            Self::Weekly => "weekly",
            Self::EveryDays(days) => return write!(f, "every_{days}_days"),
            Self::Monthly => "monthly",
            Self::Yearly => "yearly",
            Self::AsFound => "as_found",
        })
    }
}

impl FromStr for Cadence {
    type Err = NotACadence;

    fn from_str(text: &str) -> Result<Self, NotACadence> {
        Ok(match text {
            "after_each_session" => Self::AfterEachSession,
            "daily" => Self::Daily,
            "weekly" => Self::Weekly,
            "monthly" => Self::Monthly,
            "yearly" => Self::Yearly,
            "as_found" => Self::AsFound,
            other => other
                .strip_prefix("every_")
                .and_then(|rest| rest.strip_suffix("_days"))
                .filter(|days| days.bytes().all(|b| b.is_ascii_digit()))
                .and_then(|days| days.parse().ok())
                .map(Self::EveryDays)
                .ok_or_else(|| NotACadence(other.to_owned()))?,
        })
    }
}

impl TryFrom<String> for Cadence {
    type Error = NotACadence;

    fn try_from(text: String) -> Result<Self, NotACadence> {
        text.parse()
    }
}

impl From<Cadence> for String {
    fn from(cadence: Cadence) -> Self {
        cadence.to_string()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn date(text: &str) -> NaiveDate {
        text.parse().unwrap()
    }

    fn state(cadence: Cadence, last: &str, today: &str) -> Due {
        due(cadence, Some(date(last)), date(today))
    }

    #[test]
    fn a_weekly_task_is_due_on_the_seventh_day_and_overdue_after_it() {
        assert_eq!(
            state(Cadence::Weekly, "2031-06-02", "2031-06-08"),
            Due::NotDue
        );
        assert_eq!(state(Cadence::Weekly, "2031-06-02", "2031-06-09"), Due::Due);
        assert_eq!(
            state(Cadence::Weekly, "2031-06-02", "2031-06-12"),
            Due::Overdue { days: 3 }
        );
    }

    #[test]
    fn a_month_from_the_last_of_january_is_the_last_of_february() {
        assert_eq!(
            state(Cadence::Monthly, "2031-01-31", "2031-02-28"),
            Due::Due
        );
        assert_eq!(state(Cadence::Yearly, "2032-02-29", "2033-02-28"), Due::Due);
    }

    #[test]
    fn what_was_never_done_is_due() {
        assert_eq!(due(Cadence::Yearly, None, date("2031-06-01")), Due::Due);
        assert_eq!(due(Cadence::AsFound, None, date("2031-06-01")), Due::NotDue);
    }

    #[test]
    fn the_turnaround_is_due_again_on_the_same_day() {
        assert_eq!(
            state(Cadence::AfterEachSession, "2031-06-02", "2031-06-02"),
            Due::Due
        );
        assert_eq!(
            state(Cadence::Daily, "2031-06-02", "2031-06-02"),
            Due::NotDue
        );
    }

    #[test]
    fn a_cadence_is_written_as_it_is_read() {
        use Cadence::{AfterEachSession, AsFound, Daily, EveryDays, Monthly, Weekly, Yearly};
        for cadence in [
            AfterEachSession,
            Daily,
            Weekly,
            EveryDays(NonZeroU16::MIN),
            Monthly,
            Yearly,
            AsFound,
        ] {
            assert_eq!(cadence.to_string().parse(), Ok(cadence));
        }
        for wrong in ["every_0_days", "every_+3_days", "every__days", "hourly"] {
            assert!(wrong.parse::<Cadence>().is_err(), "{wrong}");
        }
    }
}
