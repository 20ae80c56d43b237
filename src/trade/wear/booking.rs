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

/// What a court bears of a part: the court and the cents.
pub type Share = (i64, Cents);

/// A part that a cost is carried for: what is booked of it, and over how much use the rest is spread.
///
/// Each use books what is due less what was booked, due being cost × used ÷ life, a half cent to the even cent. A new estimate
/// of its life changes only what is still to be booked. Uses are whole numbers of whatever the part's life is counted in.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub struct Carried {
    /// What it cost.
    pub cost: Cents,
    /// What all lines of it sum to.
    pub booked: Cents,
    /// What was still to be booked when its life was last reckoned.
    pub to_book: Cents,
    /// Over how many uses from then on, at least 1.
    pub over: i64,
    /// Uses since then.
    pub used: i64,
}

impl Carried {
    /// A new part that cost `cost` and is thought to last `life` uses.
    pub fn new(cost: Cents, life: i64) -> Result<Self, BookingError> {
        if cost.0 < 0 {
            return Err(BookingError::NegativeCost);
        }
        if life < 1 {
            return Err(RunningError::NoLife.into());
        }
        Ok(Self {
            cost,
            booked: Cents::ZERO,
            to_book: cost,
            over: life,
            used: 0,
        })
    }

    /// Books `uses` and returns the line. A part that outlives its estimate costs no more than its price.
    pub fn book(&mut self, uses: i64) -> Result<Cents, BookingError> {
        let mut spread = Spread {
            cost: self.to_book,
            life: self.over,
            uses: self.used,
            booked: self.since_reckoned()?,
        };
        let line = spread.book(uses)?;
        self.booked = plus(self.booked, line)?;
        self.used = spread.uses;
        Ok(line)
    }

    /// Spreads what is not yet booked over `uses_left`, as a new forecast has it.
    pub fn re_estimate(&mut self, uses_left: i64) -> Result<(), BookingError> {
        if uses_left < 1 {
            return Err(RunningError::NoLife.into());
        }
        self.to_book = self.left()?;
        self.over = uses_left;
        self.used = 0;
        Ok(())
    }

    /// Takes `uses` back that had been booked at `line`: both are to come again.
    pub fn take_back(&mut self, uses: i64, line: Cents) -> Result<(), BookingError> {
        let left = self.over.saturating_sub(self.used).max(0);
        let left = left.checked_add(uses).ok_or(Overflow);
        let mut after = *self;
        after.booked = minus(self.booked, line)?;
        after.re_estimate(left.map_err(RunningError::from)?.max(1))?;
        *self = after;
        Ok(())
    }

    /// What is still to be booked.
    pub fn left(&self) -> Result<Cents, BookingError> {
        minus(self.cost, self.booked)
    }

    /// Books what is left on the courts that were served, by the uses of each, the odd cents to the largest remainders, as
    /// when the part is taken off. Lines of no cents are left out. All lines of the part then sum to what it cost.
    pub fn settle(&mut self, served: &[(i64, i64)]) -> Result<Vec<Share>, BookingError> {
        let lines = shared(self.left()?, served)?;
        self.booked = self.cost;
        self.to_book = Cents::ZERO;
        Ok(lines)
    }

    /// A use of `uses` on `court` that is told of a part that was settled: the court bears its share of the whole cost, and
    /// the `served` courts, this one not yet among them by this use, bear so much less. The lines sum to nothing.
    pub fn late(
        &self,
        court: i64,
        uses: i64,
        served: &[(i64, i64)],
    ) -> Result<Vec<Share>, BookingError> {
        let before: i64 = served.iter().map(|(_, uses)| *uses).sum();
        if before <= 0 || uses <= 0 {
            return Ok(Vec::new());
        }
        let parts = split(self.cost, &[uses, before]).map_err(|_| BookingError::NothingServed)?;
        let share = parts.first().copied().unwrap_or_default();
        let mut by_court: BTreeMap<i64, i64> = BTreeMap::from([(court, share.0)]);
        for (court, line) in shared(Cents(-share.0), served)? {
            *by_court.entry(court).or_default() += line.0;
        }
        let lines = by_court.into_iter().filter(|(_, line)| *line != 0);
        Ok(lines.map(|(court, line)| (court, Cents(line))).collect())
    }

    fn since_reckoned(&self) -> Result<Cents, BookingError> {
        minus(self.booked, minus(self.cost, self.to_book)?)
    }
}

/// Shares a whole among courts by their uses; lines of no cents are left out.
fn shared(whole: Cents, served: &[(i64, i64)]) -> Result<Vec<Share>, BookingError> {
    if whole == Cents::ZERO {
        return Ok(Vec::new());
    }
    let uses: Vec<i64> = served.iter().map(|(_, uses)| *uses).collect();
    let parts = split(whole, &uses).map_err(|_| BookingError::NothingServed)?;
    let lines = served.iter().map(|(court, _)| *court).zip(parts);
    Ok(lines.filter(|(_, line)| *line != Cents::ZERO).collect())
}

fn plus(a: Cents, b: Cents) -> Result<Cents, BookingError> {
    Ok(a.checked_add(b).map_err(RunningError::from)?)
}

fn minus(a: Cents, b: Cents) -> Result<Cents, BookingError> {
    Ok(a.checked_sub(b).map_err(RunningError::from)?)
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    #[test]
    fn a_brush_costs_its_courts_by_use() {
        let mut brush = Carried::new(Cents(24_800), 900).unwrap();
        // Own arithmetic: 24,800 × 10 ÷ 900 = 275.56; × 25 ÷ 900 = 688.89, less 276.
        assert_eq!(brush.book(10), Ok(Cents(276)));
        assert_eq!(brush.book(15), Ok(Cents(413)));
        assert_eq!(brush.left(), Ok(Cents(24_111)));
    }

    #[test]
    fn a_scrapped_brush_leaves_its_rest_to_the_courts_it_served() {
        let mut brush = Carried::new(Cents(1_000), 100).unwrap();
        for uses in [20, 20, 10] {
            brush.book(uses).unwrap();
        }
        // 500 left over 20, 20 and 10 uses.
        assert_eq!(
            brush.settle(&[(3, 20), (5, 10), (7, 20)]),
            Ok(vec![(3, Cents(200)), (5, Cents(100)), (7, Cents(200))])
        );
        assert_eq!(brush.left(), Ok(Cents(0)));
    }

    #[test]
    fn a_new_estimate_changes_only_what_is_still_to_be_booked() {
        let mut brush = Carried::new(Cents(1_000), 100).unwrap();
        brush.book(50).unwrap();
        brush.re_estimate(10).unwrap();
        assert_eq!(brush.book(5), Ok(Cents(250)));
        assert_eq!(brush.book(500), Ok(Cents(250)));
        assert_eq!(brush.settle(&[(1, 555)]), Ok(Vec::new()));
    }

    #[test]
    fn what_is_taken_back_is_to_come_again() {
        let mut brush = Carried::new(Cents(1_000), 100).unwrap();
        let line = brush.book(40).unwrap();
        brush.re_estimate(30).unwrap();
        brush.take_back(40, line).unwrap();
        // 1,000 over 30 + 40 uses.
        assert_eq!((brush.booked, brush.over), (Cents(0), 70));
        assert_eq!(brush.book(7), Ok(Cents(100)));
    }

    #[test]
    fn a_use_that_is_told_after_all_was_settled_takes_its_share_from_the_others() {
        let mut brush = Carried::new(Cents(1_000), 100).unwrap();
        brush.settle(&[(1, 60), (2, 20)]).unwrap();
        // 1,000 × 20 ÷ 100 = 200 on court 3, of which court 1 had 150 and court 2 had 50.
        let lines = brush.late(3, 20, &[(1, 60), (2, 20)]);
        assert_eq!(
            lines,
            Ok(vec![(1, Cents(-150)), (2, Cents(-50)), (3, Cents(200))])
        );
    }

    #[test]
    fn a_brush_that_served_nobody_cannot_be_settled_on_courts() {
        let mut brush = Carried::new(Cents(1_000), 100).unwrap();
        assert_eq!(brush.settle(&[]), Err(BookingError::NothingServed));
        assert_eq!(Carried::new(Cents(-1), 1), Err(BookingError::NegativeCost));
        assert!(Carried::new(Cents(1), 0).is_err());
    }

    #[test]
    fn what_cannot_be_booked_changes_nothing() {
        let mut brush = Carried::new(Cents(1_000), 100).unwrap();
        brush.book(5).unwrap();
        let before = brush;
        assert!(brush.book(-1).is_err() && brush.book(i64::MAX).is_err());
        assert!(brush.re_estimate(0).is_err());
        assert_eq!(brush, before);
    }

    /// What may happen to a part between its fitting and its end.
    #[derive(Clone, Debug)]
    enum Told {
        Used(i64, i64),
        Reckoned(i64),
        TakenBack(usize),
    }

    fn told() -> impl Strategy<Value = Told> {
        prop_oneof![
            4 => (0_i64..12, 0_i64..60).prop_map(|(court, uses)| Told::Used(court, uses)),
            1 => (1_i64..900).prop_map(Told::Reckoned),
            1 => (0_usize..60).prop_map(Told::TakenBack),
        ]
    }

    proptest! {
        #[test]
        fn all_lines_of_a_part_sum_to_what_it_cost(
            cost in 0_i64..1_000_000, life in 1_i64..2_000, told in prop::collection::vec(told(), 1..60)
        ) {
            let mut part = Carried::new(Cents(cost), life).unwrap();
            let mut lines: Vec<(i64, i64, i64)> = Vec::new();
            for one in told {
                match one {
                    Told::Used(court, uses) => lines.push((court, uses, part.book(uses).unwrap().0)),
                    Told::Reckoned(left) => part.re_estimate(left).unwrap(),
                    Told::TakenBack(nth) if nth < lines.len() => {
                        let (_, uses, line) = lines.swap_remove(nth);
                        part.take_back(uses, Cents(line)).unwrap();
                    }
                    Told::TakenBack(_) => {}
                }
                let sum: i64 = lines.iter().map(|(_, _, line)| line).sum();
                prop_assert_eq!(sum, part.booked.0);
                prop_assert!((0..=cost).contains(&sum), "{} of {}", sum, cost);
            }
            lines.push((0, 1, part.book(1).unwrap().0));
            let served: Vec<(i64, i64)> = lines.iter().map(|(court, uses, _)| (*court, *uses)).collect();
            let mut all: i64 = lines.iter().map(|(_, _, line)| line).sum();
            all += part.settle(&served).unwrap().iter().map(|(_, line)| line.0).sum::<i64>();
            prop_assert_eq!(all, cost);
            all += part.late(5, 30, &served).unwrap().iter().map(|(_, line)| line.0).sum::<i64>();
            prop_assert_eq!(all, cost);
        }
    }
}
