//! A brush read at several points across: its mean, how uneven it is, and whether it is to be turned.

use serde::{Deserialize, Serialize};

use crate::units::Micrometres;
use crate::whole::{half_even, narrow};

/// Lengths read across a brush, from its left end to its right.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Across(Vec<Micrometres>);

word_enum! {
    /// What is to be done with a brush that was read across.
    Verdict {
        /// Nothing.
        Even = "even",
        /// Turn it end for end, so that the longer end wears now.
        TurnEndForEnd = "turn_end_for_end",
        /// Uneven, but not from end to end: turning does not help.
        Uneven = "uneven",
    }
}

impl Across {
    /// Lengths from one end to the other. None without any, or where one is below zero.
    pub fn new(points: Vec<Micrometres>) -> Option<Self> {
        let sound = !points.is_empty() && points.iter().all(|point| point.0 >= 0);
        sound.then_some(Self(points))
    }

    /// Their mean, to the micrometre: the reading that the forecast takes.
    pub fn mean(&self) -> Micrometres {
        let sum: i128 = self.0.iter().map(|point| i128::from(point.0)).sum();
        let count = i128::try_from(self.0.len()).unwrap_or(i128::MAX);
        // A mean lies between its numbers, so that it fits again.
        Micrometres(narrow(half_even(sum, count)).unwrap_or(i64::MAX))
    }

    /// The longest less the shortest.
    pub fn unevenness(&self) -> Micrometres {
        let lengths = || self.0.iter().map(|point| point.0);
        Micrometres(lengths().max().unwrap_or(0) - lengths().min().unwrap_or(0))
    }

    /// How much the right end is longer than the left.
    pub fn ends_differ(&self) -> Micrometres {
        let first = self.0.first().map_or(0, |point| point.0);
        let last = self.0.last().map_or(0, |point| point.0);
        Micrometres(last - first)
    }

    /// Whether turning it end for end pays: the ends differ by more than `threshold`, and the shorter one has not reached
    /// `limit`, where the brush is changed and not turned. Its life then ends when both ends are down, not the first.
    pub fn turning_pays(&self, threshold: Micrometres, limit: Micrometres) -> bool {
        let shortest = self.0.iter().min().copied().unwrap_or_default();
        self.verdict(threshold) == Verdict::TurnEndForEnd && shortest > limit
    }

    /// What is to be done with it, where more than `threshold` is uneven.
    pub fn verdict(&self, threshold: Micrometres) -> Verdict {
        if self.ends_differ().0.abs() > threshold.0 {
            Verdict::TurnEndForEnd
        } else if self.unevenness() > threshold {
            Verdict::Uneven
        } else {
            Verdict::Even
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn across(points: &[i64]) -> Across {
        Across::new(points.iter().copied().map(Micrometres).collect()).unwrap()
    }

    #[test]
    fn a_brush_is_as_long_as_its_points_are_on_average() {
        let brush = across(&[100_000, 103_000, 104_001]);
        assert_eq!(brush.mean(), Micrometres(102_334));
        assert_eq!(brush.unevenness(), Micrometres(4_001));
    }

    #[test]
    fn a_brush_that_wears_at_one_end_is_turned() {
        let verdict = |points: &[i64]| across(points).verdict(Micrometres(5_000));
        assert_eq!(
            verdict(&[100_000, 103_000, 106_000]),
            Verdict::TurnEndForEnd
        );
        assert_eq!(
            verdict(&[106_000, 103_000, 100_000]),
            Verdict::TurnEndForEnd
        );
        assert_eq!(verdict(&[100_000, 103_000, 105_000]), Verdict::Even);
    }

    #[test]
    fn a_brush_with_an_end_at_its_limit_is_changed_and_not_turned() {
        let pays = |limit: i64| {
            across(&[80_000, 86_000]).turning_pays(Micrometres(5_000), Micrometres(limit))
        };
        assert!(pays(70_000) && !pays(80_000));
        let even = across(&[80_000, 81_000]);
        assert!(!even.turning_pays(Micrometres(5_000), Micrometres(70_000)));
    }

    #[test]
    fn a_brush_that_is_hollow_is_not_helped_by_turning() {
        let hollow = across(&[106_000, 99_000, 106_000]);
        assert_eq!(hollow.verdict(Micrometres(5_000)), Verdict::Uneven);
    }

    #[test]
    fn no_point_and_a_length_below_nothing_are_no_reading() {
        assert_eq!(Across::new(Vec::new()), None);
        assert_eq!(Across::new(vec![Micrometres(-1)]), None);
    }
}
