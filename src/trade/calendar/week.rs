//! Weeks by ISO 8601: Monday first, week 1 holds the year's first Thursday.

use std::fmt;
use std::str::FromStr;

use chrono::{Datelike, NaiveDate, Weekday};
use chrono_tz::Tz;
use serde::{Deserialize, Serialize};
use thiserror::Error;

use super::{Span, day_start, earlier, later};

/// One ISO week, kept by its Monday; written `2031-W24`.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(into = "String", try_from = "String")]
pub struct IsoWeek {
    monday: NaiveDate,
}

/// A text or pair of numbers that names no week.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
#[error("`{0}` is not a week: it is written 2031-W24, from W01 to W52 or W53")]
pub struct NotAWeek(String);

impl IsoWeek {
    /// Week `week` (1 to 52 or 53) of the ISO year.
    pub fn new(year: i32, week: u32) -> Result<Self, NotAWeek> {
        NaiveDate::from_isoywd_opt(year, week, Weekday::Mon)
            .map(|monday| Self { monday })
            .ok_or_else(|| NotAWeek(format!("{year:04}-W{week:02}")))
    }

    /// The week in which the date lies.
    pub fn of(date: NaiveDate) -> Self {
        Self {
            monday: earlier(date, u64::from(date.weekday().num_days_from_monday())),
        }
    }

    /// The ISO year, which differs from the calendar year around 1 January.
    pub fn year(self) -> i32 {
        self.monday.iso_week().year()
    }

    /// The week's number in its ISO year.
    pub fn week(self) -> u32 {
        self.monday.iso_week().week()
    }

    /// Its seven dates, Monday first.
    pub fn days(self) -> [NaiveDate; 7] {
        std::array::from_fn(|day| later(self.monday, day as u64))
    }

    /// From the site's first instant of Monday to that of the next Monday.
    pub fn span(self, zone: Tz) -> Span {
        Span {
            from: day_start(zone, self.monday),
            to: day_start(zone, later(self.monday, 7)),
        }
    }

    /// The week before.
    #[must_use]
    pub fn previous(self) -> Self {
        Self {
            monday: earlier(self.monday, 7),
        }
    }
}

impl fmt::Display for IsoWeek {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:04}-W{:02}", self.year(), self.week())
    }
}

impl FromStr for IsoWeek {
    type Err = NotAWeek;

    fn from_str(text: &str) -> Result<Self, NotAWeek> {
        let wrong = || NotAWeek(text.to_owned());
        let (year, week) = text.split_once("-W").ok_or_else(wrong)?;
        let digits =
            |part: &str, count| part.len() == count && part.bytes().all(|b| b.is_ascii_digit());
        if !digits(year, 4) || !digits(week, 2) {
            return Err(wrong());
        }
        let (year, week) = (
            year.parse().map_err(|_| wrong())?,
            week.parse().map_err(|_| wrong())?,
        );
        Self::new(year, week)
    }
}

impl TryFrom<String> for IsoWeek {
    type Error = NotAWeek;

    fn try_from(text: String) -> Result<Self, NotAWeek> {
        text.parse()
    }
}

impl From<IsoWeek> for String {
    fn from(week: IsoWeek) -> Self {
        week.to_string()
    }
}

#[cfg(test)]
mod tests {
    use chrono_tz::America;
    use proptest::prelude::*;

    use super::*;
    use crate::units::Seconds;

    fn week(text: &str) -> IsoWeek {
        text.parse().unwrap()
    }

    #[test]
    fn a_week_is_written_as_it_is_read() {
        assert_eq!(week("2031-W24").to_string(), "2031-W24");
        for wrong in [
            "2031-W00", "2031-W53", "2031-24", "31-W24", "2031-W4", "2031-w24", "+031-W24",
            "2031-W+4", "",
        ] {
            assert!(wrong.parse::<IsoWeek>().is_err(), "{wrong}");
        }
    }

    #[test]
    fn the_first_days_of_january_may_lie_in_last_years_last_week() {
        let new_year = NaiveDate::from_ymd_opt(2027, 1, 1).unwrap();
        assert_eq!(IsoWeek::of(new_year).to_string(), "2026-W53");
        assert_eq!(week("2027-W01").previous(), week("2026-W53"));
        assert_eq!(week("2027-W01").days()[0].to_string(), "2027-01-04");
    }

    #[test]
    fn the_week_of_a_clock_change_is_an_hour_longer_or_shorter() {
        let hours = |text: &str| week(text).span(America::New_York).length();
        assert_eq!(hours("2026-W44"), Seconds(169 * 3_600));
        assert_eq!(hours("2027-W10"), Seconds(167 * 3_600));
        assert_eq!(hours("2027-W11"), Seconds(168 * 3_600));
    }

    #[test]
    fn weeks_follow_each_other_without_gap() {
        let mut next = IsoWeek::of(NaiveDate::from_ymd_opt(2030, 1, 1).unwrap());
        for _ in 0..300 {
            let zone = America::Sao_Paulo;
            assert_eq!(next.previous().span(zone).to, next.span(zone).from);
            next = next.previous();
        }
    }

    proptest! {
        #[test]
        fn every_date_lies_in_its_week(days in 0_u64..3_000_000) {
            let date = later(NaiveDate::from_ymd_opt(1, 1, 1).unwrap(), days);
            let week = IsoWeek::of(date);
            prop_assert!(week.days().contains(&date));
            prop_assert_eq!(IsoWeek::new(week.year(), week.week()), Ok(week));
            prop_assert_eq!(week.to_string().parse(), Ok(week));
        }
    }
}
