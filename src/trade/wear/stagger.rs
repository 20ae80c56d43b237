//! Which of several equal tools takes the heavier share, so that they do not all give out in one week.

use super::WearError;
use crate::chance::turning_point;
use crate::money::{Cents, split};

word_enum! {
    /// How the limits of equal tools are to fall.
    Limits {
        /// Some days apart, so that there is time and a spare for each.
        Apart = "apart",
        /// On one day, so that all are changed in one go.
        Together = "together",
    }
}

/// The share of use of each of several equal tools, permille, in the order given; they sum to 1,000. `days` are the days to
/// each one's limit if all were used alike; one that is due already takes nothing.
///
/// Apart, the limits of those that would fall closer than `gap_days` are drawn out to it, in the order in which they fall
/// anyway: with the first at `t`, the share of the n-th is days ÷ (t + n × gap), and `t` is such that the shares fill the
/// use. Where all lie apart already, and with one tool, all take the same. Together, each takes in proportion to its days.
pub fn shares(days: &[f64], gap_days: f64, limits: Limits) -> Result<Vec<i64>, WearError> {
    if days.is_empty() {
        return Err(WearError::NotPositive("the number of tools"));
    }
    if days.iter().any(|days| !days.is_finite()) || !gap_days.is_finite() {
        return Err(WearError::NotANumber("the days to a limit"));
    }
    if gap_days < 0.0 {
        return Err(WearError::NotPositive("the days between two limits"));
    }
    let days: Vec<f64> = days.iter().map(|days| days.max(0.0)).collect();
    let mut order: Vec<usize> = (0..days.len()).collect();
    order.sort_by(|a, b| days[*a].total_cmp(&days[*b]));
    let close = order
        .windows(2)
        .any(|pair| days[pair[1]] - days[pair[0]] < gap_days);
    let weights = match limits {
        Limits::Together => days,
        Limits::Apart if close => apart(&days, &order, gap_days),
        Limits::Apart => days
            .iter()
            .map(|days| f64::from(u8::from(*days > 0.0)))
            .collect(),
    };
    Ok(permille(&weights))
}

/// Shares by which the limits fall `gap` days apart, the first where the use is filled.
fn apart(days: &[f64], order: &[usize], gap: f64) -> Vec<f64> {
    let mut after = vec![0.0; days.len()];
    for pair in order.windows(2) {
        after[pair[1]] = after[pair[0]] + gap;
    }
    let tools: f64 = days.iter().map(|_| 1.0).sum();
    let share = |first: f64| {
        let each = days.iter().zip(&after);
        each.map(|(days, after)| days / tools / (first + after))
            .collect::<Vec<f64>>()
    };
    // The use is filled by then even if all fell together with the last.
    let far = days.iter().copied().fold(0.0, f64::max);
    let first = turning_point(0.0, far, |first| share(first).iter().sum::<f64>() <= 1.0);
    share(first)
}

/// Weights as parts of 1,000, the odd ones to the largest remainders; alike where there is no weight.
fn permille(weights: &[f64]) -> Vec<i64> {
    const FINE: f64 = 1e12;
    let most = weights.iter().copied().fold(0.0, f64::max);
    #[expect(
        clippy::cast_possible_truncation,
        reason = "a share of the largest weight in parts of 10^12"
    )]
    let fine = |weight: &f64| (weight / most * FINE).round() as i64;
    let whole: Vec<i64> = if most > 0.0 {
        weights.iter().map(fine).collect()
    } else {
        vec![1; weights.len()]
    };
    let parts = split(Cents(1_000), &whole).unwrap_or_default();
    parts.into_iter().map(i64::from).collect()
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    /// Own arithmetic: 50 ÷ t + 50 ÷ (t + 14) = 1, so that t = 43 + √(43² + 700) = 93.49, and 50 ÷ t = 0.535.
    #[test]
    fn two_equal_brooms_are_drawn_a_fortnight_apart() {
        assert_eq!(
            shares(&[100.0, 100.0], 14.0, Limits::Apart),
            Ok(vec![535, 465])
        );
    }

    #[test]
    fn the_one_that_falls_first_anyway_takes_the_heavier_share() {
        let found = shares(&[105.0, 100.0], 14.0, Limits::Apart).unwrap();
        assert!(found[1] > found[0], "{found:?}");
    }

    #[test]
    fn brooms_that_lie_apart_already_share_alike() {
        assert_eq!(
            shares(&[60.0, 100.0], 14.0, Limits::Apart),
            Ok(vec![500, 500])
        );
        assert_eq!(shares(&[60.0], 14.0, Limits::Apart), Ok(vec![1_000]));
    }

    #[test]
    fn brooms_that_are_to_give_out_together_share_by_what_they_have_left() {
        assert_eq!(
            shares(&[60.0, 100.0], 0.0, Limits::Together),
            Ok(vec![375, 625])
        );
    }

    #[test]
    fn a_broom_that_is_due_takes_nothing() {
        assert_eq!(
            shares(&[0.0, 80.0], 7.0, Limits::Together),
            Ok(vec![0, 1_000])
        );
        assert_eq!(
            shares(&[-3.0, 80.0], 7.0, Limits::Apart),
            Ok(vec![0, 1_000])
        );
        assert_eq!(shares(&[0.0, 0.0], 7.0, Limits::Apart), Ok(vec![500, 500]));
    }

    #[test]
    fn no_tool_and_no_number_are_refused() {
        assert!(shares(&[], 7.0, Limits::Apart).is_err());
        assert!(shares(&[f64::NAN], 7.0, Limits::Apart).is_err());
        assert!(shares(&[1.0], -7.0, Limits::Apart).is_err());
    }

    proptest! {
        #[test]
        fn shares_sum_to_the_whole(days in prop::collection::vec(0.0..400.0_f64, 1..12), gap in 0.0..30.0_f64, apart: bool) {
            let limits = if apart { Limits::Apart } else { Limits::Together };
            let found = shares(&days, gap, limits).unwrap();
            prop_assert_eq!(found.iter().sum::<i64>(), 1_000);
            prop_assert!(found.iter().all(|share| *share >= 0));
        }

        #[test]
        fn limits_that_were_close_fall_apart(days in prop::collection::vec(60.0..90.0_f64, 2..6)) {
            let found = shares(&days, 5.0, Limits::Apart).unwrap();
            let tools = f64::from(u32::try_from(days.len()).unwrap());
            let mut falls: Vec<f64> = days.iter().zip(&found).map(|(days, share)| {
                days * 1_000.0 / tools / f64::from(i32::try_from(*share).unwrap())
            }).collect();
            falls.sort_by(f64::total_cmp);
            // Half a permille of rounding moves a limit by less than a day.
            prop_assert!(falls.windows(2).all(|pair| pair[1] - pair[0] > 4.0), "{:?} {:?}", found, falls);
        }
    }
}
