//! Hours of work: what counts as worked, what it is paid, that nobody is in two places at once, and what it teaches of how
//! long work takes.

mod clock;
mod learned;
mod overtime;

use chrono::{DateTime, TimeDelta, Utc};
use serde::{Deserialize, Serialize};
use thiserror::Error;

pub use clock::{Break, REST, Rounding, counts_as_worked};
pub use learned::{PRIOR, Record, log_ratio};
pub use overtime::{Beyond, OvertimeRules, Stint, WeekPay, hour_of_salary, week_pay};

use crate::calendar::Span;
use crate::money::Cents;
use crate::units::Seconds;
use crate::whole::Overflow;

/// Seconds in an hour: the `per` of a [`RunningTotal`](crate::money::RunningTotal) of labour.
pub const SECONDS_AN_HOUR: i64 = 3_600;

/// Why hours cannot be taken.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Error)]
pub enum LabourError {
    /// No minute or fewer.
    #[error("work takes at least a minute")]
    NoMinutes,
    /// Seconds or a rate below zero.
    #[error("time worked and its rate are not negative")]
    Negative,
    /// The interval would begin before the calendar does.
    #[error("the work would have begun before the calendar does")]
    BeforeTheCalendar,
    /// A number does not fit 64 bits.
    #[error(transparent)]
    Overflow(#[from] Overflow),
}

/// One stretch of a person's work.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub struct Worked {
    /// Who.
    pub person: i64,
    /// When.
    pub span: Span,
}

/// Straight-time cost in cent-seconds: seconds × cents an hour. Divided by [`SECONDS_AN_HOUR`] it is cents.
pub fn cent_seconds(worked: Seconds, cents_an_hour: Cents) -> Result<i64, LabourError> {
    if worked.0 < 0 || cents_an_hour.0 < 0 {
        return Err(LabourError::Negative);
    }
    Ok(worked.0.checked_mul(cents_an_hour.0).ok_or(Overflow)?)
}

/// The interval of work of which only its minutes are told: it ends at the finish.
pub fn minutes_before(finish: DateTime<Utc>, minutes: i64) -> Result<Span, LabourError> {
    if minutes < 1 {
        return Err(LabourError::NoMinutes);
    }
    let length = TimeDelta::try_minutes(minutes).ok_or(LabourError::BeforeTheCalendar)?;
    let from = finish
        .checked_sub_signed(length)
        .ok_or(LabourError::BeforeTheCalendar)?;
    Ok(Span { from, to: finish })
}

/// For how long anybody worked, from entries that may overlap: a crew of three that works side by side for ten minutes
/// took ten. Breaks between entries do not count.
pub fn together(entries: &[Worked]) -> Seconds {
    let mut spans: Vec<Span> = entries.iter().map(|entry| entry.span).collect();
    spans.sort_by_key(|span| span.from);
    let (mut worked, mut until) = (0, None::<DateTime<Utc>>);
    for span in spans {
        let from = until.map_or(span.from, |until| until.max(span.from));
        worked += (span.to - from).num_seconds().max(0);
        until = Some(until.map_or(span.to, |until| until.max(span.to)));
    }
    Seconds(worked)
}

/// Pairs of entries that put one person in two places at once, as places in the list, the smaller first.
/// An entry that ends as the next starts is no fault.
pub fn in_two_places(entries: &[Worked]) -> Vec<(usize, usize)> {
    let mut order: Vec<usize> = (0..entries.len()).collect();
    order.sort_by_key(|place| (entries[*place].person, entries[*place].span.from, *place));
    let mut pairs = Vec::new();
    for (at, first) in order.iter().enumerate() {
        let one = &entries[*first];
        for second in &order[at + 1..] {
            let other = &entries[*second];
            if other.person != one.person || other.span.from >= one.span.to {
                break;
            }
            if one.span.overlaps(&other.span) {
                pairs.push((*first.min(second), *first.max(second)));
            }
        }
    }
    pairs.sort_unstable();
    pairs
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::money::RunningTotal;

    fn at(text: &str) -> DateTime<Utc> {
        format!("2031-06-10T{text}:00Z").parse().unwrap()
    }

    fn worked(person: i64, from: &str, to: &str) -> Worked {
        Worked {
            person,
            span: Span {
                from: at(from),
                to: at(to),
            },
        }
    }

    // 29 CFR 778.110(a): 46 hours at $12 are $552 of straight time (the premium of $36 is not reckoned here).
    #[test]
    fn forty_six_hours_at_twelve_dollars_are_552_dollars_straight_time() {
        let mut total = RunningTotal::default();
        let lines: Vec<Cents> = (0..46 * 60)
            .map(|_| {
                total
                    .book(
                        Cents(1),
                        cent_seconds(Seconds(60), Cents(1_200)).unwrap(),
                        SECONDS_AN_HOUR,
                    )
                    .unwrap()
            })
            .collect();
        assert_eq!(Cents::sum(lines), Ok(Cents(55_200)));
    }

    #[test]
    fn a_person_cannot_be_in_two_places() {
        let entries = [
            worked(1, "08:00", "09:00"),
            worked(1, "08:30", "08:45"),
            worked(2, "08:00", "09:00"),
            worked(1, "09:00", "10:00"),
            worked(1, "07:00", "08:01"),
        ];
        assert_eq!(in_two_places(&entries), [(0, 1), (0, 4)]);
    }

    #[test]
    fn a_long_entry_is_held_against_every_one_it_covers() {
        let entries = [
            worked(1, "08:00", "12:00"),
            worked(1, "08:10", "08:20"),
            worked(1, "11:00", "12:30"),
        ];
        assert_eq!(in_two_places(&entries), [(0, 1), (0, 2)]);
    }

    #[test]
    fn an_entry_of_no_length_is_nowhere() {
        assert!(
            in_two_places(&[worked(1, "08:00", "09:00"), worked(1, "08:30", "08:30")]).is_empty()
        );
    }

    #[test]
    fn work_side_by_side_counts_once_and_a_break_not_at_all() {
        let entries = [
            worked(1, "08:00", "08:30"),
            worked(2, "08:10", "08:20"),
            worked(1, "08:45", "09:00"),
            worked(2, "08:25", "08:50"),
        ];
        assert_eq!(together(&entries), Seconds(60 * 60));
        let apart = [worked(1, "08:00", "08:30"), worked(1, "09:00", "09:05")];
        assert_eq!(together(&apart), Seconds(35 * 60));
        assert_eq!(together(&[]), Seconds(0));
    }

    #[test]
    fn minutes_told_alone_end_at_the_finish() {
        let span = minutes_before(at("09:00"), 25).unwrap();
        assert_eq!(
            span,
            Span {
                from: at("08:35"),
                to: at("09:00")
            }
        );
        assert_eq!(minutes_before(at("09:00"), 0), Err(LabourError::NoMinutes));
        assert_eq!(
            minutes_before(at("09:00"), i64::MAX),
            Err(LabourError::BeforeTheCalendar)
        );
    }

    #[test]
    fn negative_or_endless_hours_are_refused() {
        assert_eq!(
            cent_seconds(Seconds(-1), Cents(1)),
            Err(LabourError::Negative)
        );
        assert_eq!(
            cent_seconds(Seconds(i64::MAX), Cents(2)),
            Err(LabourError::Overflow(Overflow))
        );
    }
}
