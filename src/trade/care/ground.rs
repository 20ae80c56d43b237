//! What ground a task needs, and what water forbids.

use serde::{Deserialize, Serialize};

word_enum! {
    /// How moist the surface is.
    Moisture {
        /// Bone dry: powder to the touch.
        Dry = "dry",
        /// Damp.
        Damp = "damp",
        /// Wet to the touch, without standing water.
        Wet = "wet",
    }
}

/// How the ground of a court is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub struct Ground {
    /// Water stands in puddles.
    pub standing_water: bool,
    /// A heel does not sink.
    pub firm: bool,
    /// Frozen, or thawing and not yet drained.
    pub frozen: bool,
    /// How moist it is.
    pub moisture: Moisture,
}

impl Default for Ground {
    /// Damp, firm and drained, as a court should be.
    fn default() -> Self {
        Self {
            standing_water: false,
            firm: true,
            frozen: false,
            moisture: Moisture::Damp,
        }
    }
}

word_enum! {
    /// How moist the surface may be for a task.
    MoistureNeed {
        /// It does not matter.
        Any = "any",
        /// Damp, neither dry nor wet.
        Damp = "damp",
        /// Not wet.
        NotWet = "not_wet",
    }
}

/// What ground a task needs.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub struct GroundNeed {
    /// No water may stand.
    pub no_standing_water: bool,
    /// It must be firm underfoot.
    pub firm: bool,
    /// It must not be frozen or thawing.
    pub not_frozen: bool,
    /// How moist it may be.
    pub moisture: MoistureNeed,
}

impl GroundNeed {
    /// Anything goes, as for looking over a court from its edge.
    pub const ANY: Self = Self {
        no_standing_water: false,
        firm: false,
        not_frozen: false,
        moisture: MoistureNeed::Any,
    };
    /// No standing water, firm, not frozen: what play and every step onto the court need.
    pub const FIRM: Self = Self {
        no_standing_water: true,
        firm: true,
        not_frozen: true,
        moisture: MoistureNeed::Any,
    };
    /// Firm and damp.
    pub const DAMP: Self = Self {
        moisture: MoistureNeed::Damp,
        ..Self::FIRM
    };
    /// Firm and not wet.
    pub const NOT_WET: Self = Self {
        moisture: MoistureNeed::NotWet,
        ..Self::FIRM
    };
    /// Neither standing water nor frost, as for watering.
    pub const DRAINED: Self = Self {
        no_standing_water: true,
        not_frozen: true,
        ..Self::ANY
    };
}

word_enum! {
    /// Why a court may not be worked or played on.
    Obstacle {
        /// Water stands on it.
        StandingWater = "standing_water",
        /// It is frozen or thawing.
        Frozen = "frozen",
        /// A heel sinks.
        NotFirm = "not_firm",
        /// It is too wet for the task.
        TooWet = "too_wet",
        /// It is too dry for the task.
        TooDry = "too_dry",
    }
}

/// What forbids work with this need on this ground, the weightiest reason first; `None` if nothing does.
///
/// Common practice, no source: while water stands or a heel sinks, nobody plays, grooms, rolls or drives on the court.
pub const fn forbidden(need: GroundNeed, ground: Ground) -> Option<Obstacle> {
    if need.no_standing_water && ground.standing_water {
        return Some(Obstacle::StandingWater);
    }
    if need.not_frozen && ground.frozen {
        return Some(Obstacle::Frozen);
    }
    if need.firm && !ground.firm {
        return Some(Obstacle::NotFirm);
    }
    match (need.moisture, ground.moisture) {
        (MoistureNeed::Damp | MoistureNeed::NotWet, Moisture::Wet) => Some(Obstacle::TooWet),
        (MoistureNeed::Damp, Moisture::Dry) => Some(Obstacle::TooDry),
        _ => None,
    }
}

/// What forbids play on this ground.
pub const fn play_forbidden(ground: Ground) -> Option<Obstacle> {
    forbidden(GroundNeed::FIRM, ground)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nobody_plays_while_water_stands_or_a_heel_sinks_or_frost_is_in_the_ground() {
        let ground = Ground::default();
        assert_eq!(play_forbidden(ground), None);
        assert_eq!(
            play_forbidden(Ground {
                standing_water: true,
                ..ground
            }),
            Some(Obstacle::StandingWater)
        );
        assert_eq!(
            play_forbidden(Ground {
                firm: false,
                ..ground
            }),
            Some(Obstacle::NotFirm)
        );
        assert_eq!(
            play_forbidden(Ground {
                frozen: true,
                ..ground
            }),
            Some(Obstacle::Frozen)
        );
        assert_eq!(
            play_forbidden(Ground {
                moisture: Moisture::Wet,
                ..ground
            }),
            None
        );
    }

    #[test]
    fn damp_work_waits_on_a_wet_and_on_a_dry_court() {
        let of = |moisture| {
            forbidden(
                GroundNeed::DAMP,
                Ground {
                    moisture,
                    ..Ground::default()
                },
            )
        };
        assert_eq!(of(Moisture::Wet), Some(Obstacle::TooWet));
        assert_eq!(of(Moisture::Dry), Some(Obstacle::TooDry));
        assert_eq!(of(Moisture::Damp), None);
    }
}
