//! How a court is found today, and whether its packed baselines are loosened.

use serde::{Deserialize, Serialize};

use super::{CareTask, Ground, Obstacle, facts, forbidden};
use crate::grooming::Condition;
use crate::watering::WateringKind;

/// What is known of a court when its turnaround is planned or begun.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[expect(
    clippy::struct_excessive_bools,
    reason = "each is one thing that is so or not"
)]
pub struct CourtToday {
    /// How its surface is.
    pub condition: Condition,
    /// How its ground is.
    pub ground: Ground,
    /// Leaves lie on it.
    pub leaves: bool,
    /// Its baselines were found packed.
    pub baselines_packed: bool,
    /// They were loosened today already.
    pub loosened_today: bool,
    /// How it is watered.
    pub watering: WateringKind,
    /// This turnaround ends with watering, as at midday.
    pub water_after: bool,
}

word_enum! {
    /// Why a court's baselines are not loosened.
    NoLoosening {
        /// They are not packed.
        NotPacked = "not_packed",
        /// It was done today: at most once a day.
        DoneToday = "done_today",
        /// The court is soaked, or wet on top.
        Soaked = "soaked",
        /// The court is dry: it must be damp.
        Dry = "dry",
        /// The court is newly dressed or just resurfaced.
        NewlyDressed = "newly_dressed",
        /// Nobody works on it: water stands, it is frozen, or a heel sinks.
        Forbidden = "forbidden",
    }
}

/// Whether the baselines are loosened in this turnaround: packed, not yet today, the court damp, never
/// soaked, dry or newly dressed. Common practice, no source.
pub fn loosening(court: &CourtToday) -> Result<(), NoLoosening> {
    if !court.baselines_packed {
        return Err(NoLoosening::NotPacked);
    }
    if court.loosened_today {
        return Err(NoLoosening::DoneToday);
    }
    match court.condition {
        Condition::Soaked => return Err(NoLoosening::Soaked),
        Condition::Powdery => return Err(NoLoosening::Dry),
        Condition::NewlyDressed | Condition::JustResurfaced => {
            return Err(NoLoosening::NewlyDressed);
        }
        _ => {}
    }
    match forbidden(facts(CareTask::Loosen).ground, court.ground) {
        None => Ok(()),
        Some(Obstacle::TooDry) => Err(NoLoosening::Dry),
        Some(Obstacle::TooWet) => Err(NoLoosening::Soaked),
        Some(_) => Err(NoLoosening::Forbidden),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::care::Moisture;

    fn sound() -> CourtToday {
        CourtToday {
            condition: Condition::Sound,
            ground: Ground::default(),
            leaves: false,
            baselines_packed: false,
            loosened_today: false,
            watering: WateringKind::Sprinklers,
            water_after: true,
        }
    }

    #[test]
    fn a_soaked_dry_or_newly_dressed_court_is_never_loosened() {
        let refused = |condition, moisture| {
            let ground = Ground {
                moisture,
                ..Ground::default()
            };
            loosening(&CourtToday {
                condition,
                ground,
                baselines_packed: true,
                ..sound()
            })
        };
        assert_eq!(
            refused(Condition::Soaked, Moisture::Damp),
            Err(NoLoosening::Soaked)
        );
        assert_eq!(
            refused(Condition::Hardened, Moisture::Wet),
            Err(NoLoosening::Soaked)
        );
        assert_eq!(
            refused(Condition::Powdery, Moisture::Damp),
            Err(NoLoosening::Dry)
        );
        assert_eq!(
            refused(Condition::Hardened, Moisture::Dry),
            Err(NoLoosening::Dry)
        );
        assert_eq!(
            refused(Condition::NewlyDressed, Moisture::Damp),
            Err(NoLoosening::NewlyDressed)
        );
        assert_eq!(
            refused(Condition::JustResurfaced, Moisture::Damp),
            Err(NoLoosening::NewlyDressed)
        );
        assert_eq!(refused(Condition::Hardened, Moisture::Damp), Ok(()));
    }
}
