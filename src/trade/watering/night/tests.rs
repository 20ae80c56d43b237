use proptest::prelude::*;

use super::*;

const HOUR: i64 = 3_600;

/// Three cycles of 15 minutes with an hour's pause, between ten in the evening and five in the morning.
fn valve(valve: i64) -> NightValve {
    NightValve {
        valve,
        flow: MlPerSecond(1_000),
        cycles: 3,
        run: Seconds(900),
        pause: Seconds(HOUR),
        not_before: Seconds(22 * HOUR),
        ready_before: Seconds(29 * HOUR),
        busy: Vec::new(),
    }
}

fn line(capacity: i64) -> Line {
    Line {
        capacity: MlPerSecond(capacity),
        ..Line::default()
    }
}

fn starts(night: &NightWatering, valve: i64) -> Vec<i64> {
    night
        .cycles
        .iter()
        .filter(|cycle| cycle.valve == valve)
        .map(|cycle| cycle.from.0)
        .collect()
}

#[test]
fn a_court_alone_gets_its_cycles_as_early_as_its_pauses_allow() {
    let night = night_cycles(&[valve(1)], &line(1_000)).unwrap();
    assert_eq!(starts(&night, 1), [79_200, 83_700, 88_200]);
    assert_eq!(night.cycles[0].volume, Millilitres(900_000));
    assert!(night.unfinished.is_empty());
}

#[test]
fn courts_take_turns_on_a_line_that_carries_one() {
    let valves: Vec<NightValve> = (1..=5).map(valve).collect();
    let night = night_cycles(&valves, &line(1_000)).unwrap();
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
        &[valve(1)],
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
        |valve: NightValve, line: &Line| night_cycles(&[valve], line).unwrap().unfinished[0].why;
    assert_eq!(why(valve(1), &line(999)), WhyUnfinished::FlowOverLine);
    let short = NightValve {
        ready_before: Seconds(24 * HOUR),
        ..valve(1)
    };
    assert_eq!(why(short, &line(1_000)), WhyUnfinished::NightTooShort);
    let all_night = Taken {
        from: Seconds(0),
        to: Seconds(28 * HOUR),
        flow: MlPerSecond(1),
    };
    assert_eq!(
        why(
            valve(1),
            &Line {
                taken: vec![all_night],
                ..line(1_000)
            }
        ),
        WhyUnfinished::LineTaken
    );

    let many: Vec<NightValve> = (1..=12).map(valve).collect();
    let night = night_cycles(&many, &line(1_000)).unwrap();
    assert!(
        night
            .unfinished
            .iter()
            .all(|one| one.why == WhyUnfinished::NoRoomBesideOthers)
    );
    // 28 quarters of an hour are room for nine valves of three cycles, and one cycle of a tenth.
    assert_eq!(night.cycles.len(), 28);
    let short: Vec<_> = night
        .unfinished
        .iter()
        .map(|one| (one.laid, one.short.0))
        .collect();
    assert_eq!(short, [(1, 1_800_000), (0, 2_700_000), (0, 2_700_000)]);
}

#[test]
fn a_senseless_night_is_refused() {
    let of = |valve| night_cycles(&[valve], &line(1_000));
    assert_eq!(
        of(NightValve {
            run: Seconds(0),
            ..valve(1)
        }),
        Err(WateringError::NoRun)
    );
    assert_eq!(
        of(NightValve {
            flow: MlPerSecond(0),
            ..valve(1)
        }),
        Err(WateringError::NoFlow)
    );
    assert_eq!(
        of(NightValve {
            pause: Seconds(-1),
            ..valve(1)
        }),
        Err(WateringError::Negative)
    );
    let twice = night_cycles(&[valve(1), valve(1)], &line(1_000));
    assert_eq!(twice, Err(WateringError::SameValveTwice(1)));
}

#[test]
fn the_ends_of_the_numbers_do_not_panic() {
    let endless = NightValve {
        cycles: u8::MAX,
        pause: Seconds(i64::MAX),
        not_before: Seconds(i64::MIN),
        ready_before: Seconds(i64::MAX),
        ..valve(1)
    };
    assert_eq!(
        night_cycles(&[endless], &line(i64::MAX))
            .unwrap()
            .unfinished
            .len(),
        1
    );
}

fn at(hour: i64) -> Seconds {
    Seconds(hour * HOUR)
}

#[test]
fn a_valve_waits_until_all_its_courts_are_free_and_the_line_may_run() {
    let of = |valve: NightValve, line: &Line| starts(&night_cycles(&[valve], line).unwrap(), 1)[0];
    let in_play = NightValve {
        busy: vec![[at(21), at(23)]],
        ..valve(1)
    };
    assert_eq!(of(in_play, &line(1_000)), 23 * HOUR);
    let closed = Line {
        closed: vec![[at(22), at(24)]],
        ..line(1_000)
    };
    assert_eq!(of(valve(1), &closed), 24 * HOUR);
}

#[test]
fn a_days_allowance_goes_to_the_first_runs_and_the_rest_waits_for_the_next_day() {
    let tonight = Budget {
        from: at(0),
        to: at(24),
        left: Millilitres(900_000),
    };
    let rationed = Line {
        budgets: vec![tonight],
        ..line(1_000)
    };
    let night = night_cycles(&[valve(1)], &rationed).unwrap();
    assert_eq!(starts(&night, 1), [22 * HOUR, 24 * HOUR, 25 * HOUR + 900]);
    let both_days = Line {
        budgets: vec![
            tonight,
            Budget {
                from: at(24),
                to: at(48),
                left: Millilitres(1_000_000),
            },
        ],
        ..line(1_000)
    };
    let night = night_cycles(&[valve(1)], &both_days).unwrap();
    assert_eq!(
        night.unfinished,
        [Unfinished {
            valve: 1,
            why: WhyUnfinished::OverAllowance,
            laid: 2,
            short: Millilitres(900_000),
        }]
    );
}

#[test]
fn a_run_that_did_not_come_is_laid_again_while_the_court_can_still_drain() {
    let now = NightValve {
        not_before: at(27),
        ..valve(1)
    };
    let again = again_before_play(&now, &line(1_000)).unwrap().unwrap();
    assert_eq!((again.from, again.to), (at(27), Seconds(27 * HOUR + 900)));
    let late = NightValve {
        not_before: Seconds(29 * HOUR - 899),
        ..valve(1)
    };
    assert_eq!(again_before_play(&late, &line(1_000)), Ok(None));
}

fn any_stretches(most: usize) -> impl Strategy<Value = Vec<Stretch>> {
    let one = (0_i64..20_000, 0_i64..4_000);
    prop::collection::vec(
        one.prop_map(|(from, length)| [Seconds(from), Seconds(from + length)]),
        0..most,
    )
}

fn any_valve(number: i64) -> impl Strategy<Value = NightValve> {
    (
        1_i64..1_500,
        0_u8..4,
        60_i64..2_000,
        0_i64..3_000,
        0_i64..5_000,
        5_000_i64..25_000,
        any_stretches(3),
    )
        .prop_map(
            move |(flow, cycles, run, pause, not_before, ready_before, busy)| NightValve {
                valve: number,
                flow: MlPerSecond(flow),
                cycles,
                run: Seconds(run),
                pause: Seconds(pause),
                not_before: Seconds(not_before),
                ready_before: Seconds(ready_before),
                busy,
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

fn any_line() -> impl Strategy<Value = Line> {
    (
        0_i64..3_000,
        prop::collection::vec(any_taken(), 0..5),
        any_stretches(3),
        prop::collection::vec((0_i64..15_000, 0_i64..10_000, 0_i64..5_000_000), 0..3),
    )
        .prop_map(|(capacity, taken, closed, budgets)| Line {
            capacity: MlPerSecond(capacity),
            taken,
            closed,
            budgets: budgets
                .into_iter()
                .map(|(from, length, left)| Budget {
                    from: Seconds(from),
                    to: Seconds(from + length),
                    left: Millilitres(left),
                })
                .collect(),
        })
}

fn overlap(cycle: &Cycle, span: &Stretch) -> bool {
    span[0] < span[1] && span[0] < cycle.to && cycle.from < span[1]
}

proptest! {
    #[test]
    fn a_night_never_exceeds_the_line_or_the_rules_and_keeps_every_valve_s_hours_and_pauses(
        valves in (1_usize..9).prop_flat_map(|n| (1_i64..).take(n).map(any_valve).collect::<Vec<_>>()),
        line in any_line(),
    ) {
        let night = night_cycles(&valves, &line).unwrap();
        prop_assert_eq!(&night, &night_cycles(&valves, &line).unwrap());
        let capacity = line.capacity.0;

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
            prop_assert!(!line.closed.iter().any(|span| overlap(cycle, span)));
        }
        for budget in &line.budgets {
            let used: i64 = night.cycles.iter()
                .filter(|cycle| budget.from <= cycle.from && cycle.from < budget.to)
                .map(|cycle| cycle.volume.0)
                .sum();
            prop_assert!(used <= budget.left.0);
        }
        for valve in &valves {
            let own: Vec<&Cycle> = night.cycles.iter().filter(|cycle| cycle.valve == valve.valve).collect();
            let one = valve.flow.0 * valve.run.0;
            let missing = i64::from(valve.cycles) - i64::try_from(own.len()).unwrap();
            let left = night.unfinished.iter().find(|one| one.valve == valve.valve);
            prop_assert_eq!(left.map_or(0, |left| left.short.0), missing * one);
            prop_assert!(own.iter().all(|cycle| cycle.from >= valve.not_before && cycle.to <= valve.ready_before));
            prop_assert!(own.iter().all(|cycle| cycle.to.0 - cycle.from.0 == valve.run.0));
            prop_assert!(own.iter().all(|cycle| !valve.busy.iter().any(|span| overlap(cycle, span))));
            prop_assert!(own.windows(2).all(|pair| pair[1].from.0 - pair[0].to.0 >= valve.pause.0));
        }
    }
}

#[test]
fn a_run_as_late_as_can_be_ends_where_something_begins_that_keeps_it() {
    let one = NightValve {
        cycles: 1,
        ..valve(1)
    };
    let start = |one: &NightValve, line: &Line| latest_run(one, line).unwrap().map(|c| c.from.0);
    assert_eq!(start(&one, &line(1_000)), Ok(29 * HOUR - 900));
    let busy = NightValve {
        busy: vec![[Seconds(28 * HOUR), Seconds(30 * HOUR)]],
        ..one.clone()
    };
    assert_eq!(start(&busy, &line(1_000)), Ok(28 * HOUR - 900));
    let taken = Line {
        taken: vec![Taken {
            from: Seconds(23 * HOUR),
            to: Seconds(29 * HOUR),
            flow: MlPerSecond(1),
        }],
        ..line(1_000)
    };
    assert_eq!(start(&one, &taken), Ok(23 * HOUR - 900));
    let shut = Line {
        closed: vec![[Seconds(0), Seconds(30 * HOUR)]],
        ..line(1_000)
    };
    assert_eq!(start(&one, &shut), Err(WhyUnfinished::LineTaken));
    let short = NightValve {
        ready_before: Seconds(22 * HOUR + 899),
        ..one
    };
    assert_eq!(
        start(&short, &line(1_000)),
        Err(WhyUnfinished::NightTooShort)
    );
}

proptest! {
    /// Where a run fits at all, it fits as late as it can; and no earlier than the earliest.
    #[test]
    fn the_latest_run_is_found_exactly_where_the_earliest_is(
        spans in prop::collection::vec((0_i64..30_000, 0_i64..6_000, 1_i64..3), 0..6),
        run in 1_i64..5_000,
        room in 1_i64..30_000,
    ) {
        let one = NightValve {
            cycles: 1,
            run: Seconds(run),
            not_before: Seconds(0),
            ready_before: Seconds(room),
            flow: MlPerSecond(2),
            ..valve(1)
        };
        let line = Line {
            taken: spans
                .iter()
                .map(|(from, length, flow)| Taken {
                    from: Seconds(*from),
                    to: Seconds(from + length),
                    flow: MlPerSecond(*flow),
                })
                .collect(),
            ..line(3)
        };
        let earliest = again_before_play(&one, &line).unwrap();
        let latest = latest_run(&one, &line).unwrap().ok();
        prop_assert_eq!(earliest.is_some(), latest.is_some());
        if let Some((earliest, latest)) = earliest.zip(latest) {
            prop_assert!(earliest.from <= latest.from && latest.to.0 <= room);
            // It does fit there: so asked for, it is laid nowhere else.
            let there = NightValve {
                not_before: latest.from,
                ready_before: latest.to,
                ..one
            };
            prop_assert_eq!(again_before_play(&there, &line).unwrap(), Some(latest));
        }
    }
}
