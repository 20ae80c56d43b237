use proptest::prelude::*;

use super::*;

const HOUR: i64 = 3_600;

/// Three cycles of 15 minutes with an hour's pause, between ten in the evening and five in the morning.
fn court(court: i64) -> NightCourt {
    NightCourt {
        court,
        kind: WateringKind::Sprinklers,
        flow: MlPerSecond(1_000),
        cycles: 3,
        run: Seconds(900),
        pause: Seconds(HOUR),
        not_before: Seconds(22 * HOUR),
        ready_before: Seconds(29 * HOUR),
    }
}

fn line(capacity: i64) -> Line {
    Line {
        capacity: MlPerSecond(capacity),
        taken: Vec::new(),
    }
}

fn starts(night: &NightWatering, court: i64) -> Vec<i64> {
    night
        .cycles
        .iter()
        .filter(|cycle| cycle.court == court)
        .map(|cycle| cycle.from.0)
        .collect()
}

#[test]
fn a_court_alone_gets_its_cycles_as_early_as_its_pauses_allow() {
    let night = night_cycles(&[court(1)], &line(1_000)).unwrap();
    assert_eq!(starts(&night, 1), [79_200, 83_700, 88_200]);
    assert_eq!(night.cycles[0].volume, Millilitres(900_000));
    assert!(night.unfinished.is_empty());
}

#[test]
fn courts_take_turns_on_a_line_that_carries_one() {
    let courts: Vec<NightCourt> = (1..=5).map(court).collect();
    let night = night_cycles(&courts, &line(1_000)).unwrap();
    assert_eq!(night.cycles.len(), 15);
    assert_eq!(starts(&night, 2)[0], 22 * HOUR + 900);
}

#[test]
fn a_cycle_may_start_as_another_ends() {
    let taken = Taken {
        from: Seconds(22 * HOUR),
        to: Seconds(23 * HOUR),
        flow: MlPerSecond(1),
    };
    let night = night_cycles(
        &[court(1)],
        &Line {
            taken: vec![taken],
            ..line(1_000)
        },
    )
    .unwrap();
    assert_eq!(starts(&night, 1)[0], 23 * HOUR);
}

#[test]
fn the_court_that_cannot_be_finished_is_named_with_its_reason() {
    let why =
        |court: NightCourt, line: &Line| night_cycles(&[court], line).unwrap().unfinished[0].why;
    assert_eq!(why(court(1), &line(999)), WhyUnfinished::FlowOverLine);
    let short = NightCourt {
        ready_before: Seconds(24 * HOUR),
        ..court(1)
    };
    assert_eq!(why(short, &line(1_000)), WhyUnfinished::NightTooShort);
    let all_night = Taken {
        from: Seconds(0),
        to: Seconds(28 * HOUR),
        flow: MlPerSecond(1),
    };
    assert_eq!(
        why(
            court(1),
            &Line {
                taken: vec![all_night],
                ..line(1_000)
            }
        ),
        WhyUnfinished::LineTaken
    );

    let many: Vec<NightCourt> = (1..=12).map(court).collect();
    let night = night_cycles(&many, &line(1_000)).unwrap();
    assert!(
        night
            .unfinished
            .iter()
            .all(|one| one.why == WhyUnfinished::NoRoomBesideOthers)
    );
    assert_eq!(night.cycles.len() + 3 * night.unfinished.len(), 36);
    // 28 quarters of an hour are room for nine courts of three cycles.
    assert_eq!(night.unfinished.len(), 3);
}

#[test]
fn a_court_watered_from_below_or_by_hand_has_no_cycles() {
    let kinds = [WateringKind::Subsurface, WateringKind::ByHand];
    let courts = [1, 2].map(|number| NightCourt {
        kind: kinds[usize::from(number == 2)],
        ..court(number)
    });
    let night = night_cycles(&courts, &line(1_000)).unwrap();
    assert_eq!(
        night,
        NightWatering {
            without_cycles: vec![1, 2],
            ..Default::default()
        }
    );
}

#[test]
fn a_senseless_night_is_refused() {
    let of = |court| night_cycles(&[court], &line(1_000));
    assert_eq!(
        of(NightCourt {
            run: Seconds(0),
            ..court(1)
        }),
        Err(WateringError::NoRun)
    );
    assert_eq!(
        of(NightCourt {
            flow: MlPerSecond(0),
            ..court(1)
        }),
        Err(WateringError::NoFlow)
    );
    assert_eq!(
        of(NightCourt {
            pause: Seconds(-1),
            ..court(1)
        }),
        Err(WateringError::Negative)
    );
    let twice = night_cycles(&[court(1), court(1)], &line(1_000));
    assert_eq!(twice, Err(WateringError::SameCourtTwice(1)));
}

#[test]
fn the_ends_of_the_numbers_do_not_panic() {
    let endless = NightCourt {
        cycles: u8::MAX,
        pause: Seconds(i64::MAX),
        not_before: Seconds(i64::MIN),
        ready_before: Seconds(i64::MAX),
        ..court(1)
    };
    assert_eq!(
        night_cycles(&[endless], &line(i64::MAX))
            .unwrap()
            .unfinished
            .len(),
        1
    );
}

fn any_court(number: i64) -> impl Strategy<Value = NightCourt> {
    (
        1_i64..1_500,
        0_u8..4,
        60_i64..2_000,
        0_i64..3_000,
        0_i64..5_000,
        5_000_i64..25_000,
    )
        .prop_map(
            move |(flow, cycles, run, pause, not_before, ready_before)| NightCourt {
                court: number,
                kind: WateringKind::Sprinklers,
                flow: MlPerSecond(flow),
                cycles,
                run: Seconds(run),
                pause: Seconds(pause),
                not_before: Seconds(not_before),
                ready_before: Seconds(ready_before),
            },
        )
}

fn any_taken() -> impl Strategy<Value = Taken> {
    (0_i64..20_000, 0_i64..5_000, 0_i64..1_500).prop_map(|(from, length, flow)| Taken {
        from: Seconds(from),
        to: Seconds(from + length),
        flow: MlPerSecond(flow),
    })
}

proptest! {
    #[test]
    fn a_night_never_exceeds_the_line_and_keeps_every_court_s_hours_and_pauses(
        courts in (1_usize..9).prop_flat_map(|n| (1_i64..).take(n).map(any_court).collect::<Vec<_>>()),
        taken in prop::collection::vec(any_taken(), 0..5),
        capacity in 0_i64..3_000,
    ) {
        let line = Line { capacity: MlPerSecond(capacity), taken };
        let night = night_cycles(&courts, &line).unwrap();
        prop_assert_eq!(&night, &night_cycles(&courts, &line).unwrap());

        for cycle in &night.cycles {
            let beside: i64 = night.cycles.iter()
                .filter(|other| other.from <= cycle.from && cycle.from < other.to)
                .map(|other| other.flow.0)
                .sum();
            // The load rises where a cycle starts and where something taken starts.
            let taken_at = |at: Seconds| -> i64 {
                line.taken.iter().filter(|t| t.from <= at && at < t.to).map(|t| t.flow.0).sum()
            };
            prop_assert!(beside + taken_at(cycle.from) <= capacity);
            for rise in line.taken.iter().filter(|t| t.from < t.to && cycle.from <= t.from && t.from < cycle.to) {
                let running: i64 = night.cycles.iter()
                    .filter(|other| other.from <= rise.from && rise.from < other.to)
                    .map(|other| other.flow.0)
                    .sum();
                prop_assert!(running + taken_at(rise.from) <= capacity);
            }
        }
        for court in &courts {
            let own: Vec<&Cycle> = night.cycles.iter().filter(|cycle| cycle.court == court.court).collect();
            if night.unfinished.iter().any(|one| one.court == court.court) {
                prop_assert!(own.is_empty());
                continue;
            }
            prop_assert_eq!(own.len(), usize::from(court.cycles));
            prop_assert!(own.iter().all(|cycle| cycle.from >= court.not_before && cycle.to <= court.ready_before));
            prop_assert!(own.iter().all(|cycle| cycle.to.0 - cycle.from.0 == court.run.0));
            prop_assert!(own.windows(2).all(|pair| pair[1].from.0 - pair[0].to.0 >= court.pause.0));
        }
    }
}
