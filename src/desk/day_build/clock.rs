//! A site's day in the planner's seconds, and stretches of it.

use chrono::{DateTime, NaiveDate, TimeDelta, Utc};
use chrono_tz::Tz;
use planner::problem::Span;
use trade::calendar;

use crate::store::Instant;

/// How far before and after the date play is looked at: a session may run past midnight, and the
/// work of an evening ends with the first players of the next day.
const AROUND: TimeDelta = TimeDelta::hours(36);

/// Counts the seconds of one local date, from its first instant on. On a day when the clocks
/// change, 08:00 is not 28,800.
#[derive(Clone, Copy, Debug)]
pub struct DayClock {
    zone: Tz,
    date: NaiveDate,
    start: DateTime<Utc>,
}

impl DayClock {
    /// The clock of a site's date.
    pub fn new(zone: Tz, date: NaiveDate) -> Self {
        Self {
            zone,
            date,
            start: calendar::day_start(zone, date),
        }
    }

    /// The clock of another date of the same site.
    #[must_use]
    pub fn on(&self, date: NaiveDate) -> Self {
        Self::new(self.zone, date)
    }

    /// Between which instants play, closures and water bear on the date.
    pub fn around(&self) -> (Instant, Instant) {
        let end = self.start + TimeDelta::seconds(self.length_s());
        ((self.start - AROUND).into(), (end + AROUND).into())
    }

    /// The site's zone.
    pub const fn zone(&self) -> Tz {
        self.zone
    }

    /// The instant of a local time of the date.
    pub fn instant_of(&self, time: chrono::NaiveTime) -> Instant {
        calendar::local_to_instant(self.zone, self.date, time).into()
    }

    /// The first instant of the date.
    pub fn start(&self) -> DateTime<Utc> {
        self.start
    }

    /// Length of the date, s.
    pub fn length_s(&self) -> i64 {
        calendar::day_span(self.zone, self.date).length().0
    }

    /// The second in which the instant lies: for what begins.
    pub fn begins(&self, at: Instant) -> i64 {
        (at.utc() - self.start).num_milliseconds().div_euclid(1_000)
    }

    /// The first second that begins at or after the instant: for what ends.
    pub fn ends(&self, at: Instant) -> i64 {
        -((self.start - at.utc()).num_milliseconds().div_euclid(1_000))
    }

    /// The instant of a second.
    pub fn instant(&self, second: i64) -> Instant {
        TimeDelta::try_seconds(second)
            .and_then(|span| self.start.checked_add_signed(span))
            .unwrap_or(self.start)
            .into()
    }

    /// The second of a local time of the date, or of the date so many days later.
    pub fn local(&self, days_later: u64, time: chrono::NaiveTime) -> i64 {
        let date = self
            .date
            .checked_add_days(chrono::Days::new(days_later))
            .unwrap_or(self.date);
        self.begins(calendar::local_to_instant(self.zone, date, time).into())
    }
}

/// What is left of `whole` when the stretches of `taken`, in any order, are taken out.
pub fn minus(whole: Span, taken: &[Span]) -> Vec<Span> {
    let mut taken: Vec<Span> = taken.to_vec();
    taken.sort_unstable();
    let mut left = Vec::new();
    let mut from = whole[0];
    for [begin, end] in taken {
        if end <= from || begin >= end {
            continue;
        }
        if begin >= whole[1] {
            break;
        }
        if begin > from {
            left.push([from, begin]);
        }
        from = end;
    }
    if from < whole[1] {
        left.push([from, whole[1]]);
    }
    left
}

#[cfg(test)]
mod tests {
    use super::*;

    fn clock(date: &str) -> DayClock {
        DayClock::new(chrono_tz::America::New_York, date.parse().unwrap())
    }

    fn at(text: &str) -> Instant {
        text.parse::<DateTime<Utc>>().unwrap().into()
    }

    // America/New_York changes its clocks on 2031-03-09 and 2031-11-02 (IANA time zone database).
    #[test]
    fn eight_oclock_is_an_hour_earlier_in_spring_and_later_in_autumn() {
        let eight = "08:00:00".parse().unwrap();
        assert_eq!(clock("2031-06-10").local(0, eight), 8 * 3_600);
        assert_eq!(clock("2031-03-09").local(0, eight), 7 * 3_600);
        assert_eq!(clock("2031-11-02").local(0, eight), 9 * 3_600);
        assert_eq!(clock("2031-11-02").length_s(), 25 * 3_600);
        assert_eq!(clock("2031-11-02").local(1, eight), 33 * 3_600);
    }

    #[test]
    fn what_begins_is_rounded_down_and_what_ends_up() {
        let clock = clock("2031-06-10");
        let broken = at("2031-06-10T12:00:00.500Z");
        assert_eq!(clock.begins(broken), 8 * 3_600);
        assert_eq!(clock.ends(broken), 8 * 3_600 + 1);
        let whole = at("2031-06-10T12:00:00Z");
        assert_eq!((clock.begins(whole), clock.ends(whole)), (28_800, 28_800));
        assert_eq!(clock.instant(28_800), whole);
    }

    #[test]
    fn what_is_taken_out_leaves_the_rest() {
        assert_eq!(minus([0, 10], &[]), [[0, 10]]);
        assert_eq!(
            minus([0, 10], &[[6, 8], [2, 4], [3, 5], [20, 30]]),
            [[0, 2], [5, 6], [8, 10]]
        );
        assert!(minus([0, 10], &[[-5, 4], [4, 12]]).is_empty());
        assert_eq!(minus([0, 10], &[[-5, 0], [10, 12], [5, 5]]), [[0, 10]]);
    }
}
