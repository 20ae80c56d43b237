//! The week for which pay is reckoned.
//!
//! 29 CFR 778.105: a workweek is a fixed and regularly recurring period of 168 hours, seven 24-hour periods in
//! a row, which may begin on any day and at any hour. It is kept here by the site's own clock, so that
//! the real hours of a week in which the clocks change are 167 or 169.

use chrono::{DateTime, Datelike, NaiveDate, NaiveTime, Utc, Weekday};
use chrono_tz::Tz;
use serde::{Deserialize, Serialize};

use super::{Span, earlier, later, local_to_instant, work_date};

/// When a site's pay week begins.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub struct PayWeek {
    /// The weekday on which it begins.
    pub weekday: Weekday,
    /// The local time at which it begins.
    pub time: NaiveTime,
}

impl PayWeek {
    /// The date on which the pay week that holds the instant began.
    pub fn start_date(&self, zone: Tz, instant: DateTime<Utc>) -> NaiveDate {
        let start = pay_week_start_date(work_date(zone, instant), self.weekday);
        if instant < local_to_instant(zone, start, self.time) {
            earlier(start, 7)
        } else {
            start
        }
    }

    /// The pay week that began on that date.
    pub fn span(&self, zone: Tz, start_date: NaiveDate) -> Span {
        Span {
            from: local_to_instant(zone, start_date, self.time),
            to: local_to_instant(zone, later(start_date, 7), self.time),
        }
    }
}

/// The last date up to `date` that falls on `weekday`.
pub fn pay_week_start_date(date: NaiveDate, weekday: Weekday) -> NaiveDate {
    earlier(date, u64::from(date.weekday().days_since(weekday)))
}

#[cfg(test)]
mod tests {
    use chrono::TimeDelta;
    use chrono_tz::America;

    use super::*;
    use crate::units::Seconds;

    fn date(text: &str) -> NaiveDate {
        text.parse().unwrap()
    }

    #[test]
    fn a_pay_week_begins_on_the_sites_own_weekday() {
        assert_eq!(
            pay_week_start_date(date("2031-06-11"), Weekday::Sun),
            date("2031-06-08")
        );
        assert_eq!(
            pay_week_start_date(date("2031-06-08"), Weekday::Sun),
            date("2031-06-08")
        );
        assert_eq!(
            pay_week_start_date(date("2031-06-07"), Weekday::Sun),
            date("2031-06-01")
        );
    }

    #[test]
    fn work_before_the_hour_belongs_to_the_week_before() {
        let week = PayWeek {
            weekday: Weekday::Sun,
            time: "05:00:00".parse().unwrap(),
        };
        let zone = America::New_York;
        let start = local_to_instant(zone, date("2031-06-08"), week.time);
        assert_eq!(week.start_date(zone, start), date("2031-06-08"));
        assert_eq!(
            week.start_date(zone, start - TimeDelta::seconds(1)),
            date("2031-06-01")
        );
    }

    // 29 CFR 778.105: 168 hours; by the clock, an hour more or less in the week of a change.
    #[test]
    fn pay_weeks_are_168_hours_by_the_clock_and_tile_the_year() {
        let week = PayWeek {
            weekday: Weekday::Sun,
            time: NaiveTime::MIN,
        };
        let mut start = date("2026-01-04");
        let mut hours = Vec::new();
        for _ in 0..52 {
            let span = week.span(America::New_York, start);
            hours.push(span.length().0 / 3_600);
            assert_eq!(week.start_date(America::New_York, span.from), start);
            assert_eq!(week.start_date(America::New_York, span.to), later(start, 7));
            start = later(start, 7);
        }
        assert_eq!(hours.iter().filter(|h| **h == 168).count(), 50);
        assert_eq!(hours.iter().sum::<i64>(), 52 * 168);
        assert_eq!(
            week.span(America::New_York, date("2026-11-01")).length(),
            Seconds(169 * 3_600)
        );
    }
}
