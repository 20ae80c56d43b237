//! A site's own days and weeks, daylight saving included. Instants are UTC; a site has an IANA zone.

mod local;
mod pay_week;
mod recurrence;
mod week;

use chrono::{DateTime, Days, NaiveDate, Utc};
use serde::{Deserialize, Serialize};

pub use local::{
    day_span, day_start, instant_in_day, local_to_instant, seconds_into_day, work_date,
};
pub use pay_week::{PayWeek, pay_week_start_date};
pub use recurrence::{BadRule, MOST_INSTANCES, days_of, expand};
pub use week::{IsoWeek, NotAWeek};

use crate::units::Seconds;

/// A stretch of time from `from` up to, but without, `to`.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub struct Span {
    /// The first instant inside.
    pub from: DateTime<Utc>,
    /// The first instant after it.
    pub to: DateTime<Utc>,
}

impl Span {
    /// Whether the instant lies inside.
    pub fn contains(&self, instant: DateTime<Utc>) -> bool {
        self.from <= instant && instant < self.to
    }

    /// Whether the two share an instant; one that ends as the other starts does not.
    pub fn overlaps(&self, other: &Self) -> bool {
        self.from < other.to && other.from < self.to && self.from < self.to && other.from < other.to
    }

    /// Its real length in whole seconds.
    pub fn length(&self) -> Seconds {
        Seconds(self.to.timestamp() - self.from.timestamp())
    }
}

/// So many days later, or the last date there is.
fn later(date: NaiveDate, days: u64) -> NaiveDate {
    date.checked_add_days(Days::new(days))
        .unwrap_or(NaiveDate::MAX)
}

/// So many days earlier, or the first date there is.
fn earlier(date: NaiveDate, days: u64) -> NaiveDate {
    date.checked_sub_days(Days::new(days))
        .unwrap_or(NaiveDate::MIN)
}
