//! The age at which a planned change costs least (Barlow and Hunter, Operations Research 8, 1960).

use serde::{Deserialize, Serialize};
use statrs::function::gamma::{gamma, gamma_lr};

use super::Weibull;
use crate::chance::turning_point;
use crate::money::Cents;

/// A planned change at an age, beside waiting for the failure.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Replacement {
    /// The age of the change, in the unit of the lives.
    pub age: f64,
    /// What the part then costs in the long run, cents for each unit of age.
    pub cost_rate: f64,
    /// What it costs if every one is run until it fails.
    pub run_to_failure: f64,
}

/// The age at which to change a part on plan, that costs `planned` when changed in time and `failure` when it fails in the
/// round. None where a planned change never pays: old parts fail no more often than new ones (shape at most 1), or a
/// failure is no dearer than a change.
///
/// The age solves `hazard × ∫ survival + survival - 1 = planned ÷ (failure - planned)`; what it then costs is
/// `(failure - planned) × hazard`.
pub fn best_age(lives: &Weibull, planned: Cents, failure: Cents) -> Option<Replacement> {
    let (planned, failure) = (cents(planned), cents(failure));
    if lives.shape <= 1.0 || planned <= 0.0 || failure <= planned {
        return None;
    }
    let ratio = planned / (failure - planned);
    let due = |share: f64| {
        let age = share * lives.scale;
        let summed = share.powf(lives.shape);
        lives
            .hazard(age)
            .mul_add(lived(lives, age), (-summed).exp_m1())
            >= ratio
    };
    let mut far = 1.0;
    while !due(far) {
        far *= 2.0;
        if !lives.hazard(far * lives.scale).is_finite() || far > f64::MAX / 4.0 {
            return None;
        }
    }
    let age = turning_point(0.0, far, due) * lives.scale;
    Some(Replacement {
        age,
        cost_rate: (failure - planned) * lives.hazard(age),
        run_to_failure: failure / lives.mean(),
    })
}

/// What a part costs in the long run, cents for each unit of age, if it is changed on plan at `age`, above zero, or when it
/// fails before: `(planned × survival + failure × (1 - survival)) ÷ ∫ survival`.
pub fn cost_rate(lives: &Weibull, planned: Cents, failure: Cents, age: f64) -> f64 {
    let (planned, failure) = (cents(planned), cents(failure));
    let lasts = lives.survival(age);
    planned.mul_add(lasts, failure * (1.0 - lasts)) / lived(lives, age)
}

/// ∫ survival from new to `age`: the mean age at which parts are changed. Scale × Γ(1 + 1 ÷ k) × P(1 ÷ k, (age ÷ scale)^k),
/// with the regularized lower incomplete gamma function P.
fn lived(lives: &Weibull, age: f64) -> f64 {
    let summed = (age / lives.scale).powf(lives.shape);
    if summed <= 0.0 {
        return 0.0;
    }
    let turned = 1.0 / lives.shape;
    lives.scale * gamma(1.0 + turned) * gamma_lr(turned, summed)
}

#[expect(clippy::cast_precision_loss, reason = "no part costs 2^53 cents")]
const fn cents(of: Cents) -> f64 {
    of.0 as f64
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::super::fit::tests::close;
    use super::*;

    fn best(shape: f64, scale: f64, planned: i64, failure: i64) -> Option<Replacement> {
        let lives = Weibull::new(shape, scale).unwrap();
        best_age(&lives, Cents(planned), Cents(failure))
    }

    /// The first row's inputs are a published worked example ("Optimum Replacement Time", 2012); all were reckoned with
    /// scipy 1.17.1 twice, by the root of the rule and by the least of the cost.
    #[test]
    fn the_age_of_least_cost_is_that_of_the_published_rule() {
        for (shape, scale, planned, failure, age, rate, to_failure) in [
            (
                2.5,
                1000.0,
                1,
                5,
                493.046_96,
                0.003_462_042_7,
                0.005_635_302_5,
            ),
            (
                2.0,
                100.0,
                1,
                5,
                51.065_522_4,
                0.040_852_417_9,
                0.056_418_958_4,
            ),
            (
                3.0,
                200.0,
                10,
                50,
                100.521_916_4,
                0.151_569_835_2,
                0.279_961_634_0,
            ),
            (
                3.0,
                10.0,
                1,
                6,
                4.660_961_4,
                0.325_868_422_9,
                0.671_907_913_0,
            ),
            (
                2.0,
                1.0,
                1,
                2,
                1.090_797_0,
                2.181_593_939_3,
                2.256_758_334_2,
            ),
            (
                1.7208,
                606.528,
                20,
                120,
                296.764_597_4,
                0.169_478_761_4,
                0.221_919_193_8,
            ),
        ] {
            let found = best(shape, scale, planned, failure).unwrap();
            close(found.age, age, 1e-6);
            close(found.cost_rate, rate, 1e-6);
            close(found.run_to_failure, to_failure, 1e-6);
            let lives = Weibull::new(shape, scale).unwrap();
            close(
                cost_rate(&lives, Cents(planned), Cents(failure), found.age),
                rate,
                1e-6,
            );
        }
    }

    #[test]
    fn parts_that_do_not_age_are_run_until_they_fail() {
        assert_eq!(best(1.0, 100.0, 1, 5), None);
        assert_eq!(best(0.8, 100.0, 1, 5), None);
    }

    #[test]
    fn a_failure_no_dearer_than_a_change_is_waited_for() {
        assert_eq!(best(3.0, 100.0, 5, 5), None);
        assert_eq!(best(3.0, 100.0, 0, 5), None);
    }

    proptest! {
        #[test]
        fn no_other_age_costs_less(shape in 1.1..6.0_f64, scale in 1.0..5_000.0_f64, planned in 1_i64..50_000, more in 1_i64..500_000, at in 0.05..20.0_f64) {
            let lives = Weibull::new(shape, scale).unwrap();
            let (planned, failure) = (Cents(planned), Cents(planned + more));
            if let Some(best) = best_age(&lives, planned, failure) {
                prop_assert!(best.cost_rate <= cost_rate(&lives, planned, failure, best.age * at) * (1.0 + 1e-9));
                prop_assert!(best.cost_rate <= best.run_to_failure * (1.0 + 1e-9));
            }
        }
    }
}
