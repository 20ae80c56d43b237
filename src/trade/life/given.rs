//! The scale alone, where too few have failed to tell a shape.

use statrs::distribution::{ChiSquared, ContinuousCDF};

use super::fit::{Between, Fit, count, fit, log_likelihood};
use super::{Life, LifeError, Weibull, checked};

/// How many failures a class needs before its own shape is believed: with fewer, the limits of the shape lie so far apart
/// that any will do. Common practice, no source.
pub const ENOUGH_FAILURES: usize = 5;
/// The shape of parts that wear out, as brushes do: between the 2 of a hazard that rises evenly and the 4 of lives that lie
/// close together. Common practice, no source.
pub const USUAL_SHAPE: f64 = 3.0;

/// Fits the scale to a given shape: `(Σ t^k ÷ failures)^(1 ÷ k)`. Where none has failed, as if the first were about to: a
/// scale that the true one exceeds with 63 % confidence. (Nelson, Journal of Quality Technology 17/3, 1985, from memory.)
///
/// The limits are those of `2 Σ t^k ÷ scale^k`, a χ² of twice the failures, and two more for the lower one, as the parts
/// were not watched until a failure. Without failures there is no upper one.
pub fn fit_with_shape(lives: &[Life], shape: f64) -> Result<Fit, LifeError> {
    let lives = checked(lives)?;
    let failures = lives.iter().filter(|life| life.failed).count();
    let oldest = lives.iter().map(|life| life.age).fold(0.0, f64::max);
    // Checks the shape.
    let shape = Weibull::new(shape, 1.0)?.shape;
    let powers: f64 = lives
        .iter()
        .map(|life| (life.age / oldest).powf(shape))
        .sum();
    let scale = |per: f64| oldest * (powers / per).powf(1.0 / shape);
    let lives_of = Weibull::new(shape, scale(count(failures.max(1))))?;
    let chi2 =
        |p: f64, degrees: f64| ChiSquared::new(degrees).map_or(f64::NAN, |of| of.inverse_cdf(p));
    let twice = 2.0 * count(failures);
    Ok(Fit {
        lives: lives_of,
        shape_between: None,
        scale_between: Between {
            low: scale(chi2(0.975, twice + 2.0) / 2.0),
            high: (failures > 0).then(|| scale(chi2(0.025, twice) / 2.0)),
        },
        log_likelihood: log_likelihood(lives, lives_of),
        failures,
        unfailed: lives.len() - failures,
    })
}

/// Fits shape and scale where enough have failed, and else the scale to `shape`, the class's usual one.
pub fn fit_class(lives: &[Life], shape: f64) -> Result<Fit, LifeError> {
    let failures = lives.iter().filter(|life| life.failed).count();
    if failures < ENOUGH_FAILURES {
        return fit_with_shape(lives, shape);
    }
    match fit(lives) {
        Err(LifeError::ShapeUnbounded) => fit_with_shape(lives, shape),
        told => told,
    }
}

#[cfg(test)]
mod tests {
    use super::super::fit::tests::{close, nist};
    use super::*;

    /// The lives of NIST e-Handbook 8.2.2.1 with a shape of 2: own arithmetic by scipy 1.17.1, `stats.chi2.ppf`.
    #[test]
    fn a_given_shape_leaves_the_scale_and_its_limits() {
        let fit = fit_with_shape(&nist(), 2.0).unwrap();
        close(fit.lives.scale, 580.773_019_345_768_1, 1e-9);
        close(fit.scale_between.low, 428.263_797_5, 1e-6);
        close(fit.scale_between.high.unwrap(), 838.676_597_8, 1e-6);
        assert_eq!(fit.shape_between, None);
    }

    /// 300, 400 and 500 without a failure, shape 2: √(90,000 + 160,000 + 250,000).
    #[test]
    fn parts_of_which_none_has_failed_last_longer_than_so_much() {
        let held = [300.0, 400.0, 500.0].map(|age| Life { age, failed: false });
        let fit = fit_class(&held, 2.0).unwrap();
        close(fit.lives.scale, 500_000_f64.sqrt(), 1e-12);
        close(fit.scale_between.low, 368.160_991_1, 1e-6);
        assert_eq!(fit.scale_between.high, None);
    }

    #[test]
    fn a_class_has_its_own_shape_once_enough_have_failed() {
        let all = nist();
        let few: Vec<Life> = all[..ENOUGH_FAILURES - 1].to_vec();
        close(fit_class(&few, 2.5).unwrap().lives.shape, 2.5, 1e-15);
        close(
            fit_class(&all, 2.5).unwrap().lives.shape,
            1.720_797_26,
            1e-8,
        );
    }

    #[test]
    fn lives_all_alike_take_the_usual_shape() {
        let alike = [Life {
            age: 100.0,
            failed: true,
        }; 8];
        let fit = fit_class(&alike, USUAL_SHAPE).unwrap();
        close(fit.lives.scale, 100.0, 1e-12);
    }

    #[test]
    fn a_shape_of_nothing_is_refused() {
        assert_eq!(fit_with_shape(&nist(), 0.0), Err(LifeError::NoShape));
        assert_eq!(fit_with_shape(&[], 2.0), Err(LifeError::NoLives));
    }
}
