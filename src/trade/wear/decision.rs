//! When a part is to be changed: now, on the next quiet day, or when it is down to its limit.

use serde::{Deserialize, Serialize};

use super::WearError;
use crate::money::Cents;

word_enum! {
    /// When a part is changed.
    When {
        /// Now.
        Now = "now",
        /// On the next day on which there is time for it.
        QuietDay = "quiet_day",
        /// When it is down to its limit, in the round.
        AtLimit = "at_limit",
    }
}

/// What a change costs, beside the work of it, which is the same whenever it is done in the shed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct ChangeCosts {
    /// What a new part costs.
    pub part: Cents,
    /// What it costs when the part gives out in the round: courts that wait, a walk to the shed, work done again.
    pub in_round: Cents,
}

/// When to change a part, and what that saves.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Decision {
    /// What costs least; of equals, the latest.
    pub when: When,
    /// What each is expected to cost: now, on the quiet day, at the limit.
    pub costs: [Cents; 3],
    /// How much less the chosen one costs than the next best.
    pub saving: Cents,
}

/// Steps in which the unused life is summed up: a jump in the chance moves the sum by half a step at most.
const STEPS: u32 = 300;

/// Weighs the three. `chance` is the chance that the part is down to its limit, or broken, after so much further use (as
/// [`super::Wear::chance_of_limit`] or one less [`crate::life::Weibull::chance_to_last`] have it); `until_quiet` the use
/// expected until the quiet day; `life` the use over which a part is expected to last, by which its unused life is valued.
///
/// Expected costs: a change now throws away the use that is left, at `part ÷ life` for each; a change on the quiet day what
/// is left then, and takes the chance of a breakdown in the round before; a change at the limit throws nothing away, and
/// takes the breakdown for certain. Use beyond one more life is not valued.
pub fn decide(
    chance: impl Fn(f64) -> f64,
    until_quiet: f64,
    life: f64,
    costs: ChangeCosts,
) -> Result<Decision, WearError> {
    if !(life > 0.0 && life.is_finite()) {
        return Err(WearError::NotPositive("the life of the class"));
    }
    if !(until_quiet >= 0.0 && until_quiet.is_finite()) {
        return Err(WearError::NotPositive("the use until the quiet day"));
    }
    let (part, in_round) = (cents(costs.part), cents(costs.in_round));
    let thrown_away = |from: f64| part / life * unused(&chance, from, life);
    let all = [
        thrown_away(0.0),
        chance(until_quiet).mul_add(in_round, thrown_away(until_quiet)),
        in_round,
    ]
    .map(rounded);
    let mut in_order: Vec<(Cents, When)> = all.into_iter().zip(When::ALL.iter().copied()).collect();
    in_order.sort_by_key(|(cost, when)| (*cost, std::cmp::Reverse(*when)));
    Ok(Decision {
        when: in_order[0].1,
        costs: all,
        saving: Cents(in_order[1].0.0.saturating_sub(in_order[0].0.0)),
    })
}

/// Which of several checks to come costs least for a change, by its place: `checks` is the use expected until each, rising. The
/// later one wastes less of the part and takes more of the chance of a breakdown in the round before. None where there is no
/// check.
pub fn best_check(
    chance: impl Fn(f64) -> f64,
    checks: &[f64],
    life: f64,
    costs: ChangeCosts,
) -> Option<usize> {
    let (part, in_round) = (cents(costs.part), cents(costs.in_round));
    let holds = |at: f64| 1.0 - chance(at).clamp(0.0, 1.0);
    let (mut at, mut served, mut best) = (0.0, 0.0, None);
    for (place, check) in checks.iter().enumerate() {
        // What a part serves until then, by the middle of what it holds on both ends.
        served += (check - at) * f64::midpoint(holds(at), holds(*check));
        at = *check;
        let cost = (1.0 - holds(at)).mul_add(in_round, -part / life * served);
        if best.is_none_or(|(_, least)| cost < least) {
            best = Some((place, cost));
        }
    }
    best.map(|(place, _)| place)
}

/// The use that is expected to be left after `from` more, at most one `life`: ∫ (1 - chance), by the middle of each step.
fn unused(chance: impl Fn(f64) -> f64, from: f64, life: f64) -> f64 {
    let step = life / f64::from(STEPS);
    let middle = |nth: u32| (f64::from(nth) + 0.5).mul_add(step, from);
    let each = (0..STEPS).map(|nth| 1.0 - chance(middle(nth)).clamp(0.0, 1.0));
    each.sum::<f64>() * step
}

#[expect(clippy::cast_precision_loss, reason = "no part costs 2^53 cents")]
const fn cents(of: Cents) -> f64 {
    of.0 as f64
}

#[expect(
    clippy::cast_possible_truncation,
    reason = "a cast of a float stops at the ends of what fits"
)]
fn rounded(of: f64) -> Cents {
    Cents(of.round_ties_even() as i64)
}

#[cfg(test)]
mod tests {
    use super::super::{ClassPrior, Wear};
    use super::*;

    const BROOM: ChangeCosts = ChangeCosts {
        part: Cents(24_800),
        in_round: Cents(6_000),
    };

    /// It holds for sure until 100 of its 900 uses are gone, and gives out evenly over the next 100. Own arithmetic, from the end
    /// of the sixth check on: a check wastes 1/900 of 24,800 less for each use it is later, 27.6 cents, and takes 1/100 of 6,000
    /// more of the breakdown, 60 cents, so that the last check before the first can give out costs least.
    #[test]
    fn the_last_check_before_a_part_may_give_out_costs_least() {
        let evenly = |more: f64| ((more - 100.0) / 100.0).clamp(0.0, 1.0);
        let checks: Vec<f64> = (1..=12).map(|nth| f64::from(nth) * 16.0).collect();
        assert_eq!(best_check(evenly, &checks, 900.0, BROOM), Some(5));
        assert_eq!(best_check(evenly, &[], 900.0, BROOM), None);
        let worn_out = |_: f64| 1.0;
        assert_eq!(best_check(worn_out, &checks, 900.0, BROOM), Some(0));
    }

    /// A part that gives out after exactly so much further use.
    fn surely(at: f64) -> impl Fn(f64) -> f64 {
        move |further| f64::from(u8::from(further >= at))
    }

    #[test]
    fn a_part_that_surely_lasts_until_the_quiet_day_waits_for_it() {
        // Own arithmetic: 24,800 ÷ 900 × 100 left now, 40 left then, and nothing risked; half a step is 41 cents.
        let told = decide(surely(100.0), 60.0, 900.0, BROOM).unwrap();
        assert_eq!(told.when, When::QuietDay);
        assert!((told.costs[0].0 - 2_756).abs() <= 42, "{told:?}");
        assert!((told.costs[1].0 - 1_102).abs() <= 42, "{told:?}");
        assert_eq!(told.saving.0, told.costs[0].0 - told.costs[1].0);
    }

    #[test]
    fn a_part_that_gives_out_before_the_quiet_day_is_changed_now() {
        let told = decide(surely(30.0), 60.0, 900.0, BROOM).unwrap();
        assert_eq!((told.when, told.costs[2]), (When::Now, Cents(6_000)));
    }

    #[test]
    fn a_part_with_much_life_left_is_run_to_its_limit() {
        let told = decide(surely(700.0), 60.0, 900.0, BROOM).unwrap();
        assert_eq!(told.when, When::AtLimit);
    }

    #[test]
    fn a_brush_changes_its_mind_as_it_wears() {
        let new = Wear::new(&ClassPrior::default()).unwrap();
        let when = |length: f64, used: f64| {
            let mut brush = new;
            let reading = super::super::Reading {
                used,
                length_mm: length,
            };
            brush.take(reading).unwrap();
            let chance = |more: f64| brush.chance_of_limit(used + more, 66.7).unwrap();
            decide(chance, 33.0, 900.0, BROOM).unwrap().when
        };
        assert_eq!(when(120.0, 150.0), When::AtLimit);
        assert_eq!(when(71.0, 850.0), When::QuietDay);
        assert_eq!(when(66.0, 900.0), When::Now);
    }

    #[test]
    fn a_decision_needs_a_life() {
        assert!(decide(surely(1.0), 1.0, 0.0, BROOM).is_err());
        assert!(decide(surely(1.0), -1.0, 9.0, BROOM).is_err());
    }

    /// ∫ e^(-x ÷ 300) over 900 = 300 × (1 - e^-3), by hand.
    #[test]
    fn the_unused_life_is_the_area_above_the_chance() {
        let found = unused(|x| -(-x / 300.0).exp_m1(), 0.0, 900.0);
        assert!((found - 300.0 * -(-3.0_f64).exp_m1()).abs() < 0.01);
    }
}
