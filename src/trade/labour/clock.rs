//! What of the time that was told counts as worked: breaks, and clocks that are read to some minutes.

use chrono::{DateTime, TimeDelta, Utc};
use serde::{Deserialize, Serialize};

use crate::calendar::Span;
use crate::units::Seconds;

/// A break in a stretch of work.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub struct Break {
    /// When.
    pub span: Span,
    /// Whether the person was free of all duty. Who is not, works (29 CFR 785.19(a)).
    pub is_free: bool,
}

/// How long a break may be and still count as worked: rests of 5 to about 20 minutes do (29 CFR 785.18), meals of 30 and more do
/// not (785.19(a)). What lies between is for the site and its counsel.
pub const REST: Seconds = Seconds(20 * 60);

/// What counts as worked of a stretch with these breaks: all but breaks longer than `rest` that were free of duty. Breaks may
/// overlap, and reach beyond the stretch.
pub fn counts_as_worked(stretch: Span, breaks: &[Break], rest: Seconds) -> Seconds {
    let mut unpaid: Vec<Span> = breaks
        .iter()
        .filter(|one| one.is_free && (one.span.to - one.span.from).num_seconds() > rest.0)
        .map(|one| Span {
            from: one.span.from.max(stretch.from),
            to: one.span.to.min(stretch.to),
        })
        .filter(|span| span.to > span.from)
        .collect();
    unpaid.sort_by_key(|span| span.from);
    let (mut off, mut until) = (TimeDelta::zero(), stretch.from);
    for span in unpaid {
        off += (span.to - span.from.max(until)).max(TimeDelta::zero());
        until = until.max(span.to);
    }
    Seconds(((stretch.to - stretch.from) - off).num_seconds().max(0))
}

word_enum! {
    /// To how many minutes a site reads its clocks (29 CFR 785.48(b): the nearest 5 minutes, tenth or quarter of an hour).
    Rounding {
        /// To the second.
        Exact = "exact",
        /// To 5 minutes.
        Five = "five",
        /// To a tenth of an hour.
        Tenth = "tenth",
        /// To a quarter of an hour.
        Quarter = "quarter",
    }
}

impl Rounding {
    const fn step(self) -> i64 {
        match self {
            Self::Exact => 1,
            Self::Five => 5 * 60,
            Self::Tenth => 6 * 60,
            Self::Quarter => 15 * 60,
        }
    }

    /// A stretch whose begin and end are both read to the nearest step; just between two, to the later. As that holds for both
    /// ends, it neither gives nor takes time over many stretches, which the rule asks for.
    pub fn of(self, stretch: Span) -> Span {
        Span {
            from: self.read(stretch.from),
            to: self.read(stretch.to),
        }
    }

    fn read(self, at: DateTime<Utc>) -> DateTime<Utc> {
        let step = self.step();
        let off = at.timestamp().rem_euclid(step);
        let by = if 2 * off >= step { step - off } else { -off };
        at + TimeDelta::seconds(by)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(text: &str) -> DateTime<Utc> {
        format!("2031-06-10T{text}:00Z").parse().unwrap()
    }

    fn span(from: &str, to: &str) -> Span {
        Span {
            from: at(from),
            to: at(to),
        }
    }

    fn free(from: &str, to: &str) -> Break {
        Break {
            span: span(from, to),
            is_free: true,
        }
    }

    /// 29 CFR 785.18 and 785.19(a).
    #[test]
    fn a_rest_is_worked_and_a_meal_is_not_unless_it_is_spent_on_duty() {
        let day = span("06:00", "14:00");
        let worked = |breaks: &[Break]| counts_as_worked(day, breaks, REST).0 / 60;
        assert_eq!(
            worked(&[free("08:00", "08:15"), free("10:00", "10:20")]),
            480
        );
        assert_eq!(worked(&[free("11:00", "11:30")]), 450);
        let on_duty = Break {
            is_free: false,
            ..free("11:00", "11:30")
        };
        assert_eq!(worked(&[on_duty]), 480);
        assert_eq!(
            worked(&[free("11:00", "11:40"), free("11:30", "12:00")]),
            420
        );
        assert_eq!(
            worked(&[free("13:30", "15:00"), free("05:00", "05:45")]),
            450
        );
    }

    /// 29 CFR 785.48(b).
    #[test]
    fn clocks_are_read_to_the_nearest_step() {
        let told = span("06:07", "14:08");
        assert_eq!(Rounding::Quarter.of(told), span("06:00", "14:15"));
        assert_eq!(Rounding::Five.of(told), span("06:05", "14:10"));
        assert_eq!(Rounding::Tenth.of(told), span("06:06", "14:06"));
        assert_eq!(Rounding::Exact.of(told), told);
    }

    #[test]
    fn over_all_minutes_at_which_people_come_and_go_rounding_gives_and_takes_nothing() {
        for rounding in Rounding::ALL {
            let mut off = 0;
            for from in 0..60 {
                for to in 0..60 {
                    let told = Span {
                        from: at("06:00") + TimeDelta::minutes(from),
                        to: at("14:00") + TimeDelta::minutes(to),
                    };
                    let read = rounding.of(told);
                    off += ((read.to - read.from) - (told.to - told.from)).num_seconds();
                }
            }
            assert_eq!(off, 0, "{rounding:?}");
        }
    }
}
