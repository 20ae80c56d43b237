//! The scale on which a brush wears evenly.
//!
//! Short bristles bend less and wear slower: the rate falls as a power of the length, rate ∝ (length ÷ start)^easing. On
//! the scale `even = start × (1 + ((length ÷ start)^(1 - easing) - 1) ÷ (1 - easing))` the same brush goes down by as
//! much with each use (own derivation: d even ÷ d length = (length ÷ start)^-easing). It agrees with the length at the
//! start, and with an easing of zero everywhere.

use serde::{Deserialize, Serialize};

/// From millimetres to the even scale and back.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Easing {
    start_mm: f64,
    /// One less the easing; one where there is none.
    power: f64,
}

impl Easing {
    /// None: the even scale is millimetres.
    pub const NONE: Self = Self {
        start_mm: 1.0,
        power: 1.0,
    };

    /// Of a class whose brushes are `start_mm` when new; `easing` from 0 to below 1.
    pub const fn new(start_mm: f64, easing: f64) -> Self {
        Self {
            start_mm,
            power: 1.0 - easing,
        }
    }

    fn is_none(self) -> bool {
        self.power >= 1.0
    }

    /// Where a length lies on the even scale. A length below nothing is nothing.
    pub fn even(self, length_mm: f64) -> f64 {
        if self.is_none() {
            return length_mm;
        }
        let share = (length_mm / self.start_mm).max(0.0);
        self.start_mm * (1.0 + (share.powf(self.power) - 1.0) / self.power)
    }

    /// The length, in millimetres, of a place on the even scale.
    pub fn length(self, even: f64) -> f64 {
        if self.is_none() {
            return even;
        }
        let share = self.power.mul_add(even / self.start_mm - 1.0, 1.0);
        self.start_mm * share.max(0.0).powf(1.0 / self.power)
    }

    /// How many millimetres go with one unit of the even scale, at a length.
    pub fn slope(self, length_mm: f64) -> f64 {
        if self.is_none() {
            return 1.0;
        }
        (length_mm / self.start_mm).max(0.0).powf(1.0 - self.power)
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    /// Own arithmetic, easing one half: 100 × (1 + (√(25 ÷ 100) - 1) ÷ ½) = 0; the rate there is half of that at the start.
    #[test]
    fn a_brush_of_a_quarter_wears_at_half_the_rate() {
        let easing = Easing::new(100.0, 0.5);
        assert!(easing.even(25.0).abs() < 1e-12);
        assert!((easing.slope(25.0) - 0.5).abs() < 1e-12);
        assert!((easing.even(100.0) - 100.0).abs() < 1e-12);
    }

    proptest! {
        #[test]
        fn there_and_back_is_the_same_length(start in 20.0..200.0_f64, easing in 0.0..0.95_f64, share in 0.01..1.5_f64) {
            let scale = Easing::new(start, easing);
            let length = start * share;
            prop_assert!((scale.length(scale.even(length)) - length).abs() < 1e-9 * start);
        }

        #[test]
        fn what_is_longer_lies_higher(easing in 0.0..0.95_f64, low in 1.0..150.0_f64, more in 0.1..50.0_f64) {
            let scale = Easing::new(133.0, easing);
            prop_assert!(scale.even(low) < scale.even(low + more));
        }
    }
}
