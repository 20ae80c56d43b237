//! Statements about the work, each on a day small enough to check by hand.

use super::builder::*;
use crate::money::Total;
use crate::plan::{Reason, Unserved};
use crate::problem::Prefer;

fn cents(cents: i64) -> Total {
    Total::from_hundredths(cents * 100)
}

#[test]
fn a_round_costs_its_travel_and_its_work() {
    let mut p = day(3, 60);
    p.crews = vec![crew("one")];
    p.visits = vec![visit("a", 1), visit("b", 2)];
    let plan = planned(&p);
    assert_eq!(plan.cost.travel, cents(240)); // out to place 2 and back, in either order
    assert_eq!(plan.cost.service, cents(1200));
    assert_eq!(plan.cost.total, cents(1440));
    assert!(plan.lower_bound <= plan.cost.total);
}

#[test]
fn work_starts_as_early_and_the_crew_leaves_as_late_as_it_can() {
    let mut p = day(2, 60);
    p.crews = vec![crew("one")];
    p.visits = vec![visit("a", 1)];
    p.visits[0].window = [3000, 9000];
    let plan = planned(&p);
    let (_, a) = stop(&plan, "a");
    assert_eq!((a.arrive_s, a.start_s, a.end_s), (3000, 3000, 3600));
    assert_eq!(
        (plan.rounds[0].leave_s, plan.rounds[0].return_s),
        (2940, 3660)
    );
}

#[test]
fn a_court_in_play_is_never_visited() {
    let mut p = day(2, 60);
    p.crews = vec![crew("one")];
    p.visits = vec![visit("roll", 1), visit("topdress", 1)];
    for v in &mut p.visits {
        // Play from 2000 to 5000 and from 5700 on.
        v.ways = [[1000, 2000], [5000, 5700]]
            .map(|w| crate::problem::Way {
                window: Some(w),
                ..way(&[], 600, 0)
            })
            .into();
    }
    let plan = planned(&p);
    let mut starts = [
        stop(&plan, "roll").1.start_s,
        stop(&plan, "topdress").1.start_s,
    ];
    starts.sort_unstable();
    assert_eq!(starts, [1060, 5000]);
}

#[test]
fn a_short_turnaround_is_chosen_when_the_full_one_does_not_fit() {
    let mut p = day(2, 60);
    p.crews = vec![crew("one")];
    p.visits = vec![visit("a", 1)];
    p.visits[0].ways = vec![way(&[], 900, 0), way(&[], 400, 600)];
    p.visits[0].window = [2000, 2900];
    assert_eq!(stop(&planned(&p), "a").1.way, 0);
    p.visits[0].window = [2000, 2899];
    let plan = planned(&p);
    assert_eq!(stop(&plan, "a").1.way, 1);
    assert_eq!(plan.cost.ways, cents(600));
}

#[test]
fn two_crews_never_share_the_only_scarifier() {
    let mut p = day(2, 60);
    p.tools = vec![tool("scarifier", 1)];
    p.crews = vec![crew("one"), crew("two")];
    p.visits = vec![visit("a", 1), visit("b", 0)];
    for v in &mut p.visits {
        v.ways = vec![way(&["scarifier"], 600, 0)];
        v.window = [1060, 1700];
    }
    // Only both crews at once could do both.
    let plan = planned(&p);
    assert_eq!(plan.rounds.len(), 1);
    assert_eq!(plan.unserved.len(), 1);
    assert_eq!(plan.unserved[0].reason, Reason::NoTimeLeft);
    p.tools[0].count = 2;
    assert_eq!(planned(&p).rounds.len(), 2);
}

#[test]
fn tools_change_hands_when_the_kit_hours_end() {
    let mut p = day(2, 60);
    p.tools = vec![tool("scarifier", 1)];
    p.crews = vec![crew("early"), crew("late")];
    p.crews[0].kit_hours = Some([1000, 3000]);
    p.crews[1].kit_hours = Some([3000, 10_000]);
    p.visits = vec![visit("a", 1), visit("b", 1)];
    for (v, window) in p.visits.iter_mut().zip([[1000, 2000], [2500, 3600]]) {
        v.ways = vec![way(&["scarifier"], 600, 0)];
        v.window = window;
    }
    let plan = planned(&p);
    assert_eq!(stop(&plan, "a").0, "early");
    let (crew, b) = stop(&plan, "b");
    assert_eq!((crew, b.start_s), ("late", 3000)); // not before the tools are there
}

#[test]
fn a_break_is_never_split_and_never_shortened_by_work_or_travel() {
    let mut p = day(2, 300);
    p.crews = vec![crew("one")];
    p.crews[0].breaks = vec![rest(600, 1100, 1200)];
    p.visits = vec![visit("a", 1)];
    let plan = planned(&p);
    let round = &plan.rounds[0];
    // The break cannot wait for the arrival at 1300, so the crew leaves after it.
    assert_eq!(
        (round.breaks[0].start_s, round.breaks[0].end_s),
        (1100, 1700)
    );
    assert_eq!((round.leave_s, round.stops[0].start_s), (1700, 2000));
}

#[test]
fn a_break_is_taken_on_arrival_where_that_saves_waiting() {
    let mut p = day(2, 300);
    p.crews = vec![crew("one")];
    p.crews[0].breaks = vec![rest(600, 1300, 1400)];
    p.visits = vec![visit("a", 1)];
    p.visits[0].window = [1000, 2500];
    let plan = planned(&p);
    assert_eq!(
        (plan.rounds[0].breaks[0].start_s, stop(&plan, "a").1.start_s),
        (1300, 1900)
    );
}

#[test]
fn a_break_that_runs_into_overtime_is_part_of_the_round() {
    let mut p = day(2, 60);
    p.crews = vec![crew("one")];
    p.crews[0].overtime_until = 12_000;
    p.crews[0].breaks = vec![rest(600, 9500, 10_000)];
    p.visits = vec![visit("a", 1)];
    p.visits[0].window = [9100, 20_000];
    // Work until 9700, home at 9760, the break until 10,360: 360 s at half a cent. Taking the break first
    // would mean work until 10,700.
    let plan = planned(&p);
    assert_eq!(stop(&plan, "a").1.start_s, 9100);
    assert_eq!(plan.rounds[0].return_s, 10_360);
    assert_eq!(plan.cost.overtime, cents(180));
}

#[test]
fn water_never_exceeds_the_line() {
    let mut p = day(3, 60);
    p.water = vec![line("north", 900)];
    p.crews = vec![crew("one"), crew("two")];
    p.visits = vec![visit("a", 1), visit("b", 2)];
    for v in &mut p.visits {
        v.window = [1000, 1800];
        v.water = Some(watering("north", 500, 3000));
    }
    let plan = planned(&p);
    let [first, second] = plan.watering.as_slice() else {
        panic!("two waterings: {:?}", plan.watering)
    };
    assert!(
        second.start_s >= first.end_s,
        "500 ml/s twice is more than 900"
    );
    p.water[0].capacity_mlps = 1000;
    let plan = planned(&p);
    assert!(plan.watering[1].start_s < plan.watering[0].end_s);
}

#[test]
fn water_given_away_is_not_there() {
    let mut p = day(2, 60);
    p.water = vec![line("north", 900)];
    p.water[0].taken = Some(vec![crate::problem::Taken {
        from: 1500,
        to: 2400,
        flow_mlps: 450,
    }]);
    p.crews = vec![crew("one")];
    p.visits = vec![visit("a", 1)];
    p.visits[0].water = Some(watering("north", 500, 5000));
    assert_eq!(planned(&p).watering[0].start_s, 2400);
}

#[test]
fn a_watered_court_is_left_alone_until_it_is_ready() {
    let mut p = day(2, 60);
    p.water = vec![line("north", 900)];
    p.crews = vec![crew("one")];
    p.visits = vec![visit("groom", 1), visit("net", 1)];
    p.visits[0].window = [1000, 2000];
    p.visits[0].water = Some(watering("north", 500, 4000));
    p.visits[1].window = [1700, 9000];
    let plan = planned(&p);
    let (net, watering) = (stop(&plan, "net").1, &plan.watering[0]);
    assert!(net.start_s >= 4000 || net.end_s <= watering.start_s);
    // At an open place nobody has to wait.
    p.open_places = Some(vec![1]);
    let plan = planned(&p);
    assert_eq!(
        (stop(&plan, "net").1.start_s, plan.watering[0].start_s),
        (1700, 1660)
    );
}

#[test]
fn one_crew_at_a_time_works_on_a_court() {
    let mut p = day(2, 60);
    p.crews = vec![crew("one"), crew("two")];
    p.visits = vec![visit("a", 1), visit("b", 1)];
    for (v, c) in p.visits.iter_mut().zip(["one", "two"]) {
        v.pinned = Some(pin(c, None));
    }
    let plan = planned(&p);
    let (a, b) = (stop(&plan, "a").1, stop(&plan, "b").1);
    assert_eq!(
        [a.start_s.min(b.start_s), a.start_s.max(b.start_s)],
        [1060, 1660]
    );
}

#[test]
fn a_visit_waits_for_another_crew_to_finish() {
    let mut p = day(3, 60);
    p.crews = vec![crew("one"), crew("two")];
    p.visits = vec![visit("scarify", 1), visit("groom", 2)];
    p.visits[0].pinned = Some(pin("one", Some(2000)));
    p.visits[1].pinned = Some(pin("two", None));
    p.visits[1].after = vec!["scarify".to_owned()];
    assert_eq!(stop(&planned(&p), "groom").1.start_s, 2600);
}

#[test]
fn a_pin_is_never_left_out_to_save_money() {
    let mut p = day(2, 60);
    p.crews = vec![crew("one"), crew("two")];
    p.visits = vec![visit("a", 1)];
    p.visits[0].skip_cost = 0;
    p.visits[0].prefer = Some(Prefer {
        crew: "one".to_owned(),
        change_cost: 900,
    });
    assert!(planned(&p).rounds.is_empty());
    p.visits[0].pinned = Some(pin("two", None));
    let plan = planned(&p);
    assert_eq!(stop(&plan, "a").0, "two");
    assert_eq!(plan.cost.change, cents(900));
}

#[test]
fn the_preferred_crew_does_it_unless_that_is_dearer() {
    let mut p = day(4, 60);
    p.crews = vec![crew("one"), crew("two")];
    p.crews[1].start_place = 3;
    p.crews[1].end_place = 3;
    p.visits = vec![visit("a", 1)];
    p.visits[0].prefer = Some(Prefer {
        crew: "two".to_owned(),
        change_cost: 119,
    });
    assert_eq!(stop(&planned(&p), "a").0, "one"); // 120 s of travel less
    p.visits[0].prefer = Some(Prefer {
        crew: "two".to_owned(),
        change_cost: 121,
    });
    assert_eq!(stop(&planned(&p), "a").0, "two");
}

#[test]
fn late_work_costs_by_the_second_after_its_aim() {
    let mut p = day(2, 60);
    p.crews = vec![crew("one")];
    p.visits = vec![visit("a", 1)];
    p.visits[0].aim_end = 1600;
    p.visits[0].late_cost_per_h = 7200;
    assert_eq!(planned(&p).cost.late, cents(120)); // from 1600 to 1660 at two cents
}

#[test]
fn work_above_the_fair_share_goes_to_the_other_crew() {
    let mut p = day(2, 60);
    p.crews = vec![crew("one"), crew("two")];
    for c in &mut p.crews {
        c.fair_load_s = Some(800);
        c.over_load_cost_per_h = Some(3600);
    }
    p.visits = vec![visit("a", 1), visit("b", 1)];
    // Together 1320 s, 520 over; apart 720 s each, and 120 cents more of travel.
    let plan = planned(&p);
    assert_eq!((plan.rounds.len(), plan.cost.balance), (2, cents(0)));
    p.crews[0].over_load_cost_per_h = Some(600);
    let plan = planned(&p);
    assert_eq!(
        (plan.rounds.len(), plan.cost.balance),
        (1, Total::from_hundredths(8667))
    );
}

#[test]
fn a_load_is_never_too_heavy() {
    let mut p = day(2, 60);
    p.crews = vec![crew("one"), crew("two")];
    p.visits = vec![visit("a", 1), visit("b", 1)];
    for v in &mut p.visits {
        v.load_g = 501;
    }
    assert_eq!(planned(&p).rounds.len(), 2);
    p.visits[0].load_g = 1001;
    let plan = planned(&p);
    assert_eq!(
        plan.unserved,
        [Unserved {
            visit: "a".to_owned(),
            reason: Reason::NoTimeLeft
        }]
    );
}

#[test]
fn what_a_crew_reaches_in_time_by_a_detour_alone_is_made() {
    let mut p = day(3, 100);
    p.travel_s[0][2] = 9000; // but over place 1 it takes 200
    let mut other = crew("other");
    (other.start_place, other.cost_per_h) = (2, 36_000);
    p.crews = vec![crew("one"), other];
    p.visits = vec![visit("a", 1), visit("b", 2)];
    p.visits[1].window = [1000, 2500];
    let plan = planned(&p);
    assert!(plan.unserved.is_empty());
    assert_eq!(
        plan.rounds.len(),
        1,
        "not by the crew that costs ten times as much"
    );
}

#[test]
fn a_detour_shorter_than_the_straight_way_does_no_harm() {
    let mut p = day(4, 100);
    p.travel_s[1][3] = 9000; // but over place 2 it takes 200
    p.crews = vec![crew("one")];
    p.visits = vec![visit("a", 1), visit("b", 2), visit("c", 3)];
    for (v, w) in p
        .visits
        .iter_mut()
        .zip([[1000, 2000], [1000, 3000], [2500, 3500]])
    {
        v.window = w;
    }
    for seed in 0..20 {
        assert!(planned_with(&p, seed, 50).unserved.is_empty());
    }
}

/// The visit that opens late fits at one instant with the one that waits for it, on either side of it.
#[test]
fn work_that_takes_no_time_is_not_made_before_what_it_waits_for() {
    let mut p = day(3, 1);
    p.travel_s = vec![vec![0, 2, 0], vec![2, 0, 0], vec![2, 5, 0]];
    let mut one = crew("one");
    (one.shift, one.overtime_until, one.end_place) = ([25, 65], 85, 1);
    (one.cost_per_h, one.overtime_pct) = (5000, 100);
    p.crews.push(one);
    for (id, place, window, dur, skip_cost) in [
        ("a", 0, [46, 68], 8, 0),
        ("b", 2, [41, 61], 0, 5),
        ("c", 2, [31, 61], 7, 50),
        ("d", 1, [58, 71], 1, 50),
        ("e", 1, [17, 50], 0, 20),
    ] {
        let mut v = visit(id, place);
        (v.window, v.skip_cost, v.ways) = (window, skip_cost, vec![way(&[], dur, 0)]);
        p.visits.push(v);
    }
    p.visits[0].pinned = Some(pin("one", None));
    p.visits[3].pinned = Some(pin("one", Some(62)));
    p.visits[4].after.push("b".to_owned());
    let mut longer = way(&[], 2, 5);
    longer.window = Some([33, 67]);
    p.visits[1].ways.push(longer);
    for (i, aim_end, late_cost_per_h) in [
        (0, 83, 7200),
        (1, 65, 7200),
        (2, 91, 1000),
        (3, 27, 7200),
        (4, 11, 1000),
    ] {
        let v = &mut p.visits[i];
        (v.aim_end, v.late_cost_per_h) = (aim_end, late_cost_per_h);
    }
    for seed in 0..20 {
        planned_with(&p, seed, 0);
    }
}
