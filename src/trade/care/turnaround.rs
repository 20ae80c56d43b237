//! The work between two play sessions on one court, in its fixed order.

use serde::{Deserialize, Serialize};

use super::{
    CareTask, CourtToday, Ground, Moisture, Obstacle, facts, forbidden, loosening, service_s,
};
use crate::grooming::Condition;
use crate::units::Seconds;
use crate::watering::WateringKind;
use crate::whole::Overflow;

word_enum! {
    /// How much of a turnaround is done.
    TurnaroundKind {
        /// Everything that the court asks for.
        Full = "full",
        /// What play cannot do without: looked over, groomed (damp), lines cleared, watered. The net stays down
        /// and packed baselines wait.
        Short = "short",
        /// Between two matches of a tournament: looked over, groomed, lines cleared; no water.
        MatchService = "match_service",
        /// After players who brushed and swept themselves: looked over all the same, and watered. Their work costs
        /// nothing and does not replace the look-over.
        LookedOver = "looked_over",
    }
}

/// The steps of the turnaround in their order, or what forbids it.
///
/// Take leaves off, where they lie, before any brush comes; look over and tread in; loosen, only when due; raise the net; light wetting and wait, only where the court is
/// powdery or dry; groom; clear lines; lower and check the net; water. A soaked court is not groomed until it is firm.
/// Common practice, no source; that lines come after grooming: a public club's maintenance page.
pub fn steps(kind: TurnaroundKind, court: &CourtToday) -> Result<Vec<CareTask>, Obstacle> {
    let watered = |task| forbidden(facts(task).ground, court.ground).is_none() && court.water_after;
    let water = match court.watering {
        WateringKind::Sprinklers => watered(CareTask::Soak).then_some(CareTask::Soak),
        WateringKind::ByHand => watered(CareTask::HandWatering).then_some(CareTask::HandWatering),
        WateringKind::Subsurface => None,
    };
    if kind == TurnaroundKind::LookedOver {
        return Ok([CareTask::LookOver].into_iter().chain(water).collect());
    }
    if court.condition == Condition::Soaked {
        return Err(
            forbidden(facts(CareTask::Groom).ground, court.ground).unwrap_or(Obstacle::NotFirm)
        );
    }
    let dry = court.condition == Condition::Powdery || court.ground.moisture == Moisture::Dry;
    let wetted = Ground {
        moisture: if dry {
            Moisture::Damp
        } else {
            court.ground.moisture
        },
        ..court.ground
    };
    if let Some(obstacle) = forbidden(facts(CareTask::Groom).ground, wetted) {
        return Err(obstacle);
    }
    let full = kind == TurnaroundKind::Full;
    let water = water.filter(|_| kind != TurnaroundKind::MatchService);
    let in_order = [
        (court.leaves, CareTask::LeavesOff),
        (true, CareTask::LookOver),
        (full && loosening(court).is_ok(), CareTask::Loosen),
        (full, CareTask::RaiseNet),
        (dry, CareTask::LightWetting),
        (true, CareTask::Groom),
        (true, CareTask::ClearLines),
        (full, CareTask::LowerNet),
    ];
    let done = in_order
        .into_iter()
        .filter(|(done, _)| *done)
        .map(|(_, task)| task);
    Ok(done.chain(water).collect())
}

/// One step with its seconds for 1, 2, … hands.
#[derive(Clone, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub struct TurnaroundStep {
    /// What is done.
    pub task: CareTask,
    /// Entry `h - 1` is for `h` hands.
    pub service_s: Vec<Seconds>,
}

/// A turnaround's steps and its whole length.
#[derive(Clone, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub struct Turnaround {
    /// The steps in their order.
    pub steps: Vec<TurnaroundStep>,
    /// Their sum; entry `h - 1` is for `h` hands, and never longer than the one before.
    pub service_s: Vec<Seconds>,
}

/// How long these steps take 1, 2, … up to `hands` people, the grooming as long as its tool class needs
/// (see [`grooming_time`](crate::grooming::grooming_time)). The steps follow each other.
pub fn turnaround(
    tasks: &[CareTask],
    groom: Seconds,
    hands: usize,
) -> Result<Turnaround, Overflow> {
    let steps = tasks
        .iter()
        .map(|task| {
            let known = facts(*task);
            let base = if *task == CareTask::Groom {
                groom
            } else {
                known.base
            };
            Ok(TurnaroundStep {
                task: *task,
                service_s: service_s(base, known.sharing, hands)?,
            })
        })
        .collect::<Result<Vec<_>, Overflow>>()?;
    let service_s = (0..hands.max(1))
        .map(|more| Seconds::sum(steps.iter().map(|step| step.service_s[more])))
        .collect::<Result<Vec<_>, Overflow>>()?;
    Ok(Turnaround { steps, service_s })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::care::NoLoosening;

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

    fn full(court: CourtToday) -> Vec<CareTask> {
        steps(TurnaroundKind::Full, &court).unwrap()
    }

    #[test]
    fn a_sound_court_is_gone_through_in_the_fixed_order_and_soaked_after_grooming() {
        use CareTask::{ClearLines, Groom, LookOver, LowerNet, RaiseNet, Soak};
        assert_eq!(
            full(sound()),
            [LookOver, RaiseNet, Groom, ClearLines, LowerNet, Soak]
        );
    }

    #[test]
    fn leaves_are_off_before_anything_else_wherever_a_brush_comes() {
        let leaves = CourtToday {
            leaves: true,
            baselines_packed: true,
            ..sound()
        };
        for kind in TurnaroundKind::ALL {
            let steps = steps(*kind, &leaves).unwrap();
            let brushed = steps.contains(&CareTask::Groom);
            assert_eq!(steps[0] == CareTask::LeavesOff, brushed, "{kind}");
            assert!(steps.is_sorted(), "{steps:?}");
            assert!(
                !super::steps(*kind, &sound())
                    .unwrap()
                    .contains(&CareTask::LeavesOff)
            );
        }
        let wet = CourtToday {
            ground: Ground {
                standing_water: true,
                ..Ground::default()
            },
            ..leaves
        };
        assert_eq!(
            super::steps(TurnaroundKind::Full, &wet),
            Err(Obstacle::StandingWater),
            "it drains first"
        );
    }

    #[test]
    fn whatever_is_done_keeps_the_order_of_the_list() {
        for condition in Condition::ALL {
            for (packed, kind) in [
                (true, TurnaroundKind::Full),
                (false, TurnaroundKind::Short),
                (false, TurnaroundKind::MatchService),
            ] {
                let court = CourtToday {
                    condition: *condition,
                    baselines_packed: packed,
                    ..sound()
                };
                if let Ok(tasks) = steps(kind, &court) {
                    assert!(tasks.is_sorted(), "{tasks:?}");
                    assert!(
                        tasks.contains(&CareTask::Groom) && tasks.contains(&CareTask::ClearLines)
                    );
                }
            }
        }
    }

    #[test]
    fn packed_baselines_are_loosened_before_anything_else_but_once_a_day() {
        let packed = CourtToday {
            baselines_packed: true,
            ..sound()
        };
        assert_eq!(full(packed)[..2], [CareTask::LookOver, CareTask::Loosen]);
        let again = CourtToday {
            loosened_today: true,
            ..packed
        };
        assert_eq!(loosening(&again), Err(NoLoosening::DoneToday));
        assert!(!full(again).contains(&CareTask::Loosen));
        assert_eq!(loosening(&sound()), Err(NoLoosening::NotPacked));
    }

    #[test]
    fn only_a_powdery_or_dry_court_is_wetted_and_that_just_before_grooming() {
        assert!(!full(sound()).contains(&CareTask::LightWetting));
        for kind in [TurnaroundKind::Full, TurnaroundKind::Short] {
            let powdery = steps(
                kind,
                &CourtToday {
                    condition: Condition::Powdery,
                    ..sound()
                },
            )
            .unwrap();
            let wetting = powdery
                .iter()
                .position(|task| *task == CareTask::LightWetting)
                .unwrap();
            assert_eq!(powdery[wetting + 1], CareTask::Groom);
        }
    }

    #[test]
    fn water_forbids_the_turnaround() {
        let with = |ground| steps(TurnaroundKind::Short, &CourtToday { ground, ..sound() });
        let ground = Ground::default();
        assert_eq!(
            with(Ground {
                standing_water: true,
                ..ground
            }),
            Err(Obstacle::StandingWater)
        );
        assert_eq!(
            with(Ground {
                firm: false,
                ..ground
            }),
            Err(Obstacle::NotFirm)
        );
        assert_eq!(
            with(Ground {
                moisture: Moisture::Wet,
                ..ground
            }),
            Err(Obstacle::TooWet)
        );
        let soaked = CourtToday {
            condition: Condition::Soaked,
            ..sound()
        };
        assert_eq!(steps(TurnaroundKind::Full, &soaked), Err(Obstacle::NotFirm));
    }

    #[test]
    fn a_court_watered_from_below_gets_no_soak_and_one_watered_by_hand_its_own_step() {
        let by = |watering| {
            full(CourtToday {
                watering,
                ..sound()
            })
        };
        assert_eq!(
            by(WateringKind::Subsurface).last(),
            Some(&CareTask::LowerNet)
        );
        assert_eq!(
            by(WateringKind::ByHand).last(),
            Some(&CareTask::HandWatering)
        );
    }

    #[test]
    fn between_two_matches_a_court_is_looked_over_groomed_and_cleared_but_not_watered() {
        use CareTask::{ClearLines, Groom, LookOver};
        let service = steps(TurnaroundKind::MatchService, &sound()).unwrap();
        assert_eq!(service, [LookOver, Groom, ClearLines]);
    }

    #[test]
    fn players_who_brush_and_sweep_do_not_replace_the_look_over() {
        let after = |court| steps(TurnaroundKind::LookedOver, &court).unwrap();
        assert_eq!(after(sound()), [CareTask::LookOver, CareTask::Soak]);
        let soaked = CourtToday {
            condition: Condition::Soaked,
            ground: Ground {
                standing_water: true,
                firm: false,
                ..Ground::default()
            },
            ..sound()
        };
        assert_eq!(after(soaked), [CareTask::LookOver]);
    }

    #[test]
    fn the_short_way_is_shorter_and_more_hands_are_never_slower() {
        let length = |kind| turnaround(&steps(kind, &sound()).unwrap(), Seconds(506), 4).unwrap();
        let (full, short) = (length(TurnaroundKind::Full), length(TurnaroundKind::Short));
        assert!(full.service_s.is_sorted_by(|a, b| a >= b));
        assert!(
            full.service_s
                .iter()
                .zip(&short.service_s)
                .all(|(full, short)| full > short)
        );
        // 270 + 60 + 506 + 480 + 180 + 60 for one person
        assert_eq!(full.service_s[0], Seconds(1_556));
        assert_eq!(full.service_s.len(), 4);
    }
}
