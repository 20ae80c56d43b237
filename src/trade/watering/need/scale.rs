//! From weather and findings to the share of the ordinary run, with every reason told.

use serde::{Deserialize, Serialize};

use super::moisture::{Finding, Found, MoistureRule, correction};
use super::{Method, NeedError};
use crate::units::{Micrometres, Seconds};
use crate::whole::{Overflow, half_even, narrow};

/// Rain below this wets the dust and no more. Common practice, no source.
const SHOWER: i64 = 2_000;
/// What of rain stays in the court, per cent. Common practice, no source.
const STAYS_PCT: i64 = 80;
/// The most that a court holds of it. Common practice, no source.
const HOLDS: i64 = 15_000;

/// Between which thousandths of its ordinary run a court is watered.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub struct Limits {
    /// The least.
    pub low_permille: i64,
    /// The most.
    pub high_permille: i64,
}

impl Default for Limits {
    fn default() -> Self {
        Self {
            low_permille: 500,
            high_permille: 1_500,
        }
    }
}

/// What is known of a court's day.
#[derive(Clone, Copy, Debug)]
pub struct Asked<'a> {
    /// What the air drew, and by which method; none where no weather is known.
    pub drawn: Option<(Micrometres, Method)>,
    /// What it draws in the season's ordinary weather, by the same method; none where that is not known.
    pub usual: Option<Micrometres>,
    /// Rain since the last night's water.
    pub rain: Micrometres,
    /// How the court was found on the last mornings.
    pub findings: &'a [Finding],
    /// How much a finding counts.
    pub moisture: MoistureRule,
}

/// One reason for the share.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(tag = "why", rename_all = "snake_case")]
pub enum Why {
    /// No weather is known, or none to compare it with: the ordinary run.
    WeatherUnknown,
    /// What the air drew against the season's ordinary.
    Weather {
        /// What it drew, µm.
        drawn_um: i64,
        /// The season's ordinary, µm.
        usual_um: i64,
        /// How it was reckoned.
        by: Method,
        /// Thousandths of the ordinary run so far.
        permille: i64,
    },
    /// Rain that counts.
    Rain {
        /// What fell, µm.
        fell_um: i64,
        /// What of it stays, µm.
        stays_um: i64,
        /// Thousandths it takes.
        permille: i64,
    },
    /// What the mornings say.
    Mornings {
        /// Mornings it was found dry.
        dry: i64,
        /// Mornings it was found wet.
        wet: i64,
        /// Thousandths they add, or take where negative.
        permille: i64,
    },
    /// The site's own limits cut it.
    Limited {
        /// What it would have been, thousandths.
        wanted_permille: i64,
        /// What it is.
        permille: i64,
    },
}

/// The share of the ordinary run, and why.
#[derive(Clone, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub struct Scaled {
    /// Thousandths of the ordinary run.
    pub permille: i64,
    /// The reasons, in the order in which they count.
    pub why: Vec<Why>,
}

/// What of rain stays in a court: nothing of a light shower, most of the rest up to what it holds.
pub fn effective_rain(fell: Micrometres) -> Micrometres {
    if fell.0 < SHOWER {
        return Micrometres::ZERO;
    }
    let stays = half_even(i128::from(fell.0) * i128::from(STAYS_PCT), 100);
    Micrometres(i64::try_from(stays).map_or(HOLDS, |stays| stays.min(HOLDS)))
}

/// The share of its ordinary run that a court gets.
pub fn scale(asked: &Asked<'_>, limits: &Limits) -> Result<Scaled, NeedError> {
    if limits.low_permille < 0 || limits.low_permille > limits.high_permille {
        return Err(NeedError::Limits);
    }
    let mut why = Vec::new();
    let usual = asked.usual.filter(|usual| usual.0 > 0);
    let mut wanted = if let (Some((drawn, by)), Some(usual)) = (asked.drawn, usual) {
        let permille = share(drawn.0, usual.0);
        why.push(Why::Weather {
            drawn_um: drawn.0,
            usual_um: usual.0,
            by,
            permille,
        });
        permille
    } else {
        why.push(Why::WeatherUnknown);
        1_000
    };
    let stays = effective_rain(asked.rain);
    if stays.0 > 0 {
        // Without an ordinary day to compare with, rain that fills a court counts as one.
        let permille = share(stays.0, usual.map_or(HOLDS, |usual| usual.0)).min(wanted);
        wanted -= permille;
        why.push(Why::Rain {
            fell_um: asked.rain.0,
            stays_um: stays.0,
            permille: -permille,
        });
    }
    let more = correction(asked.findings, &asked.moisture);
    if more != 0 {
        let count = |found: Found| {
            let all = asked.findings.iter();
            let counted = all.filter(|one| one.found == found && one.days_ago >= 0);
            let young = counted.filter(|one| one.days_ago < asked.moisture.fades_days);
            i64::try_from(young.count()).unwrap_or(i64::MAX)
        };
        wanted = wanted.saturating_add(more);
        why.push(Why::Mornings {
            dry: count(Found::Dry),
            wet: count(Found::Wet),
            permille: more,
        });
    }
    let permille = wanted.clamp(limits.low_permille, limits.high_permille);
    if permille != wanted {
        why.push(Why::Limited {
            wanted_permille: wanted,
            permille,
        });
    }
    Ok(Scaled { permille, why })
}

/// Thousandths that `part` is of `whole`, which is more than nothing; far more than any limit at most.
fn share(part: i64, whole: i64) -> i64 {
    let permille = half_even(i128::from(part.max(0)) * 1_000, i128::from(whole));
    i64::try_from(permille).map_or(1_000_000, |permille| permille.min(1_000_000))
}

/// A run at a share of the ordinary one: to the whole minute, as controllers are set, and at least one where it runs
/// at all. The ordinary run itself stays as the site set it.
pub fn run_of(ordinary: Seconds, permille: i64) -> Result<Seconds, Overflow> {
    if permille == 1_000 || ordinary.0 <= 0 || permille <= 0 {
        return Ok(if permille <= 0 {
            Seconds::ZERO
        } else {
            ordinary
        });
    }
    let wide = i128::from(ordinary.0) * i128::from(permille);
    let minutes = half_even(wide, 60_000).max(1);
    Ok(Seconds(narrow(minutes * 60)?))
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    const MONTEITH: Method = Method::PenmanMonteith;

    fn asked(drawn: i64, usual: i64, rain: i64) -> Asked<'static> {
        Asked {
            drawn: Some((Micrometres(drawn), MONTEITH)),
            usual: Some(Micrometres(usual)),
            rain: Micrometres(rain),
            findings: &[],
            moisture: MoistureRule::default(),
        }
    }

    fn permille(asked: &Asked<'_>) -> i64 {
        scale(asked, &Limits::default()).unwrap().permille
    }

    #[test]
    fn ordinary_weather_leaves_the_sites_own_minutes_as_they_are() {
        let scaled = scale(&asked(5_000, 5_000, 0), &Limits::default()).unwrap();
        assert_eq!(scaled.permille, 1_000);
        assert_eq!(run_of(Seconds(910), scaled.permille), Ok(Seconds(910)));
    }

    #[test]
    fn a_hot_day_brings_more_rain_less_and_the_limits_hold() {
        assert_eq!(permille(&asked(6_000, 5_000, 0)), 1_200);
        assert_eq!(permille(&asked(20_000, 5_000, 0)), 1_500);
        assert_eq!(permille(&asked(1_000, 5_000, 0)), 500);
        // 3 mm fell, 2.4 mm stay, of 5 mm a day.
        assert_eq!(permille(&asked(5_000, 5_000, 3_000)), 520);
        assert_eq!(permille(&asked(5_000, 5_000, 1_900)), 1_000, "a shower");
        assert_eq!(permille(&asked(5_000, 5_000, 40_000)), 500);
        let dry_out = Limits {
            low_permille: 0,
            high_permille: 1_500,
        };
        let scaled = scale(&asked(5_000, 5_000, 40_000), &dry_out).unwrap();
        assert_eq!(
            scaled.permille, 0,
            "a site may let rain stand for all of it"
        );
        assert_eq!(run_of(Seconds(900), 0), Ok(Seconds::ZERO));
    }

    #[test]
    fn the_manager_sees_every_reason_in_its_order() {
        let mornings = [Finding {
            days_ago: 0,
            found: Found::Dry,
        }];
        let of = Asked {
            findings: &mornings,
            ..asked(8_000, 5_000, 2_000)
        };
        assert_eq!(
            scale(&of, &Limits::default()).unwrap(),
            Scaled {
                permille: 1_380,
                why: vec![
                    Why::Weather {
                        drawn_um: 8_000,
                        usual_um: 5_000,
                        by: MONTEITH,
                        permille: 1_600,
                    },
                    Why::Rain {
                        fell_um: 2_000,
                        stays_um: 1_600,
                        permille: -320,
                    },
                    Why::Mornings {
                        dry: 1,
                        wet: 0,
                        permille: 100,
                    },
                ],
            }
        );
    }

    #[test]
    fn without_weather_the_ordinary_run_holds_and_is_said_to() {
        let none = Asked {
            drawn: None,
            usual: None,
            ..asked(0, 0, 0)
        };
        let scaled = scale(&none, &Limits::default()).unwrap();
        assert_eq!(
            (scaled.permille, scaled.why),
            (1_000, vec![Why::WeatherUnknown])
        );
    }

    #[test]
    fn limits_between_which_nothing_lies_are_refused() {
        let crossed = Limits {
            low_permille: 1_200,
            high_permille: 800,
        };
        assert_eq!(scale(&asked(1, 1, 0), &crossed), Err(NeedError::Limits));
    }

    #[test]
    fn a_scaled_run_is_set_in_whole_minutes() {
        assert_eq!(run_of(Seconds(900), 1_200), Ok(Seconds(1_080)));
        assert_eq!(run_of(Seconds(900), 1_237), Ok(Seconds(1_140)));
        assert_eq!(run_of(Seconds(60), 500), Ok(Seconds(60)));
        assert_eq!(run_of(Seconds(i64::MAX), 1_500), Err(Overflow));
    }

    proptest! {
        #[test]
        fn whatever_the_weather_the_share_stays_within_the_limits(
            drawn in prop::option::of(0_i64..100_000), usual in prop::option::of(0_i64..20_000),
            rain in 0_i64..1_000_000, low in 0_i64..1_000, more in 0_i64..2_000,
        ) {
            let asked = Asked {
                drawn: drawn.map(|um| (Micrometres(um), MONTEITH)),
                usual: usual.map(Micrometres),
                ..asked(0, 0, rain)
            };
            let limits = Limits { low_permille: low, high_permille: low + more };
            let scaled = scale(&asked, &limits).unwrap();
            prop_assert!((low..=low + more).contains(&scaled.permille));
        }

        #[test]
        fn more_rain_never_brings_more_water(rain in 0_i64..60_000, more in 0_i64..60_000, drawn in 0_i64..20_000) {
            prop_assert!(permille(&asked(drawn, 5_000, rain + more)) <= permille(&asked(drawn, 5_000, rain)));
        }
    }
}
