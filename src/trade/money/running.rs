//! Running totals: what is spread over use or time is booked so that the lines always sum to what is due.

use serde::{Deserialize, Serialize};
use thiserror::Error;

use super::{Cents, Overflow};
use crate::whole::{half_even, narrow};

/// Why nothing could be booked.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Error)]
pub enum RunningError {
    /// A number does not fit 64 bits.
    #[error(transparent)]
    Overflow(#[from] Overflow),
    /// A life or unit of zero or less.
    #[error("a cost can only be spread over a life of at least one use")]
    NoLife,
    /// Fewer uses than none.
    #[error("a use cannot be negative")]
    NegativeUse,
}

/// What is due of `cost` after `used` of `life`: `cost × used / life`, a half cent to the even cent.
pub fn due(cost: Cents, used: i64, life: i64) -> Result<Cents, RunningError> {
    due_of(i128::from(cost.0) * i128::from(used), life)
}

fn due_of(numerator: i128, per: i64) -> Result<Cents, RunningError> {
    if per <= 0 {
        return Err(RunningError::NoLife);
    }
    Ok(Cents(narrow(half_even(numerator, i128::from(per)))?))
}

/// What has been used so far, weighed with its price, and what has been booked of it.
///
/// One total keeps one `per` for all its bookings: 3,600 for labour (cents an hour × seconds),
/// 1,000,000 for water (cents a cubic metre × millilitres), the life for a part that wears.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub struct RunningTotal {
    /// Sum of rate × use over all bookings.
    pub used: i64,
    /// Sum of all lines so far.
    pub booked: Cents,
}

impl RunningTotal {
    /// Adds `more` at `rate` cents for every `per` of it, and returns the line: what is now due less what was booked.
    ///
    /// A negative `more` takes back. On an error nothing has changed.
    pub fn book(&mut self, rate: Cents, more: i64, per: i64) -> Result<Cents, RunningError> {
        let used = narrow(i128::from(self.used) + i128::from(rate.0) * i128::from(more))?;
        let due = due_of(i128::from(used), per)?;
        let line = due.checked_sub(self.booked)?;
        *self = Self { used, booked: due };
        Ok(line)
    }
}

/// A cost spread over the uses of a life, as of a brush: never more is booked than it cost.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub struct Spread {
    /// What was still to be booked when the present estimate was made.
    pub cost: Cents,
    /// The uses it was then thought to have left, at least 1.
    pub life: i64,
    /// Uses since then, of which those beyond `life` cost nothing more.
    pub uses: i64,
    /// Booked since then.
    pub booked: Cents,
}

impl Spread {
    /// A new part that cost `cost` and is thought to last `life` uses.
    pub fn new(cost: Cents, life: i64) -> Result<Self, RunningError> {
        if life < 1 {
            return Err(RunningError::NoLife);
        }
        Ok(Self {
            cost,
            life,
            uses: 0,
            booked: Cents::ZERO,
        })
    }

    /// Books `uses` more and returns the line. On an error nothing has changed.
    pub fn book(&mut self, uses: i64) -> Result<Cents, RunningError> {
        if uses < 0 {
            return Err(RunningError::NegativeUse);
        }
        let now = self.uses.checked_add(uses).ok_or(Overflow)?;
        let (before, after) = (self.uses.min(self.life), now.min(self.life));
        let mut total = RunningTotal {
            used: narrow(i128::from(self.cost.0) * i128::from(before))?,
            booked: self.booked,
        };
        let line = total.book(self.cost, after - before, self.life)?;
        *self = Self {
            uses: now,
            booked: total.booked,
            ..*self
        };
        Ok(line)
    }

    /// The same part with another estimate: what is not yet booked is spread over `uses_left`; what is booked stays.
    pub fn re_estimate(self, uses_left: i64) -> Result<Self, RunningError> {
        Self::new(self.cost.checked_sub(self.booked)?, uses_left)
    }

    /// Books all that is left, as when the part is changed before its time.
    pub fn write_off(&mut self) -> Result<Cents, RunningError> {
        let left = self.cost.checked_sub(self.booked)?;
        *self = Self {
            booked: self.cost,
            uses: self.uses.max(self.life),
            ..*self
        };
        Ok(left)
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    #[test]
    fn a_half_cent_goes_to_the_even_cent() {
        assert_eq!(due(Cents(5), 1, 2), Ok(Cents(2)));
        assert_eq!(due(Cents(7), 1, 2), Ok(Cents(4)));
        assert_eq!(due(Cents(-5), 1, 2), Ok(Cents(-2)));
        assert_eq!(due(Cents(5), 1, 0), Err(RunningError::NoLife));
    }

    #[test]
    fn three_thirds_of_an_hour_cost_one_hour() {
        let mut total = RunningTotal::default();
        let lines: Vec<_> = (0..3)
            .map(|_| total.book(Cents(2_000), 1_200, 3_600).unwrap().0)
            .collect();
        assert_eq!(lines, [667, 666, 667]);
        assert_eq!(total.booked, Cents(2_000));
    }

    #[test]
    fn a_refused_booking_changes_nothing() {
        let mut total = RunningTotal {
            used: 7,
            booked: Cents(1),
        };
        assert_eq!(
            total.book(Cents(i64::MAX), 2, 1),
            Err(RunningError::Overflow(Overflow))
        );
        assert_eq!(total.book(Cents(1), 1, 0), Err(RunningError::NoLife));
        assert_eq!(
            total,
            RunningTotal {
                used: 7,
                booked: Cents(1)
            }
        );
    }

    #[test]
    fn a_brush_that_outlives_its_estimate_costs_no_more_than_its_price() {
        let mut brush = Spread::new(Cents(10_000), 3).unwrap();
        let lines: Vec<_> = (0..5).map(|_| brush.book(1).unwrap().0).collect();
        assert_eq!(lines, [3_333, 3_334, 3_333, 0, 0]);
    }

    #[test]
    fn a_new_estimate_leaves_what_is_booked_and_spreads_the_rest() {
        let mut brush = Spread::new(Cents(8_000), 100).unwrap();
        assert_eq!(brush.book(50), Ok(Cents(4_000)));
        let mut brush = brush.re_estimate(80).unwrap();
        assert_eq!(brush.book(40), Ok(Cents(2_000)));
        assert_eq!(brush.write_off(), Ok(Cents(2_000)));
        assert_eq!(brush.book(1), Ok(Cents(0)));
    }

    proptest! {
        #[test]
        fn lines_always_sum_to_what_is_due(
            steps in prop::collection::vec((-5_000_i64..5_000, 0_i64..100_000), 1..40), per in 1_i64..2_000_000
        ) {
            let mut total = RunningTotal::default();
            let mut lines = Cents::ZERO;
            let mut used = 0;
            for (rate, more) in steps {
                lines = lines.checked_add(total.book(Cents(rate), more, per).unwrap()).unwrap();
                used += rate * more;
                prop_assert_eq!(lines, due(Cents(used), 1, per).unwrap());
                prop_assert_eq!(total, RunningTotal { used, booked: lines });
            }
        }

        #[test]
        fn a_part_is_booked_to_its_price_exactly_however_often_it_is_estimated(
            cost in 0_i64..1_000_000, life in 1_i64..500, uses in prop::collection::vec(0_i64..60, 0..20), left in 1_i64..500
        ) {
            let mut part = Spread::new(Cents(cost), life).unwrap();
            let mut sum = 0;
            for (nth, more) in uses.iter().enumerate() {
                sum += part.book(*more).unwrap().0;
                if nth % 5 == 4 {
                    part = part.re_estimate(left).unwrap();
                }
                prop_assert!((0..=cost).contains(&sum));
            }
            sum += part.write_off().unwrap().0;
            prop_assert_eq!(sum, cost);
        }
    }
}
