//! Splitting cents over shares so that the parts sum to the whole: the largest-remainder method
//! (Hamilton's apportionment), without a minimum for each share.

use thiserror::Error;

use super::Cents;

/// Why a whole cannot be split.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Error)]
pub enum SplitError {
    /// There is no share, or every weight is zero.
    #[error("nothing to split over: every weight is zero")]
    NoWeight,
    /// A weight below zero, by its place in the list.
    #[error("the weight at place {0} is negative")]
    NegativeWeight(usize),
}

/// Splits `whole` in proportion to `weights`; the parts stand in the order of the weights and sum to `whole`.
///
/// Each part is the floor or the ceiling of `whole × weight / sum of weights`. The cents that the floors leave
/// go to the largest remainders, of equal remainders to the earlier. A negative whole is the mirror of a positive one.
pub fn split(whole: Cents, weights: &[i64]) -> Result<Vec<Cents>, SplitError> {
    if let Some(place) = weights.iter().position(|weight| *weight < 0) {
        return Err(SplitError::NegativeWeight(place));
    }
    let total: u128 = weights
        .iter()
        .map(|weight| u128::from(weight.unsigned_abs()))
        .sum();
    if total == 0 {
        return Err(SplitError::NoWeight);
    }
    let size = u128::from(whole.0.unsigned_abs());
    let quotas: Vec<u128> = weights
        .iter()
        .map(|weight| size * u128::from(weight.unsigned_abs()))
        .collect();
    let mut parts: Vec<u128> = quotas.iter().map(|quota| quota / total).collect();

    let left = size - parts.iter().sum::<u128>();
    let mut by_remainder: Vec<usize> = (0..weights.len()).collect();
    by_remainder.sort_by_key(|place| (std::cmp::Reverse(quotas[*place] % total), *place));
    for (place, _) in by_remainder.into_iter().zip(0..left) {
        parts[place] += 1;
    }

    let sign = i128::from(whole.0.signum());
    // No part is larger than the whole, so every one fits again.
    Ok(parts
        .into_iter()
        .map(|part| Cents(i64::try_from(sign * part.cast_signed()).unwrap_or(whole.0)))
        .collect())
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn parts(whole: i64, weights: &[i64]) -> Vec<i64> {
        split(Cents(whole), weights)
            .unwrap()
            .into_iter()
            .map(i64::from)
            .collect()
    }

    // OpenStax, Contemporary Mathematics, chapter 11, apportionment: cases A, B (a larger whole
    // lowers one share) and C (here without its minimum of one for each).
    #[test]
    fn the_textbook_cases_come_out() {
        assert_eq!(parts(10, &[6, 6, 2]), [4, 4, 2]);
        assert_eq!(parts(11, &[6, 6, 2]), [5, 5, 1]);
        assert_eq!(
            parts(616, &[46_310, 224_230, 20, 16_560, 38_450]),
            [88, 424, 0, 31, 73]
        );
    }

    #[test]
    fn an_odd_cent_goes_to_the_earlier_of_two_equal_courts() {
        assert_eq!(parts(101, &[1, 1]), [51, 50]);
        assert_eq!(parts(-101, &[1, 1]), [-51, -50]);
    }

    #[test]
    fn a_split_over_nothing_is_refused() {
        assert_eq!(split(Cents(5), &[]), Err(SplitError::NoWeight));
        assert_eq!(split(Cents(5), &[0, 0]), Err(SplitError::NoWeight));
        assert_eq!(
            split(Cents(5), &[1, -1]),
            Err(SplitError::NegativeWeight(1))
        );
    }

    #[test]
    fn the_largest_wholes_and_weights_still_split() {
        assert_eq!(parts(i64::MIN, &[0, i64::MAX, 0]), [0, i64::MIN, 0]);
        assert_eq!(
            parts(i64::MAX, &[i64::MAX, i64::MAX]),
            [i64::MAX / 2 + 1, i64::MAX / 2]
        );
    }

    proptest! {
        #[test]
        fn parts_sum_to_the_whole_and_each_is_floor_or_ceiling_of_its_quota(
            whole: i64, weights in prop::collection::vec(0..=i64::MAX, 1..12)
        ) {
            prop_assume!(weights.iter().any(|weight| *weight > 0));
            let parts = split(Cents(whole), &weights).unwrap();
            prop_assert_eq!(Cents::sum(parts.iter().copied()), Ok(Cents(whole)));

            let total: i128 = weights.iter().copied().map(i128::from).sum();
            for (part, weight) in parts.iter().zip(&weights) {
                let off = i128::from(part.0) * total - i128::from(whole) * i128::from(*weight);
                prop_assert!(off.abs() < total);
            }
        }

        #[test]
        fn equal_courts_differ_by_a_cent_at_most(whole: i64, courts in 1_usize..40) {
            let parts = split(Cents(whole), &vec![1; courts]).unwrap();
            let (least, most) = (parts.iter().min().unwrap(), parts.iter().max().unwrap());
            prop_assert!(most.0.abs_diff(least.0) <= 1);
        }
    }
}
