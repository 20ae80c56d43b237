//! The square root of what is known of a brush: rows of a least-squares problem brought to a triangle.
//!
//! Two unknowns, the length now and its change for each unit of use, stand in rows `[a, b | c]`, each saying
//! `a × length + b × rate = c` within one unit of error. Rotations (Givens) bring each new row in; what is left over of
//! it is its part of the residual sum of squares. Sums of squares and products would lose half of the digits where uses
//! are large beside their spread; rotations lose none. The step in use is the square-root information filter
//! (Bierman, Factorization Methods for Discrete Sequential Estimation, 1977, chapter V, from memory).

use serde::{Deserialize, Serialize};

/// A pivot so much smaller than its column's other entry is rounding, not knowledge.
const NOTHING: f64 = 1e-13;

/// What is known of (length, rate), in units of the error of one reading.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Root {
    /// `[a, b | c]` of the length and the rate.
    upper: [f64; 3],
    /// `[b | c]` of the rate alone.
    lower: [f64; 2],
    /// Squares left over from all rows.
    pub left_over: f64,
}

impl Root {
    /// Nothing known.
    pub const EMPTY: Self = Self {
        upper: [0.0; 3],
        lower: [0.0; 2],
        left_over: 0.0,
    };

    /// Takes in one row; returns nothing, as what does not fit adds to `left_over`.
    pub fn take(&mut self, mut row: [f64; 3]) {
        rotate(&mut self.upper, &mut row, 0);
        let mut rest = [row[1], row[2]];
        rotate(&mut self.lower, &mut rest, 0);
        self.left_over += rest[1] * rest[1];
    }

    /// Goes on to `step` more use (less, if negative), over which the rate drifts by a variance of `drift` for each
    /// unit of use, in squares of the error of a reading.
    pub fn go_on(&mut self, step: f64, drift: f64) {
        let [a, b, c] = self.upper;
        self.upper = [a, (-step).mul_add(a, b), c];
        if drift > 0.0 && step > 0.0 {
            self.forget(step, drift);
        }
    }

    /// Lets the rate drift over the step just made. The change of the rate and the length that goes with it have the
    /// covariance `drift × [[step³/3, step²/2], [step²/2, step]]`, taken by its Cholesky root.
    fn forget(&mut self, step: f64, drift: f64) {
        let scale = (drift * step).sqrt();
        let (length, both, rate) = (
            scale * step / 3_f64.sqrt(),
            scale * 3_f64.sqrt() / 2.0,
            scale / 2.0,
        );
        let [one, slope, sum] = self.upper;
        let [steep, rest] = self.lower;
        // Columns: the two unit variates of the drift, the length, the rate, and the right-hand side.
        let mut first = [1.0, 0.0, 0.0, 0.0, 0.0];
        let mut second = [0.0, 1.0, 0.0, 0.0, 0.0];
        let from_drift = [-one.mul_add(length, slope * both), -slope * rate];
        let mut upper = [from_drift[0], from_drift[1], one, slope, sum];
        let mut lower = [-steep * both, -steep * rate, 0.0, steep, rest];
        rotate(&mut first, &mut upper, 0);
        rotate(&mut first, &mut lower, 0);
        rotate(&mut second, &mut upper, 1);
        rotate(&mut second, &mut lower, 1);
        rotate(&mut upper, &mut lower, 2);
        self.upper = [upper[2], upper[3], upper[4]];
        self.lower = [lower[3], lower[4]];
    }

    /// Length and rate; none where the rows do not settle both.
    pub fn solve(&self) -> Option<(f64, f64)> {
        let [one, slope, sum] = self.upper;
        let [steep, rest] = self.lower;
        if !(one.abs() > 0.0 && steep.abs() > NOTHING * slope.abs() && steep.abs() > 0.0) {
            return None;
        }
        let rate = rest / steep;
        let length = slope.mul_add(-rate, sum) / one;
        (length.is_finite() && rate.is_finite()).then_some((length, rate))
    }

    /// Variance of the length, covariance of length and rate, variance of the rate, in squares of the error of a
    /// reading; only where [`Self::solve`] finds something.
    pub fn spread(&self) -> (f64, f64, f64) {
        let first = 1.0 / self.upper[0];
        let second = -self.upper[1] * first / self.lower[0];
        let rate = 1.0 / self.lower[0];
        (
            first.mul_add(first, second * second),
            second * rate,
            rate * rate,
        )
    }

    /// The variance of `length_times × length + rate_times × rate`, in squares of the error of a reading; only where
    /// [`Self::solve`] finds something.
    pub fn variance(&self, length_times: f64, rate_times: f64) -> f64 {
        let first = length_times / self.upper[0];
        let second = self.upper[1].mul_add(-first, rate_times) / self.lower[0];
        first.mul_add(first, second * second)
    }
}

/// Rotates two rows so that the second has nothing in the column `at`, and the first nothing negative.
fn rotate<const N: usize>(into: &mut [f64; N], from: &mut [f64; N], at: usize) {
    let (a, b) = (into[at], from[at]);
    let long = a.mul_add(a, b * b).sqrt();
    if long <= 0.0 || b.abs() <= 0.0 {
        return;
    }
    let (cos, sin) = (a / long, b / long);
    for (x, y) in into.iter_mut().zip(from.iter_mut()) {
        (*x, *y) = (cos * *x + sin * *y, cos * *y - sin * *x);
    }
    from[at] = 0.0;
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn two_rows_settle_length_and_rate_and_one_does_not() {
        let mut root = Root::default();
        root.take([1.0, 0.0, 10.0]);
        assert_eq!(root.solve(), None);
        root.take([1.0, 2.0, 6.0]);
        let (length, rate) = root.solve().unwrap();
        assert!((length - 10.0).abs() < 1e-12 && (rate + 2.0).abs() < 1e-12);
        assert!(root.left_over < 1e-24);
    }

    #[test]
    fn the_same_use_twice_settles_no_rate() {
        let mut root = Root::default();
        for length in [10.0, 11.0, 9.0] {
            root.take([1.0, 300.1, length]);
        }
        assert_eq!(root.solve(), None);
    }

    /// Own arithmetic: a rate of variance 1 drifts over 2 uses by 0.5 each, so that it then has 1 + 1 = 2; the length,
    /// known to a variance of 1, has 1 + 2² × 1 + 0.5 × 2³ ÷ 3 = 6.3333.
    #[test]
    fn drift_adds_what_a_walk_of_the_rate_adds() {
        let mut root = Root::default();
        root.take([1.0, 0.0, 10.0]);
        root.take([0.0, 1.0, -1.0]);
        root.go_on(2.0, 0.5);
        let (length, rate) = root.solve().unwrap();
        assert!((length - 8.0).abs() < 1e-12 && (rate + 1.0).abs() < 1e-12);
        assert!((root.variance(0.0, 1.0) - 2.0).abs() < 1e-12);
        assert!((root.variance(1.0, 0.0) - (5.0 + 4.0 / 3.0)).abs() < 1e-12);
        // 2 × 1, and 0.5 × 2² ÷ 2.
        assert!((root.spread().1 - 3.0).abs() < 1e-12);
    }

    #[test]
    fn going_on_and_back_without_drift_changes_nothing() {
        let mut root = Root::default();
        root.take([1.0, 0.0, 10.0]);
        root.take([0.0, 1.0, -1.0]);
        let before = root;
        root.go_on(3.0, 0.0);
        root.go_on(-3.0, 0.0);
        assert_eq!(root, before);
    }
}
