//! The part of the year in which a task is done.

use std::fmt;
use std::str::FromStr;

use chrono::{Datelike, NaiveDate};
use serde::{Deserialize, Serialize};
use thiserror::Error;

/// A day of any year, written `04-15`.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(into = "String", try_from = "String")]
pub struct MonthDay {
    month: u32,
    day: u32,
}

/// A text that names no day of a year.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
#[error("`{0}` is not a day of the year: write month and day as 04-15")]
pub struct NotAMonthDay(String);

impl MonthDay {
    /// The day of the year on which a date lies.
    pub fn of(date: NaiveDate) -> Self {
        Self {
            month: date.month(),
            day: date.day(),
        }
    }

    /// The first date on or after `from` that is this day. 29 February stands for 1 March where a year has none.
    fn next(self, from: NaiveDate) -> Option<NaiveDate> {
        (from.year()..=from.year() + 1)
            .filter_map(|year| {
                NaiveDate::from_ymd_opt(year, self.month, self.day)
                    .or_else(|| NaiveDate::from_ymd_opt(year, self.month + 1, 1))
            })
            .find(|date| *date >= from)
    }
}

impl FromStr for MonthDay {
    type Err = NotAMonthDay;

    fn from_str(text: &str) -> Result<Self, NotAMonthDay> {
        let wrong = || NotAMonthDay(text.to_owned());
        let (month, day) = text.split_once('-').ok_or_else(wrong)?;
        let number = |part: &str| -> Option<u32> {
            (part.len() == 2 && part.bytes().all(|b| b.is_ascii_digit()))
                .then(|| part.parse().ok())
                .flatten()
        };
        let (month, day) = number(month).zip(number(day)).ok_or_else(wrong)?;
        // A leap year, so that 29 February is a day.
        NaiveDate::from_ymd_opt(2_000, month, day)
            .map(Self::of)
            .ok_or_else(wrong)
    }
}

impl fmt::Display for MonthDay {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:02}-{:02}", self.month, self.day)
    }
}

impl TryFrom<String> for MonthDay {
    type Error = NotAMonthDay;

    fn try_from(text: String) -> Result<Self, NotAMonthDay> {
        text.parse()
    }
}

impl From<MonthDay> for String {
    fn from(day: MonthDay) -> Self {
        day.to_string()
    }
}

/// A part of the year, both days inside; one that ends before it begins crosses the year's end.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Season {
    /// Its first day.
    pub from: MonthDay,
    /// Its last day.
    pub until: MonthDay,
}

impl Season {
    /// Whether the date lies in it.
    pub fn contains(&self, date: NaiveDate) -> bool {
        let day = MonthDay::of(date);
        if self.from <= self.until {
            self.from <= day && day <= self.until
        } else {
            self.from <= day || day <= self.until
        }
    }

    /// The date itself where it lies in the season, else the date on which the next one begins.
    pub fn next(&self, date: NaiveDate) -> NaiveDate {
        if self.contains(date) {
            date
        } else {
            self.from.next(date).unwrap_or(date)
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn date(text: &str) -> NaiveDate {
        text.parse().unwrap()
    }

    fn season(from: &str, until: &str) -> Season {
        Season {
            from: from.parse().unwrap(),
            until: until.parse().unwrap(),
        }
    }

    #[test]
    fn a_season_may_cross_the_end_of_the_year() {
        let summer = season("04-01", "10-31");
        assert!(summer.contains(date("2031-04-01")) && summer.contains(date("2031-10-31")));
        assert!(!summer.contains(date("2031-11-01")));
        let winter = season("11-01", "03-31");
        assert!(winter.contains(date("2031-12-31")) && winter.contains(date("2032-02-29")));
        assert!(!winter.contains(date("2031-04-01")));
    }

    #[test]
    fn out_of_season_the_next_one_is_named() {
        let summer = season("04-01", "10-31");
        assert_eq!(summer.next(date("2031-11-20")), date("2032-04-01"));
        assert_eq!(summer.next(date("2031-02-20")), date("2031-04-01"));
        assert_eq!(summer.next(date("2031-06-20")), date("2031-06-20"));
        let leap = season("02-29", "02-29");
        assert_eq!(leap.next(date("2031-06-20")), date("2032-02-29"));
        assert_eq!(leap.next(date("2032-06-20")), date("2033-03-01"));
    }

    #[test]
    fn a_day_of_the_year_is_read_as_it_is_written() {
        assert_eq!("02-29".parse::<MonthDay>().unwrap().to_string(), "02-29");
        for wrong in ["2-29", "02-30", "13-01", "0401", "", "04-1", "+4-01"] {
            assert!(wrong.parse::<MonthDay>().is_err(), "{wrong}");
        }
    }
}
