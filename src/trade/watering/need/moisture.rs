//! What the mornings say: a court found dry gets more, one found wet gets less, by steps that fade.

use serde::{Deserialize, Serialize};

word_enum! {
    /// How moist a court was found.
    Found {
        /// Powdery or pale: it wants more.
        Dry = "dry",
        /// As it should be.
        Damp = "damp",
        /// Soft or standing in water: it wants less.
        Wet = "wet",
    }
}

/// A court as it was found on a morning.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub struct Finding {
    /// How many days ago, from 0 for this morning.
    pub days_ago: i64,
    /// How.
    pub found: Found,
}

/// How much a finding counts. Common practice, no source.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub struct MoistureRule {
    /// What one finding of this morning adds or takes, thousandths of the base.
    pub step_permille: i64,
    /// The most that all findings together add or take.
    pub most_permille: i64,
    /// After so many days a finding counts no more; until then it fades day by day.
    pub fades_days: i64,
}

impl Default for MoistureRule {
    fn default() -> Self {
        Self {
            step_permille: 100,
            most_permille: 300,
            fades_days: 10,
        }
    }
}

/// What the findings add to the base or take from it, thousandths. One finding a day is meant; of several, each counts.
pub fn correction(findings: &[Finding], rule: &MoistureRule) -> i64 {
    let most = rule.most_permille.max(0);
    let fades = rule.fades_days.max(1);
    let sum: i128 = findings
        .iter()
        .filter(|one| (0..fades).contains(&one.days_ago))
        .map(|one| {
            let left = i128::from(fades - one.days_ago);
            let size = i128::from(rule.step_permille.max(0)) * left / i128::from(fades);
            match one.found {
                Found::Dry => size,
                Found::Damp => 0,
                Found::Wet => -size,
            }
        })
        .sum();
    i64::try_from(sum.clamp(-i128::from(most), i128::from(most))).unwrap_or(0)
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn found(found: Found, days_ago: i64) -> Finding {
        Finding { days_ago, found }
    }

    #[test]
    fn a_dry_morning_adds_a_step_a_wet_one_takes_one_and_both_fade() {
        let of = |all: &[Finding]| correction(all, &MoistureRule::default());
        assert_eq!(of(&[]), 0);
        assert_eq!(of(&[found(Found::Dry, 0)]), 100);
        assert_eq!(of(&[found(Found::Wet, 0)]), -100);
        assert_eq!(of(&[found(Found::Damp, 0)]), 0);
        assert_eq!(of(&[found(Found::Dry, 5)]), 50);
        assert_eq!(of(&[found(Found::Dry, 10)]), 0);
        assert_eq!(of(&[found(Found::Dry, 0), found(Found::Dry, 1)]), 190);
        let week: Vec<_> = (0..7).map(|day| found(Found::Dry, day)).collect();
        assert_eq!(of(&week), 300, "it is bounded");
    }

    fn any_found() -> impl Strategy<Value = Finding> {
        (-3_i64..20, 0_usize..3).prop_map(|(days_ago, which)| found(Found::ALL[which], days_ago))
    }

    proptest! {
        #[test]
        fn one_more_dry_morning_never_brings_less_water(
            all in prop::collection::vec(any_found(), 0..20), ago in 0_i64..12,
        ) {
            let rule = MoistureRule::default();
            let before = correction(&all, &rule);
            let mut more = all;
            more.push(found(Found::Dry, ago));
            let after = correction(&more, &rule);
            prop_assert!(after >= before);
            prop_assert!(after.abs() <= rule.most_permille);
        }
    }
}
