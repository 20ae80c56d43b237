//! How long a piece of work takes on one court: the standard's figure until there is evidence, the court's own record
//! as it grows.
//!
//! The evidence is the ratio of what was taken to what the standard gives, on the logarithm, so that a short and a long
//! job weigh alike and half and double lie equally far from the standard. The estimate is the usual shrinkage of a mean
//! towards its prior (empirical Bayes with known spreads): with n records, mean × n ÷ (n + [`PRIOR`]).

use serde::{Deserialize, Serialize};

use crate::units::Seconds;

/// How many records the standard's own figure counts for: the square of how much the same work varies from day to day
/// on one court (about 28 %) over the square of how much courts differ from one another (about 10 %).
/// Common practice, no source.
pub const PRIOR: i64 = 8;
/// The farthest a record may lie from the standard, in millionths of a logarithm: half, or double. What lies beyond is
/// a forgotten start or finish more often than work, and counts as if it lay there.
const FARTHEST: i64 = 693_147;
const MILLION: f64 = 1_000_000.0;

/// The logarithm of taken ÷ standard in millionths, no farther from zero than half or double. None where either is not
/// above zero.
pub fn log_ratio(taken: Seconds, standard: Seconds) -> Option<i64> {
    if taken.0 <= 0 || standard.0 <= 0 {
        return None;
    }
    #[expect(
        clippy::cast_precision_loss,
        reason = "a logarithm of seconds needs no 53 bits"
    )]
    let log = (taken.0 as f64 / standard.0 as f64).ln() * MILLION;
    #[expect(
        clippy::cast_possible_truncation,
        reason = "at most 44 × 10^6 either way, then brought within half and double"
    )]
    let whole = log.round() as i64;
    Some(whole.clamp(-FARTHEST, FARTHEST))
}

/// What a court's record of one kind of work comes to.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub struct Record {
    /// How many times it was timed.
    pub count: i64,
    /// The sum of their [`log_ratio`]s.
    pub log_ratios: i64,
}

impl Record {
    /// The record with one time more; the same where it tells nothing.
    #[must_use]
    pub fn with(self, taken: Seconds, standard: Seconds) -> Self {
        log_ratio(taken, standard).map_or(self, |log| Self {
            count: self.count.saturating_add(1),
            log_ratios: self.log_ratios.saturating_add(log),
        })
    }

    /// How long the work is expected to take where the standard says `standard`: to the second, and between half and
    /// double of it. The standard itself without a record.
    pub fn expected(self, standard: Seconds) -> Seconds {
        if self.count <= 0 || standard.0 <= 0 {
            return standard;
        }
        let farthest = i128::from(FARTHEST) * i128::from(self.count);
        let sum = i128::from(self.log_ratios).clamp(-farthest, farthest);
        let weight = i128::from(self.count) + i128::from(PRIOR);
        #[expect(
            clippy::cast_precision_loss,
            reason = "the sum is at most 693,147 × count"
        )]
        let factor = (sum as f64 / weight as f64 / MILLION).exp();
        #[expect(
            clippy::cast_precision_loss,
            clippy::cast_possible_truncation,
            reason = "a work's seconds, times a half to two"
        )]
        let expected = (standard.0 as f64 * factor).round() as i64;
        Seconds(expected.max(1))
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn record(taken: &[i64], standard: i64) -> Record {
        taken.iter().fold(Record::default(), |record, taken| {
            record.with(Seconds(*taken), Seconds(standard))
        })
    }

    #[test]
    fn one_slow_day_moves_little_and_a_season_of_them_almost_all_the_way() {
        // Always 1,200 s where the standard says 1,000: ln 1.2 = 0.182,322 (own arithmetic), a ninth of it, 8/16, 120/128.
        let after = |days: usize| record(&vec![1_200; days], 1_000).expected(Seconds(1_000));
        assert_eq!(after(1), Seconds(1_020));
        assert_eq!(after(8), Seconds(1_095));
        assert_eq!(after(120), Seconds(1_186));
    }

    #[test]
    fn half_and_double_cancel_out() {
        let both = record(&[500, 2_000], 1_000);
        assert_eq!(both.log_ratios, 0);
        assert_eq!(both.expected(Seconds(700)), Seconds(700));
    }

    #[test]
    fn an_order_left_open_over_night_counts_as_double_at_most() {
        assert_eq!(record(&[40_000], 1_000), record(&[2_000], 1_000));
        assert_eq!(record(&[1], 1_000), record(&[500], 1_000));
    }

    #[test]
    fn nothing_taken_tells_nothing() {
        assert_eq!(record(&[0, -5], 1_000), Record::default());
        assert_eq!(log_ratio(Seconds(10), Seconds(0)), None);
    }

    proptest! {
        #[test]
        fn without_a_record_the_standard_stands(standard in 0_i64..100_000) {
            prop_assert_eq!(Record::default().expected(Seconds(standard)), Seconds(standard));
        }

        #[test]
        fn many_records_come_to_their_mean(ratio in 60_i64..180, standard in 1_000_i64..20_000) {
            let taken = standard * ratio / 100;
            let many = record(&vec![taken; 5_000], standard).expected(Seconds(standard));
            prop_assert!((many.0 - taken).abs() * 400 <= taken, "{many:?} for {taken}");
        }

        #[test]
        fn a_longer_time_never_shortens_what_is_expected(
            times in prop::collection::vec(1_i64..5_000, 1..30), which in any::<prop::sample::Index>(), more in 0_i64..5_000,
            standard in 1_i64..5_000,
        ) {
            let before = record(&times, standard).expected(Seconds(standard));
            let mut longer = times;
            let at = which.index(longer.len());
            longer[at] += more;
            prop_assert!(record(&longer, standard).expected(Seconds(standard)) >= before);
        }

        #[test]
        fn what_is_expected_lies_between_the_standard_and_the_record(
            times in prop::collection::vec(500_i64..2_000, 1..30),
        ) {
            let kept = record(&times, 1_000);
            let expected = kept.expected(Seconds(1_000)).0;
            let (least, most) = (times.iter().min().unwrap(), times.iter().max().unwrap());
            prop_assert!((*least.min(&1_000)..=*most.max(&1_000)).contains(&expected));
        }

        #[test]
        fn the_scale_does_not_matter(times in prop::collection::vec(100_i64..900, 1..20)) {
            let tenfold: Vec<i64> = times.iter().map(|taken| taken * 10).collect();
            prop_assert_eq!(record(&times, 300), record(&tenfold, 3_000));
        }

        #[test]
        fn no_record_takes_the_time_beyond_half_and_double(count in any::<i64>(), sum in any::<i64>(), standard in 2_i64..1_000_000) {
            let expected = Record { count, log_ratios: sum }.expected(Seconds(standard)).0;
            prop_assert!(expected >= standard / 2 && expected <= standard * 2);
        }
    }
}
