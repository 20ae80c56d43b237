//! Shape and scale of lives by maximum likelihood, those that have not failed included.

use serde::{Deserialize, Serialize};

use super::{Life, LifeError, Weibull, checked};
use crate::chance::{student_quantile, turning_point};

/// Between what a number lies with 95 % confidence.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Between {
    /// The lower end.
    pub low: f64,
    /// The upper end; none where nothing bounds it.
    pub high: Option<f64>,
}

/// What lives tell of their class.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Fit {
    /// The distribution under which they are likeliest.
    pub lives: Weibull,
    /// Its shape with 95 % confidence; none where the shape was given.
    pub shape_between: Option<Between>,
    /// Its scale with 95 % confidence.
    pub scale_between: Between,
    /// The logarithm of their likelihood.
    pub log_likelihood: f64,
    /// How many failed.
    pub failures: usize,
    /// How many have not.
    pub unfailed: usize,
}

/// Fits shape and scale. The shape solves `Σ t^k ln t ÷ Σ t^k - 1 ÷ k = mean of ln t over failures`, and the scale is
/// `(Σ t^k ÷ failures)^(1 ÷ k)`, sums over all lives (NIST/SEMATECH e-Handbook of Statistical Methods, 8.4.1.3 and
/// 8.4.1.2). The confidence limits are those of the logarithms, taken as normal with the observed information: `× exp(±z se)`
/// (Meeker and Escobar, Statistical Methods for Reliability Data, 1998, 8.4, from memory).
///
/// Errors where no life, no age or no failure is there, and where every failure is at the oldest age: the likelihood then
/// rises for ever with the shape.
pub fn fit(lives: &[Life]) -> Result<Fit, LifeError> {
    let lives = checked(lives)?;
    let failures = lives.iter().filter(|life| life.failed).count();
    if failures == 0 {
        return Err(LifeError::NoFailures);
    }
    let oldest = lives.iter().map(|life| life.age).fold(0.0, f64::max);
    // Against the oldest, so that no power overflows.
    let logs: Vec<(f64, bool)> = lives
        .iter()
        .map(|life| ((life.age / oldest).ln(), life.failed))
        .collect();
    let failed = logs
        .iter()
        .filter(|(_, failed)| *failed)
        .map(|(log, _)| log);
    let mean = failed.sum::<f64>() / count(failures);
    if mean >= 0.0 {
        return Err(LifeError::ShapeUnbounded);
    }
    let shape = shape(&logs, mean);
    let powers: f64 = logs.iter().map(|(log, _)| (shape * log).exp()).sum();
    let scale = oldest * (powers / count(failures)).powf(1.0 / shape);
    let distribution = Weibull::new(shape, scale).map_err(|_| LifeError::ShapeUnbounded)?;
    let (log_shape_se, log_scale_se) = errors(lives, distribution, failures);
    Ok(Fit {
        lives: distribution,
        shape_between: Some(around(shape, log_shape_se)),
        scale_between: around(scale, log_scale_se),
        log_likelihood: log_likelihood(lives, distribution),
        failures,
        unfailed: lives.len() - failures,
    })
}

/// The root of the equation of the shape; its left side rises with the shape, from below to above the mean.
fn shape(logs: &[(f64, bool)], mean: f64) -> f64 {
    let above = |shape: f64| {
        let (mut weighted, mut weights) = (0.0, 0.0);
        for (log, _) in logs {
            let weight = (shape * log).exp();
            weighted += weight * log;
            weights += weight;
        }
        weighted / weights - 1.0 / shape >= mean
    };
    let mut high = 1.0;
    while !above(high) && high < f64::MAX / 4.0 {
        high *= 2.0;
    }
    turning_point(0.0, high, above)
}

/// Standard errors of the logarithms of shape and scale, from the inverse of the observed information: with
/// `z = shape × ln(age ÷ scale)`, `[[failures + Σ z² e^z, -shape Σ z e^z], [·, shape² Σ e^z]]` (own derivation, from the
/// likelihood; lifelines has the same numbers).
fn errors(lives: &[Life], of: Weibull, failures: usize) -> (f64, f64) {
    let (mut none, mut once, mut twice) = (0.0, 0.0, count(failures));
    for life in lives {
        let z = of.shape * (life.age / of.scale).ln();
        let weight = z.exp();
        none += weight;
        once += z * weight;
        twice += z * z * weight;
    }
    let (both, scale) = (-of.shape * once, of.shape * of.shape * none);
    let determinant = twice.mul_add(scale, -both * both);
    ((scale / determinant).sqrt(), (twice / determinant).sqrt())
}

fn around(value: f64, log_se: f64) -> Between {
    let far = (student_quantile(0.975, f64::INFINITY) * log_se).exp();
    Between {
        low: value / far,
        high: Some(value * far).filter(|high| high.is_finite()),
    }
}

pub(super) fn log_likelihood(lives: &[Life], of: Weibull) -> f64 {
    let one = |life: &Life| {
        let lasted = of.survival(life.age).ln();
        lasted
            + if life.failed {
                of.hazard(life.age).ln()
            } else {
                0.0
            }
    };
    lives.iter().map(one).sum()
}

/// A count as a number.
#[expect(clippy::cast_precision_loss, reason = "nobody has 2^53 brushes")]
pub(super) const fn count(of: usize) -> f64 {
    of as f64
}

#[cfg(test)]
pub(super) mod tests {
    use proptest::prelude::*;

    use super::*;

    /// NIST/SEMATECH e-Handbook of Statistical Methods, 8.2.2.1: ten of twenty failed, ten were taken away at 500 h.
    pub fn nist() -> Vec<Life> {
        let failed = [54, 187, 216, 240, 244, 335, 361, 373, 375, 386].map(|age| (age, true));
        let all = failed.into_iter().chain([(500, false); 10]);
        all.map(|(age, failed)| Life {
            age: f64::from(age),
            failed,
        })
        .collect()
    }

    #[track_caller]
    pub fn close(found: f64, expected: f64, relative: f64) {
        let off = (found - expected).abs() / expected.abs();
        assert!(off <= relative, "{found}, not {expected}: off by {off:e}");
    }

    /// NIST e-Handbook 8.4.1.3: shape, scale, log-likelihood, AIC, mean and standard deviation as printed; further digits
    /// by lifelines 0.30.3 and scipy 1.17.1.
    #[test]
    fn the_handbook_example_is_fitted_as_printed() {
        let fit = fit(&nist()).unwrap();
        let lives = fit.lives;
        assert!((lives.shape - 1.720_8).abs() < 5e-5 && (lives.scale - 606.528).abs() < 5e-4);
        close(lives.shape, 1.720_797_26, 1e-8);
        close(lives.scale, 606.527_558, 1e-8);
        close(fit.log_likelihood, -75.134_618_2, 1e-8);
        close(4.0 - 2.0 * fit.log_likelihood, 154.269_236, 1e-8);
        assert!((lives.mean() - 540.737).abs() < 5e-4 && (lives.sd() - 323.806).abs() < 5e-4);
        close(lives.mean(), 540.737_025, 1e-8);
        close(lives.sd(), 323.805_824, 1e-8);
        close(lives.b10(), 164.022_439, 1e-8);
        close(lives.median(), 490.173_781, 1e-8);
        assert_eq!((fit.failures, fit.unfailed), (10, 10));
    }

    /// lifelines 0.30.3: its variances of shape and scale, brought to logarithms.
    #[test]
    fn its_confidence_limits_are_those_of_another_library() {
        let fit = fit(&nist()).unwrap();
        let shape = fit.shape_between.unwrap();
        close(shape.low, 0.971_266, 1e-5);
        close(shape.high.unwrap(), 3.048_746, 1e-5);
        close(fit.scale_between.low, 405.089_3, 1e-5);
        close(fit.scale_between.high.unwrap(), 908.134_7, 1e-5);
    }

    fn life(age: f64, failed: bool) -> Life {
        Life { age, failed }
    }

    #[test]
    fn what_cannot_be_fitted_says_why() {
        assert_eq!(fit(&[]), Err(LifeError::NoLives));
        let held = [life(5.0, false), life(7.0, false)];
        assert_eq!(fit(&held), Err(LifeError::NoFailures));
        let same = [life(5.0, true), life(5.0, true), life(4.0, false)];
        assert_eq!(fit(&same), Err(LifeError::ShapeUnbounded));
        assert_eq!(fit(&[life(5.0, true)]), Err(LifeError::ShapeUnbounded));
        for age in [0.0, -1.0, f64::NAN, f64::INFINITY] {
            let all = [life(5.0, true), life(age, true)];
            assert_eq!(fit(&all), Err(LifeError::NoAge(1)));
        }
    }

    #[test]
    fn parts_that_still_hold_make_lives_longer() {
        let failed: Vec<Life> = nist().into_iter().filter(|life| life.failed).collect();
        let without = fit(&failed).unwrap().lives.mean();
        assert!(fit(&nist()).unwrap().lives.mean() > 1.5 * without);
    }

    proptest! {
        #[test]
        fn the_unit_of_age_does_not_matter(ages in prop::collection::vec((1_u32..5_000, any::<bool>()), 3..30), unit in 0.001..1_000.0_f64) {
            let of = |unit: f64| -> Vec<Life> {
                ages.iter().map(|(age, failed)| life(f64::from(*age) * unit, *failed)).collect()
            };
            match (fit(&of(1.0)), fit(&of(unit))) {
                (Ok(one), Ok(other)) => {
                    prop_assert!((one.lives.shape / other.lives.shape - 1.0).abs() < 1e-6);
                    prop_assert!((one.lives.scale * unit / other.lives.scale - 1.0).abs() < 1e-6);
                }
                (one, other) => prop_assert_eq!(one.is_err(), other.is_err()),
            }
        }

        #[test]
        fn no_other_distribution_is_likelier(
            ages in prop::collection::vec((1_u32..2_000, prop::bool::weighted(0.7)), 4..30), shape in 0.7..1.4_f64, scale in 0.7..1.4_f64
        ) {
            let all: Vec<Life> = ages.iter().map(|(age, failed)| life(f64::from(*age), *failed)).collect();
            if let Ok(best) = fit(&all) {
                let other = Weibull::new(best.lives.shape * shape, best.lives.scale * scale).unwrap();
                prop_assert!(log_likelihood(&all, other) <= best.log_likelihood + 1e-9);
            }
        }
    }
}
