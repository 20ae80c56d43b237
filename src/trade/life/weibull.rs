//! The Weibull distribution (Weibull 1951): what it says of an age.

use serde::{Deserialize, Serialize};
use statrs::function::gamma::gamma;

use super::LifeError;

/// Lives with the chance `exp(-(age ÷ scale)^shape)` to be longer than an age.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Weibull {
    /// Above 1 where old parts fail more often than new ones.
    pub shape: f64,
    /// The age that 36.8 % outlive.
    pub scale: f64,
}

impl Weibull {
    /// A distribution, if both are above zero.
    pub fn new(shape: f64, scale: f64) -> Result<Self, LifeError> {
        let sound = |of: f64| of > 0.0 && of.is_finite();
        if !sound(shape) {
            return Err(LifeError::NoShape);
        }
        if !sound(scale) {
            return Err(LifeError::NoLives);
        }
        Ok(Self { shape, scale })
    }

    /// (age ÷ scale)^shape, the hazard summed up to an age.
    fn summed(&self, age: f64) -> f64 {
        (age.max(0.0) / self.scale).powf(self.shape)
    }

    /// The chance to be longer than `age`.
    pub fn survival(&self, age: f64) -> f64 {
        (-self.summed(age)).exp()
    }

    /// How often a part of that age fails, for each unit of age.
    pub fn hazard(&self, age: f64) -> f64 {
        self.shape / self.scale * (age.max(0.0) / self.scale).powf(self.shape - 1.0)
    }

    /// The chance that a part that has lasted to `age` lasts `further` as well.
    pub fn chance_to_last(&self, age: f64, further: f64) -> f64 {
        let age = age.max(0.0);
        (self.summed(age) - self.summed(age + further.max(0.0))).exp()
    }

    /// The age by which the share `p`, from 0 to below 1, has failed: 0.1 for the B10 life.
    pub fn quantile(&self, p: f64) -> f64 {
        self.scale * (-(-p).ln_1p()).powf(1.0 / self.shape)
    }

    /// The mean life, scale × Γ(1 + 1 ÷ shape).
    pub fn mean(&self) -> f64 {
        self.scale * gamma(1.0 + 1.0 / self.shape)
    }

    /// The life that half of them outlive.
    pub fn median(&self) -> f64 {
        self.quantile(0.5)
    }

    /// The life that nine of ten outlive.
    pub fn b10(&self) -> f64 {
        self.quantile(0.1)
    }

    /// The standard deviation of lives, scale × √(Γ(1 + 2 ÷ shape) - Γ(1 + 1 ÷ shape)²).
    pub fn sd(&self) -> f64 {
        let mean = gamma(1.0 + 1.0 / self.shape);
        self.scale * mean.mul_add(-mean, gamma(1.0 + 2.0 / self.shape)).sqrt()
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    /// NIST e-Handbook 8.4.1.3's distribution; the chance by scipy 1.17.1, `stats.weibull_min.sf`, 400 over 300.
    #[test]
    fn a_part_that_has_lasted_has_the_chance_of_what_is_left() {
        let lives = Weibull::new(1.720_797_26, 606.527_558).unwrap();
        assert!((lives.chance_to_last(300.0, 100.0) - 0.826_338_200_6).abs() < 1e-7);
        assert!((lives.survival(lives.scale) - (-1.0_f64).exp()).abs() < 1e-12);
    }

    #[test]
    fn a_shape_of_one_does_not_age() {
        let lives = Weibull::new(1.0, 50.0).unwrap();
        let (new, old) = (
            lives.chance_to_last(0.0, 20.0),
            lives.chance_to_last(200.0, 20.0),
        );
        assert!((new - old).abs() < 1e-12 && (lives.mean() - 50.0).abs() < 1e-9);
    }

    #[test]
    fn a_distribution_needs_a_shape_and_a_scale() {
        assert!(Weibull::new(0.0, 1.0).is_err() && Weibull::new(1.0, f64::NAN).is_err());
    }

    proptest! {
        #[test]
        fn the_share_that_failed_by_its_quantile_is_the_share(shape in 0.3..8.0_f64, scale in 1.0..5_000.0_f64, p in 0.001..0.999_f64) {
            let lives = Weibull::new(shape, scale).unwrap();
            prop_assert!((lives.survival(lives.quantile(p)) - (1.0 - p)).abs() < 1e-9);
        }
    }
}
