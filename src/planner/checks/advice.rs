//! Statements about what would help, each on a day small enough to check by hand.

use super::builder::*;
use super::properties::random_day;
use crate::advice::{Advice, Limits, Missing, More, Thing, advise};
use crate::money::Total;
use crate::plan::Reason;
use crate::problem::Problem;

const LIMITS: Limits = Limits {
    seed: 1,
    steps: 60,
    threads: 2,
    windows: 9,
};

fn advice(p: &Problem) -> Advice {
    advise(&checked(p), &planned(p), &LIMITS, &|| true)
}

fn help(advice: &Advice, thing: &Thing) -> Option<(Total, Vec<String>)> {
    let of = advice.helps.iter().find(|h| h.more.thing == *thing);
    of.map(|h| (h.saves, h.brings.clone()))
}

fn binds(advice: &Advice, visit: &str) -> Vec<String> {
    let of = advice.unserved.iter().find(|m| m.visit == visit);
    let binds = &of.expect("left out").binds;
    binds.iter().map(More::to_string).collect()
}

fn cents(cents: i64) -> Total {
    Total::from_hundredths(cents * 100)
}

/// Two crews and two visits at one hour, both with the only roller; the second costs 5000 to leave out.
fn one_roller() -> Problem {
    let mut p = day(3, 60);
    p.tools = vec![tool("roller", 1), tool("broom", 5)];
    p.crews = vec![crew("one"), crew("two")];
    p.visits = vec![visit("a", 1), visit("b", 1), visit("c", 2)];
    for v in &mut p.visits[..2] {
        v.ways = vec![way(&["roller"], 600, 0)];
        v.window = [2000, 2700];
    }
    p.visits[0].place = 2;
    p.visits[2].ways = vec![way(&["broom"], 600, 0)];
    p
}

#[test]
fn one_more_roller_brings_in_the_court_that_waits_for_it() {
    let advice = advice(&one_roller());
    let out = advice.unserved[0].visit.clone();
    assert!(["a", "b"].contains(&out.as_str()));
    let (saves, brings) = help(&advice, &Thing::Tool("roller".to_owned())).expect("it helps");
    assert!(saves > cents(3000) && saves < cents(5000), "{saves:?}");
    assert_eq!(brings, std::slice::from_ref(&out));
    assert!(binds(&advice, &out).contains(&"tool:roller+1".to_owned()));
    assert_eq!(help(&advice, &Thing::Tool("broom".to_owned())), None);
}

#[test]
fn a_longer_window_brings_in_the_court_that_is_a_quarter_of_an_hour_short() {
    let advice = advice(&one_roller());
    let out = advice.unserved[0].visit.clone();
    let (_, brings) = help(&advice, &Thing::Window(out.clone())).expect("it helps");
    assert_eq!(brings, std::slice::from_ref(&out));
    assert!(binds(&advice, &out).contains(&format!("window:{out}+900")));
}

#[test]
fn where_nothing_is_scarce_nothing_helps() {
    let mut p = day(3, 60);
    p.tools = vec![tool("roller", 3)];
    p.crews = vec![crew("one")];
    p.visits = vec![visit("a", 1), visit("b", 2)];
    p.visits[0].ways = vec![way(&["roller"], 600, 0)];
    assert_eq!(advice(&p), Advice::default());
}

#[test]
fn half_an_hour_of_overtime_brings_in_the_last_court() {
    let mut p = day(2, 60);
    p.crews = vec![crew("one")];
    p.crews[0].shift = [1000, 2000];
    p.crews[0].overtime_until = 2000;
    p.visits = vec![visit("a", 1), visit("b", 1)];
    let advice = advice(&p);
    let (saves, brings) =
        help(&advice, &Thing::Overtime(Some("one".to_owned()))).expect("it helps");
    // 600 for the work, and half as much again for the 320 seconds after the shift.
    assert_eq!(saves, cents(5000 - 600 - 160));
    assert_eq!(brings.len(), 1);
    assert!(binds(&advice, &brings[0]).contains(&"overtime+900".to_owned()));
}

#[test]
fn a_quarter_more_water_brings_in_the_second_watering() {
    let mut p = day(3, 60);
    p.crews = vec![crew("one"), crew("two")];
    p.water = vec![line("north", 800)];
    p.visits = vec![visit("a", 1), visit("b", 2)];
    for v in &mut p.visits {
        v.window = [2000, 2700];
        v.water = Some(watering("north", 900, 3700));
    }
    let advice = advice(&p);
    let (_, brings) = help(&advice, &Thing::Water("north".to_owned())).expect("it helps");
    assert_eq!(brings.len(), 1);
    assert!(binds(&advice, &brings[0]).contains(&"water:north+25".to_owned()));
}

#[test]
fn a_hand_more_is_paid_for() {
    let mut p = day(2, 0);
    p.crews = vec![crew("one")];
    p.visits = vec![visit("a", 1)];
    p.visits[0].ways[0].service_s = vec![600, 299];
    let hand = Thing::Hand(Some("one".to_owned()));
    // Two hands cost twice as much and take a second less than half the time.
    assert_eq!(help(&advice(&p), &hand), Some((cents(2), vec![])));
    p.visits[0].ways[0].service_s = vec![600, 300];
    assert_eq!(help(&advice(&p), &hand), None);
}

#[test]
fn a_hand_more_in_the_largest_and_dearest_crew_is_reckoned_whole() {
    let mut p = day(2, 0);
    p.crews = vec![crew("one")];
    p.crews[0].cost_per_h = 10_000_000;
    p.visits = vec![visit("a", 1)];
    let largest = (0..=12).rev().map(|zeros| 10_i64.pow(zeros));
    let largest = largest
        .map(|hands| hands - 1)
        .find(|&hands| {
            p.crews[0].hands = hands;
            p.clone().checked().is_ok()
        })
        .expect("some crew");
    p.visits[0].skip_cost = 10_000_000;
    p.visits[0].ways[0].min_hands = largest + 1;
    let (saves, brings) =
        help(&advice(&p), &Thing::Hand(Some("one".to_owned()))).expect("it helps");
    // All are paid for ten minutes, the hand no less than the others.
    let rate = 10_000_000 + (10_000_000 + p.crews[0].hands - 1) / p.crews[0].hands;
    assert_eq!(
        saves,
        Total::from_hundredths(1_000_000_000 - rate * 100 / 6)
    );
    assert_eq!(brings, ["a"]);
}

#[test]
fn what_is_left_out_says_what_binds_it() {
    let mut p = day(2, 60);
    p.crews = vec![crew("one")];
    p.visits = ["dear", "first", "then", "skilled", "heavy"]
        .map(|id| visit(id, 1))
        .into();
    p.visits[0].skip_cost = 100;
    p.visits[1].ways[0].min_hands = 2;
    p.visits[2].after = vec!["first".to_owned()];
    p.visits[3].ways[0].skills = vec!["lines".to_owned()];
    p.visits[4].load_g = 1001;
    let advice = advice(&p);
    // 600 for the work and 120 for the way.
    assert_eq!(binds(&advice, "dear"), ["skip_cost+621"]);
    assert_eq!(binds(&advice, "first"), ["hand+1"]);
    assert_eq!(binds(&advice, "then"), ["after:first+1"]);
    assert_eq!(binds(&advice, "skilled"), ["skill:lines+1"]);
    assert_eq!(binds(&advice, "heavy"), ["load+1000000"]);
    assert_eq!(advice.unserved[1].reason, Reason::NoCrewHasTheHands);
}

#[test]
fn advice_does_not_depend_on_the_threads_and_never_costs() {
    for seed in 0..40 {
        let p = random_day(seed, 3, 10);
        let plan = planned(&p);
        let with = |threads| {
            let limits = Limits { threads, ..LIMITS };
            advise(&checked(&p), &plan, &limits, &|| true)
        };
        let one = with(1);
        assert_eq!(one, with(3), "{seed}");
        assert!(
            one.helps.iter().all(|h| h.saves > Total::default()),
            "{seed}"
        );
        let saves: Vec<Total> = one.helps.iter().map(|h| h.saves).collect();
        assert!(saves.is_sorted_by(|a, b| a >= b), "{seed}");
        let named: Vec<&str> = one
            .unserved
            .iter()
            .map(|m: &Missing| m.visit.as_str())
            .collect();
        let out: Vec<&str> = plan.unserved.iter().map(|u| u.visit.as_str()).collect();
        assert_eq!(named, out, "{seed}");
    }
}

#[test]
fn who_is_told_to_stop_says_what_is_untried() {
    let p = one_roller();
    let advice = advise(&checked(&p), &planned(&p), &LIMITS, &|| false);
    assert!(advice.helps.is_empty());
    assert!(advice.untried > 1);
    assert_eq!(advice.unserved.len(), 1);
}
