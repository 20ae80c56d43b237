//! What somebody sees who looks a court over, and how the court is for it, for as long as that holds.

use serde::{Deserialize, Serialize};

use crate::care::{Ground, Moisture};
use crate::grooming::Condition;
use crate::units::Seconds;

word_enum! {
    /// How firm the surface is underfoot.
    Firmness {
        /// A heel sinks.
        Soft = "soft",
        /// As it should be.
        Firm = "firm",
        /// Hard and slick.
        Hard = "hard",
    }
}

/// One look at a court. What was not looked at is none.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub struct Inspection {
    /// How firm it is.
    pub firmness: Option<Firmness>,
    /// How moist it is.
    pub moisture: Option<Moisture>,
    /// Whether water stands.
    pub standing_water: Option<bool>,
    /// Whether it is frozen, or thawing and not drained.
    pub frozen: Option<bool>,
    /// Whether there are low spots.
    pub low_spots: Option<bool>,
    /// Whether it is hard throughout, or material has built up.
    pub hardpan: Option<bool>,
    /// Whether the baselines are packed.
    pub baselines_packed: Option<bool>,
    /// Whether it was top-dressed and has not bound.
    pub newly_dressed: Option<bool>,
}

/// How long what was seen holds. Common practice, no source.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Limits {
    /// Of moisture, standing water and frost.
    pub water: Seconds,
    /// Of everything else.
    pub other: Seconds,
    /// How long a court counts as just resurfaced or newly dressed.
    pub settling: Seconds,
}

impl Default for Limits {
    fn default() -> Self {
        Self {
            water: Seconds(12 * 3_600),
            other: Seconds(30 * 86_400),
            settling: Seconds(42 * 86_400),
        }
    }
}

/// How a court is, from what was seen.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub struct CourtNow {
    /// Its condition, which says with what it is groomed.
    pub condition: Condition,
    /// Its ground, which says what may be done on it.
    pub ground: Ground,
    /// Whether its baselines are packed.
    pub baselines_packed: bool,
}

impl Default for CourtNow {
    /// Sound, damp, firm and drained: how a court is taken to be of which nobody said anything.
    fn default() -> Self {
        Self {
            condition: Condition::Sound,
            ground: Ground::default(),
            baselines_packed: false,
        }
    }
}

/// How a court is for what was seen of it: `seen` are the looks at it with their ages, in any order; of each thing
/// the newest look that tells of it counts, as long as it holds. `resurfaced` is how long ago it was made new, if it
/// was: what was seen before that is of the old surface.
pub fn court_now(
    seen: &[(Seconds, Inspection)],
    resurfaced: Option<Seconds>,
    limits: Limits,
) -> CourtNow {
    let seen = Seen {
        looks: seen,
        since: resurfaced,
    };
    let moisture = seen.newest(limits.water, |look| look.moisture);
    let standing = seen.newest(limits.water, |look| look.standing_water);
    let frozen = seen.newest(limits.water, |look| look.frozen);
    // A soft surface is one full of water: it dries like it.
    let firmness = seen.newest(limits.other, |look| look.firmness);
    let soft = seen.newest(limits.water, |look| look.firmness) == Some(Firmness::Soft);
    let of_other =
        |what: fn(&Inspection) -> Option<bool>| seen.newest(limits.other, what) == Some(true);
    let dressed = seen.newest(limits.settling, |look| look.newly_dressed) == Some(true);
    let new = resurfaced.is_some_and(|age| age.0 >= 0 && age <= limits.settling);
    let ground = Ground {
        standing_water: standing == Some(true),
        firm: !soft,
        frozen: frozen == Some(true),
        moisture: moisture.unwrap_or(Moisture::Damp),
    };
    let condition = if soft || ground.standing_water {
        Condition::Soaked
    } else if new {
        Condition::JustResurfaced
    } else if dressed {
        Condition::NewlyDressed
    } else if of_other(|look| look.hardpan) {
        Condition::Hardpan
    } else if of_other(|look| look.low_spots) {
        Condition::LowSpots
    } else if firmness == Some(Firmness::Hard) {
        Condition::Hardened
    } else if ground.moisture == Moisture::Dry {
        Condition::Powdery
    } else {
        Condition::Sound
    };
    CourtNow {
        condition,
        ground,
        baselines_packed: of_other(|look| look.baselines_packed),
    }
}

/// The condition that follows from one look of this age; see [`court_now`].
pub fn condition_from(look: &Inspection, age: Seconds) -> CourtNow {
    court_now(&[(age, *look)], None, Limits::default())
}

struct Seen<'a> {
    looks: &'a [(Seconds, Inspection)],
    since: Option<Seconds>,
}

impl Seen<'_> {
    /// The newest word on one thing, if it is no older than `holds`, nor than the surface.
    fn newest<T>(&self, holds: Seconds, what: impl Fn(&Inspection) -> Option<T>) -> Option<T> {
        let of_this_surface = |age: &Seconds| self.since.is_none_or(|since| *age < since);
        self.looks
            .iter()
            .filter(|(age, _)| age.0 >= 0 && *age <= holds && of_this_surface(age))
            .filter_map(|(age, look)| Some((*age, what(look)?)))
            .min_by_key(|(age, _)| *age)
            .map(|(_, told)| told)
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    const HOUR: i64 = 3_600;
    const DAY: i64 = 86_400;

    fn wet() -> Inspection {
        Inspection {
            moisture: Some(Moisture::Wet),
            standing_water: Some(true),
            firmness: Some(Firmness::Soft),
            ..Inspection::default()
        }
    }

    // Common practice, no source.
    #[test]
    fn a_puddle_shuts_a_court_until_somebody_looks_again_or_it_is_long_ago() {
        let puddle = condition_from(&wet(), Seconds(HOUR));
        assert!(puddle.ground.standing_water && !puddle.ground.firm);
        assert_eq!(puddle.condition, Condition::Soaked);
        assert_eq!(
            condition_from(&wet(), Seconds(13 * HOUR)),
            CourtNow::default()
        );
        let dried = Inspection {
            standing_water: Some(false),
            firmness: Some(Firmness::Firm),
            moisture: Some(Moisture::Damp),
            ..Inspection::default()
        };
        let looks = [(Seconds(3 * HOUR), wet()), (Seconds(HOUR), dried)];
        assert_eq!(
            court_now(&looks, None, Limits::default()),
            CourtNow::default()
        );
    }

    #[test]
    fn a_new_look_outranks_only_what_it_tells_of() {
        let hard = Inspection {
            hardpan: Some(true),
            baselines_packed: Some(true),
            ..Inspection::default()
        };
        let damp = Inspection {
            moisture: Some(Moisture::Damp),
            ..Inspection::default()
        };
        let looks = [(Seconds(9 * DAY), hard), (Seconds(HOUR), damp)];
        let now = court_now(&looks, None, Limits::default());
        assert_eq!(now.condition, Condition::Hardpan);
        assert!(now.baselines_packed);
        let old = [(Seconds(31 * DAY), hard)];
        assert_eq!(
            court_now(&old, None, Limits::default()),
            CourtNow::default()
        );
    }

    #[test]
    fn a_new_surface_is_new_for_42_days_and_what_was_seen_of_the_old_one_is_gone() {
        let packed = Inspection {
            baselines_packed: Some(true),
            ..Inspection::default()
        };
        let at = |days| {
            let seen = [(Seconds(DAY * (days + 1)), packed)];
            court_now(&seen, Some(Seconds(DAY * days)), Limits::default())
        };
        assert_eq!(at(10).condition, Condition::JustResurfaced);
        assert!(!at(10).baselines_packed);
        assert_eq!(at(43).condition, Condition::Sound);
    }

    proptest! {
        #[test]
        fn the_order_of_looks_does_not_matter(a in 0_i64..100_000, b in 100_000_i64..5_000_000) {
            let looks = [(Seconds(a), wet()), (Seconds(b), Inspection { hardpan: Some(true), ..wet() })];
            let back = [looks[1], looks[0]];
            let limits = Limits::default();
            prop_assert_eq!(court_now(&looks, None, limits), court_now(&back, None, limits));
        }
    }
}
