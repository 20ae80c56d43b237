//! One reason for each visit left out, the first that holds.

use super::builder::*;
use crate::plan::Reason;
use crate::problem::{Problem, Way};

/// A day on which `a` is served, changed; and why `a` is then left out.
fn reason(change: impl FnOnce(&mut Problem)) -> Reason {
    let mut p = day(2, 60);
    p.tools = vec![tool("broom", 1), tool("rake", 0)];
    p.water = vec![line("north", 900)];
    p.crews = vec![crew("one")];
    p.visits = vec![visit("a", 1)];
    assert!(planned(&p).unserved.is_empty());
    change(&mut p);
    let plan = planned(&p);
    plan.unserved
        .iter()
        .find(|u| u.visit == "a")
        .expect("a is left out")
        .reason
}

fn skilled(way: Way) -> Way {
    Way {
        skills: vec!["roller".to_owned()],
        ..way
    }
}

#[test]
fn no_crew_has_the_skill() {
    let ways = vec![skilled(way(&[], 600, 0))];
    assert_eq!(
        reason(|p| p.visits[0].ways = ways),
        Reason::NoCrewHasTheSkill
    );
}

#[test]
fn no_crew_has_the_hands_though_another_way_needs_fewer() {
    let ways = vec![
        skilled(way(&[], 600, 0)),
        Way {
            min_hands: 2,
            ..way(&[], 600, 0)
        },
    ];
    assert_eq!(
        reason(|p| p.visits[0].ways = ways),
        Reason::NoCrewHasTheHands
    );
}

#[test]
fn there_is_no_such_tool_or_no_kit_holds_all() {
    assert_eq!(
        reason(|p| p.visits[0].ways = vec![way(&["rake"], 600, 0)]),
        Reason::NoSuchTool
    );
    let small_kit = |p: &mut Problem| {
        p.crews[0].kit_limit = 0;
        p.visits[0].ways = vec![way(&["broom"], 600, 0)];
    };
    assert_eq!(reason(small_kit), Reason::NoSuchTool);
    let given_kit = |p: &mut Problem| {
        p.crews[0].kit = Some(Vec::new());
        p.visits[0].ways = vec![way(&["broom"], 600, 0)];
    };
    assert_eq!(reason(given_kit), Reason::NoSuchTool);
}

#[test]
fn the_window_is_shorter_than_the_work() {
    assert_eq!(
        reason(|p| p.visits[0].window = [2000, 2599]),
        Reason::WindowShorterThanTheWork
    );
}

#[test]
fn no_crew_is_on_shift_in_the_window() {
    assert_eq!(
        reason(|p| p.visits[0].window = [0, 1659]),
        Reason::NoCrewOnShiftInWindow
    );
    assert_eq!(
        reason(|p| p.visits[0].window = [9341, 20_000]),
        Reason::NoCrewOnShiftInWindow
    );
}

#[test]
fn the_water_cannot_finish() {
    let early = |p: &mut Problem| p.visits[0].water = Some(watering("north", 500, 2159));
    assert_eq!(reason(early), Reason::WaterCannotFinish);
    let weak = |p: &mut Problem| {
        p.water[0].capacity_mlps = 499;
        p.visits[0].water = Some(watering("north", 500, 9000));
    };
    assert_eq!(reason(weak), Reason::WaterCannotFinish);
}

#[test]
fn a_visit_waits_for_one_that_is_left_out_along_a_whole_chain() {
    let chain = |p: &mut Problem| {
        p.visits.extend([visit("b", 1), visit("c", 1)]);
        p.visits[0].after = vec!["b".to_owned()];
        p.visits[1].after = vec!["c".to_owned()];
        p.visits[2].window = [0, 10];
    };
    assert_eq!(reason(chain), Reason::WaitsForAnUnservedVisit);
}

#[test]
fn there_is_no_time_left_beside_a_dearer_visit() {
    let rival = |p: &mut Problem| {
        p.visits.push(visit("b", 1));
        p.visits[1].skip_cost = 6000;
        for v in &mut p.visits {
            v.window = [2000, 3199];
        }
    };
    assert_eq!(reason(rival), Reason::NoTimeLeft);
}

#[test]
fn it_is_dearer_than_skipping_by_a_cent() {
    // 120 s of travel and 600 of work cost 720 cents.
    assert_eq!(
        reason(|p| p.visits[0].skip_cost = 719),
        Reason::DearerThanSkipping
    );
    let mut p = day(2, 60);
    p.crews = vec![crew("one")];
    p.visits = vec![visit("a", 1)];
    p.visits[0].skip_cost = 721;
    assert!(planned(&p).unserved.is_empty());
}

#[test]
fn work_done_for_a_later_visit_pays_though_it_alone_would_not() {
    let mut p = day(2, 60);
    p.crews = vec![crew("one")];
    p.visits = vec![visit("a", 1), visit("b", 1)];
    p.visits[0].skip_cost = 10;
    p.visits[1].after = vec!["a".to_owned()];
    assert!(planned(&p).unserved.is_empty());
}
