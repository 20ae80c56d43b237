//! What a part costs the courts it serves, over its whole life, to the cent.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};
use thiserror::Error;

use crate::money::{Cents, RunningError, Spread, split};
use crate::whole::Overflow;

/// Why nothing could be booked. Nothing has changed then.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Error)]
pub enum BookingError {
    /// The rule of the running total does not allow it.
    #[error(transparent)]
    Running(#[from] RunningError),
    /// A part that cost less than nothing.
    #[error("a part does not cost less than nothing")]
    NegativeCost,
    /// Something is left to settle and no court was ever served.
    #[error("no court was served: book what is left where the part was kept")]
    NothingServed,
}

/// A part in service: what is booked of its cost, and whom it served.
///
/// Each use books what is due less what was booked, due being cost × used ÷ life, a half cent to the even cent. A new estimate
/// of its life changes only what is still to be booked.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Carried {
    spread: Spread,
    served: BTreeMap<i64, i64>,
}

impl Carried {
    /// A new part that cost `cost` and is thought to last `life` uses.
    pub fn new(cost: Cents, life: i64) -> Result<Self, BookingError> {
        if cost.0 < 0 {
            return Err(BookingError::NegativeCost);
        }
        Ok(Self {
            spread: Spread::new(cost, life)?,
            served: BTreeMap::new(),
        })
    }

    /// Books `uses` on `court` and returns the line. A part that outlives its estimate costs no more than its price.
    pub fn book(&mut self, court: i64, uses: i64) -> Result<Cents, BookingError> {
        let served = self.served.get(&court).copied().unwrap_or(0);
        let served = served
            .checked_add(uses)
            .ok_or(BookingError::Running(Overflow.into()))?;
        let line = self.spread.book(uses)?;
        self.served.insert(court, served);
        Ok(line)
    }

    /// Spreads what is not yet booked over `uses_left`, as a new forecast has it.
    pub fn re_estimate(&mut self, uses_left: i64) -> Result<(), BookingError> {
        self.spread = self.spread.re_estimate(uses_left)?;
        Ok(())
    }

    /// What is still to be booked.
    pub fn left(&self) -> Result<Cents, BookingError> {
        let left = self.spread.cost.checked_sub(self.spread.booked);
        Ok(left.map_err(RunningError::from)?)
    }

    /// Scraps the part: what is left goes to the courts it served, by its uses on each, the odd cents to the largest
    /// remainders. Lines of no cents are left out. All lines of the part then sum to what it cost.
    pub fn settle(mut self) -> Result<Vec<(i64, Cents)>, BookingError> {
        let left = self.spread.write_off()?;
        if left == Cents::ZERO {
            return Ok(Vec::new());
        }
        let uses: Vec<i64> = self.served.values().copied().collect();
        let parts = split(left, &uses).map_err(|_| BookingError::NothingServed)?;
        let lines = self.served.into_keys().zip(parts);
        Ok(lines.filter(|(_, line)| *line != Cents::ZERO).collect())
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    #[test]
    fn a_brush_costs_its_courts_by_use() {
        let mut brush = Carried::new(Cents(24_800), 900).unwrap();
        // Own arithmetic: 24,800 × 10 ÷ 900 = 275.56; × 25 ÷ 900 = 688.89, less 276.
        assert_eq!(brush.book(1, 10), Ok(Cents(276)));
        assert_eq!(brush.book(2, 15), Ok(Cents(413)));
        assert_eq!(brush.left(), Ok(Cents(24_111)));
    }

    #[test]
    fn a_scrapped_brush_leaves_its_rest_to_the_courts_it_served() {
        let mut brush = Carried::new(Cents(1_000), 100).unwrap();
        for (court, uses) in [(7, 20), (3, 20), (5, 10)] {
            brush.book(court, uses).unwrap();
        }
        // 500 left over 20, 20 and 10 uses.
        assert_eq!(
            brush.settle(),
            Ok(vec![(3, Cents(200)), (5, Cents(100)), (7, Cents(200))])
        );
    }

    #[test]
    fn a_new_estimate_changes_only_what_is_still_to_be_booked() {
        let mut brush = Carried::new(Cents(1_000), 100).unwrap();
        brush.book(1, 50).unwrap();
        brush.re_estimate(10).unwrap();
        assert_eq!(brush.book(1, 5), Ok(Cents(250)));
        assert_eq!(brush.book(1, 500), Ok(Cents(250)));
        assert_eq!(brush.settle(), Ok(Vec::new()));
    }

    #[test]
    fn a_brush_that_served_nobody_cannot_be_settled_on_courts() {
        let brush = Carried::new(Cents(1_000), 100).unwrap();
        assert_eq!(brush.settle(), Err(BookingError::NothingServed));
        assert_eq!(Carried::new(Cents(-1), 1), Err(BookingError::NegativeCost));
        assert!(Carried::new(Cents(1), 0).is_err());
    }

    #[test]
    fn what_cannot_be_booked_changes_nothing() {
        let mut brush = Carried::new(Cents(1_000), 100).unwrap();
        brush.book(1, 5).unwrap();
        let before = brush.clone();
        assert!(brush.book(1, -1).is_err() && brush.book(1, i64::MAX).is_err());
        assert!(brush.re_estimate(0).is_err());
        assert_eq!(brush, before);
    }

    proptest! {
        #[test]
        fn all_lines_of_a_part_sum_to_what_it_cost(
            cost in 0_i64..1_000_000, life in 1_i64..2_000,
            uses in prop::collection::vec((0_i64..12, 0_i64..60, prop::option::of(1_i64..900)), 1..60)
        ) {
            let mut part = Carried::new(Cents(cost), life).unwrap();
            let mut booked = 0;
            for (court, uses, estimate) in uses {
                if let Some(left) = estimate {
                    part.re_estimate(left).unwrap();
                }
                booked += part.book(court, uses).unwrap().0;
                prop_assert!((0..=cost).contains(&booked));
            }
            part.book(0, 1).map(|line| booked += line.0).unwrap();
            booked += part.settle().unwrap().iter().map(|(_, line)| line.0).sum::<i64>();
            prop_assert_eq!(booked, cost);
        }
    }
}
