//! Use by what it was on: a brush wears otherwise on dry stone than on damp.

use serde::{Deserialize, Serialize};

use super::WearError;

/// What was pulled on one kind of surface.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct OnSurface {
    /// How far, metres.
    pub metres: f64,
    /// What a metre counts there, 1 on the surface for which the class's rate holds.
    pub factor: f64,
}

/// Metres by surface as one use: Σ metres × factor. Neither may be below zero.
pub fn weighted_use(all: &[OnSurface]) -> Result<f64, WearError> {
    let mut sum = 0.0;
    for one in all {
        for (name, value) in [
            ("the metres on a surface", one.metres),
            ("the factor of a surface", one.factor),
        ] {
            if !value.is_finite() {
                return Err(WearError::NotANumber(name));
            }
            if value < 0.0 {
                return Err(WearError::NotPositive(name));
            }
        }
        sum = one.metres.mul_add(one.factor, sum);
    }
    Ok(sum)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn on(metres: f64, factor: f64) -> OnSurface {
        OnSurface { metres, factor }
    }

    #[test]
    fn a_metre_on_a_rough_court_counts_for_more() {
        // Own arithmetic: 1,000 × 1 + 400 × 1.5 + 100 × 0.
        let used = weighted_use(&[on(1_000.0, 1.0), on(400.0, 1.5), on(100.0, 0.0)]).unwrap();
        assert!((used - 1_600.0).abs() < 1e-9);
        assert_eq!(weighted_use(&[]), Ok(0.0));
    }

    #[test]
    fn nothing_is_pulled_backwards() {
        assert!(weighted_use(&[on(-1.0, 1.0)]).is_err());
        assert!(weighted_use(&[on(1.0, f64::NAN)]).is_err());
    }
}
