//! When a court is fit again after rain, from how long it took after earlier rain.

use serde::{Deserialize, Serialize};

use crate::units::{Micrometres, Seconds};

/// Readings of rain that follow each other within this are one shower. Common practice, no source.
const ONE_SHOWER: Seconds = Seconds(3 * 3_600);
/// Rain below this wets the dust and no more. Common practice, no source.
const SHOWER: Micrometres = Micrometres(2_000);
/// As many showers as the site's own figure counts for beside what the court itself showed.
const PRIOR: i64 = 3;

/// Rain that a court must drain after. Times are seconds from any one instant.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub struct Shower {
    /// The first reading that found rain.
    pub from: Seconds,
    /// The last.
    pub until: Seconds,
    /// What fell.
    pub fell: Micrometres,
}

/// The showers of readings of rain, which are in order of time: each with what fell since the reading before.
pub fn showers(readings: &[(Seconds, Micrometres)]) -> Vec<Shower> {
    let mut all: Vec<Shower> = Vec::new();
    for (at, fell) in readings.iter().filter(|(_, fell)| fell.0 > 0) {
        match all.last_mut() {
            Some(last) if at.0 - last.until.0 <= ONE_SHOWER.0 => {
                last.until = *at;
                last.fell = Micrometres(last.fell.0.saturating_add(fell.0));
            }
            _ => all.push(Shower {
                from: *at,
                until: *at,
                fell: *fell,
            }),
        }
    }
    all.retain(|shower| shower.fell >= SHOWER);
    all
}

/// How long a court takes to drain: the site's own `usual` figure until there is evidence, the court's own record as
/// it grows. `record` is how long it took after earlier showers.
pub fn drains_in(usual: Seconds, record: &[Seconds]) -> Seconds {
    let seen = record
        .iter()
        .fold(0_i128, |all, one| all + i128::from(one.0));
    let count = i128::try_from(record.len()).unwrap_or(i128::MAX - i128::from(PRIOR));
    let all = seen + i128::from(usual.0) * i128::from(PRIOR);
    let mean = all / (count + i128::from(PRIOR));
    // A mean of whole seconds lies between the least and the greatest of them.
    Seconds(i64::try_from(mean).unwrap_or(usual.0))
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    const fn mm(mm: i64) -> Micrometres {
        Micrometres(mm * 1_000)
    }

    #[test]
    fn readings_of_one_shower_are_put_together_and_drizzle_is_none() {
        let readings = [
            (Seconds(0), mm(1)),
            (Seconds(3_600), mm(4)),
            (Seconds(7_200), mm(0)),
            (Seconds(10_800), mm(1)),
            (Seconds(40_000), mm(1)),
        ];
        let shower = Shower {
            from: Seconds(0),
            until: Seconds(10_800),
            fell: mm(6),
        };
        assert_eq!(showers(&readings), [shower]);
    }

    #[test]
    fn a_court_that_never_was_watched_drains_as_the_site_says() {
        assert_eq!(drains_in(Seconds(7_200), &[]), Seconds(7_200));
    }

    #[test]
    fn a_court_that_drains_slowly_is_known_for_it_by_and_by() {
        // (3 * 2 h + 1 * 6 h) / 4 = 3 h; (3 * 2 h + 9 * 6 h) / 12 = 5 h
        assert_eq!(
            drains_in(Seconds(7_200), &[Seconds(21_600)]),
            Seconds(10_800)
        );
        assert_eq!(
            drains_in(Seconds(7_200), &[Seconds(21_600); 9]),
            Seconds(18_000)
        );
    }

    proptest! {
        #[test]
        fn the_estimate_lies_between_the_sites_figure_and_what_was_seen(
            usual in 0_i64..100_000,
            record in prop::collection::vec(0_i64..100_000, 0..20),
        ) {
            let seen: Vec<_> = record.iter().copied().map(Seconds).collect();
            let all = record.iter().chain([&usual]);
            let (low, high) = (all.clone().min().unwrap(), all.max().unwrap());
            prop_assert!((*low..=*high).contains(&drains_in(Seconds(usual), &seen).0));
        }
    }
}
