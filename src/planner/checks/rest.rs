//! Statements about the rest of a day, each on a day small enough to check by hand.

use super::builder::*;
use crate::Fault;
use crate::plan::Plan;
use crate::problem::{Prefer, Problem};
use crate::rest::{Became, Change, Happened, Move, News, Note, Rest, Stands, State, moves, replan};
use crate::{Control, Options, judge};

pub(super) fn at(at: i64) -> News {
    News {
        at,
        change_cost: 100,
        ..News::default()
    }
}

/// The rest of a day and its plan, which breaks no rule of it.
pub(super) fn rest(p: &Problem, plan: &Plan, news: &News) -> (Rest, Plan) {
    let options = Options {
        seed: 1,
        iterations: Some(200),
        ..Options::default()
    };
    let go_on = &mut |_: &_| Control::Continue { spent: 0.0 };
    let (rest, after) = replan(&checked(p), plan, news, &options, go_on).expect("sound news");
    assert_eq!(
        judge::violations(&rest.problem, &after),
        Vec::<String>::new()
    );
    (rest, after)
}

fn refused(p: &Problem, plan: &Plan, news: &News) -> Vec<String> {
    let faults = crate::rest::rest_of_day(&checked(p), plan, news).expect_err("a fault");
    faults.into_iter().map(|f: Fault| f.pointer).collect()
}

/// Two crews at place 0 of a line, a minute a place, and a visit at each of four places, at a fixed hour.
pub(super) fn four() -> (Problem, Plan) {
    let mut p = day(5, 60);
    p.crews = vec![crew("one"), crew("two")];
    for (i, (id, crew)) in [("a", "one"), ("b", "two"), ("c", "one"), ("d", "two")]
        .into_iter()
        .enumerate()
    {
        let i = i64::try_from(i).expect("small");
        let mut v = visit(id, i + 1);
        v.window = [2000 + 1000 * (i / 2), 9000];
        v.prefer = Some(Prefer {
            crew: crew.to_owned(),
            change_cost: 1000,
        });
        p.visits.push(v);
    }
    let plan = planned(&p);
    assert_eq!(stop(&plan, "a").0, "one");
    assert_eq!(stop(&plan, "c").1.start_s, 3000);
    (p, plan)
}

fn ids(rest: &Rest) -> Vec<&str> {
    let visits = rest.problem.problem().visits.iter();
    visits.map(|v| v.id.as_str()).collect()
}

#[test]
fn what_is_done_or_running_is_not_planned_again() {
    let (p, plan) = four();
    let (r, after) = rest(&p, &plan, &at(2300));
    assert_eq!(ids(&r), ["c", "d"]);
    let done: Vec<&str> = r.done.iter().map(|d| d.visit.as_str()).collect();
    assert_eq!(done, ["a", "b"]);
    let one = &r.problem.problem().crews[0];
    assert_eq!(
        (one.start_place, one.shift[0]),
        (1, 2600),
        "free when and where a ends"
    );
    assert_eq!(stop(&after, "c").1.start_s, 3000);
}

#[test]
fn without_news_everybody_goes_on_as_planned() {
    let (p, plan) = four();
    for moment in [0, 1000, 1950, 2000, 2001, 2600, 2700, 2999, 3000, 3600] {
        let (r, after) = rest(&p, &plan, &at(moment));
        let same = |m: &Move| m.became == Became::Kept { later_s: 0 };
        let moves = moves(&r, &after);
        assert!(moves.iter().all(same), "{moment}: {moves:?}");
        assert_eq!(moves.len(), ids(&r).len());
    }
}

#[test]
fn a_crew_under_way_arrives_before_it_goes_elsewhere() {
    let (p, plan) = four();
    // Crew one is called to c, at place 3, after a, at place 1: it leaves at 2600 and is there at 2720.
    let (r, _) = rest(&p, &plan, &at(2650));
    let one = &r.problem.problem().crews[0];
    assert_eq!((one.start_place, one.shift[0]), (3, 2720));
}

#[test]
fn nobody_works_in_the_rain() {
    let (p, plan) = four();
    let mut news = at(2700);
    news.changes = vec![Change::Rain {
        from: 2900,
        to: 5000,
        places: None,
    }];
    let (r, after) = rest(&p, &plan, &news);
    assert_eq!(stop(&after, "c").1.start_s, 5000);
    let c = &r.problem.problem().visits[0];
    assert_eq!(c.ways.len(), 1, "before the rain there is no time for it");
    news.changes = vec![Change::Rain {
        from: 4500,
        to: 5000,
        places: Some(vec![3]),
    }];
    let (r, after) = rest(&p, &plan, &news);
    let windows: Vec<_> = r.problem.problem().visits[0]
        .ways
        .iter()
        .map(|w| w.window)
        .collect();
    assert_eq!(windows, [Some([3000, 4500]), Some([5000, 9000])]);
    assert_eq!(r.ways[0], [0, 0], "both are the day's only way");
    assert_eq!(stop(&after, "c").1.start_s, 3000);
}

#[test]
fn a_crew_that_left_early_does_nothing_more() {
    let (p, plan) = four();
    let mut news = at(2300);
    news.changes = vec![Change::CrewGone {
        crew: "one".to_owned(),
        from: 2400,
    }];
    let (r, after) = rest(&p, &plan, &news);
    assert_eq!(stop(&after, "c").0, "two");
    assert!(r.notes.contains(&Note::CrewDone {
        crew: "one".to_owned()
    }));
    news.changes = vec![Change::CrewGone {
        crew: "one".to_owned(),
        from: 4000,
    }];
    let (_, after) = rest(&p, &plan, &news);
    assert_eq!(stop(&after, "c").0, "one", "until then it works on");
    assert!(
        after
            .rounds
            .iter()
            .all(|r| r.crew != "one" || r.return_s <= 4000)
    );
}

#[test]
fn a_pin_of_a_crew_that_has_gone_falls() {
    let (mut p, _) = four();
    p.visits[2].pinned = Some(pin("one", Some(3100)));
    let plan = planned(&p);
    let mut news = at(2300);
    news.changes = vec![Change::CrewGone {
        crew: "one".to_owned(),
        from: 2400,
    }];
    let (r, after) = rest(&p, &plan, &news);
    assert_eq!(stop(&after, "c").0, "two");
    assert!(r.notes.contains(&Note::PinLost {
        visit: "c".to_owned()
    }));
}

#[test]
fn a_pinned_start_in_the_rain_falls_and_its_crew_stays() {
    let (mut p, _) = four();
    p.visits[2].pinned = Some(pin("two", Some(3100)));
    let plan = planned(&p);
    let mut news = at(2300);
    news.changes = vec![Change::Rain {
        from: 3000,
        to: 5000,
        places: None,
    }];
    let (r, after) = rest(&p, &plan, &news);
    assert_eq!(
        r.notes,
        [Note::PinWithoutStart {
            visit: "c".to_owned()
        }]
    );
    let (crew, c) = stop(&after, "c");
    assert_eq!(crew, "two");
    assert!(c.start_s >= 5000);
}

#[test]
fn breaks_taken_are_not_taken_again_and_one_that_was_missed_comes_first() {
    let (mut p, _) = four();
    p.crews[0].breaks = vec![rest_break(300, 2600, 2700), rest_break(300, 3600, 4000)];
    let plan = planned(&p);
    let crew_at = |news: &News| rest(&p, &plan, news).0.problem.problem().crews[0].clone();
    assert_eq!(crew_at(&at(2300)).breaks.len(), 2);
    let resting = crew_at(&at(2650));
    assert_eq!((resting.breaks.len(), resting.shift[0]), (1, 2900));
    let mut late = at(2700);
    late.record.visits = vec![Happened {
        end_s: Some(3200),
        ..happened("a", State::Running)
    }];
    late.record.crews = vec![Stands {
        crew: "one".to_owned(),
        place: None,
        free_s: None,
        breaks_taken: Some(0),
    }];
    let (r, after) = rest(&p, &plan, &late);
    let one = after
        .rounds
        .iter()
        .find(|r| r.crew == "one")
        .expect("a round");
    assert_eq!(one.breaks[0].start_s, 3200, "as soon as a is done");
    assert!(r.notes.contains(&Note::BreakLate {
        crew: "one".to_owned(),
        nth: 0
    }));
}

/// Crew one is to rest from 2600, as soon as a has ended.
fn resting() -> (Problem, Plan) {
    let (mut p, _) = four();
    p.crews[0].breaks = vec![rest_break(300, 2600, 2700)];
    let plan = planned(&p);
    let one = plan.rounds.iter().find(|r| r.crew == "one");
    assert_eq!(one.expect("a round").breaks[0].start_s, 2600);
    (p, plan)
}

#[test]
fn a_crew_that_worked_through_its_break_has_it_still_to_come() {
    let (p, plan) = resting();
    let mut news = at(2650);
    news.record.visits = vec![Happened {
        end_s: Some(2800),
        ..happened("a", State::Running)
    }];
    let (_, after) = rest(&p, &plan, &news);
    let one = after.rounds.iter().find(|r| r.crew == "one");
    assert_eq!(one.expect("a round").breaks[0].start_s, 2800);
    // Who writes down that it rested is believed.
    news.record.crews = vec![Stands {
        breaks_taken: Some(1),
        ..stands("one")
    }];
    let (r, _) = rest(&p, &plan, &news);
    assert!(r.problem.problem().crews[0].breaks.is_empty());
}

#[test]
fn a_crew_without_a_round_had_its_break_where_its_work_left_time_for_it() {
    let mut p = day(3, 60);
    p.crews = vec![crew("one")];
    p.crews[0].breaks = vec![rest_break(300, 2000, 2200)];
    p.visits = vec![visit("a", 1), visit("b", 2)];
    p.visits[0].window = [8000, 9000];
    p.visits[1].ways[0].extra_cost = 9000;
    let mut plan = planned(&p);
    plan.rounds.clear();
    let breaks_after = |start_s: i64, end_s: i64| {
        let mut news = at(3000);
        news.record.visits = vec![Happened {
            crew: Some("one".to_owned()),
            start_s: Some(start_s),
            end_s: Some(end_s),
            ..happened("b", State::Done)
        }];
        let (r, _) = rest(&p, &plan, &news);
        r.problem.problem().crews[0].breaks.len()
    };
    assert_eq!(breaks_after(2300, 2900), 0, "it rested before its work");
    assert_eq!(breaks_after(1500, 2100), 0, "it rested after its work");
    assert_eq!(breaks_after(1900, 2500), 1, "it had no time to rest");
}

#[test]
fn a_crew_does_not_come_free_before_its_running_work_ends() {
    let (p, plan) = four();
    let told = |free_s: i64| {
        let mut news = at(2300);
        news.record.crews = vec![
            stands("two"),
            Stands {
                free_s: Some(free_s),
                ..stands("one")
            },
        ];
        news
    };
    assert_eq!(
        refused(&p, &plan, &told(2599)),
        ["/record/crews/1/free_s"],
        "a runs until 2600"
    );
    let (r, _) = rest(&p, &plan, &told(2600));
    assert_eq!(r.problem.problem().crews[0].shift[0], 2600);
    let mut news = told(2400);
    news.record.visits = vec![Happened {
        end_s: Some(2200),
        ..happened("a", State::Done)
    }];
    let (r, _) = rest(&p, &plan, &news);
    assert_eq!(r.problem.problem().crews[0].shift[0], 2400);
}

fn stands(crew: &str) -> Stands {
    Stands {
        crew: crew.to_owned(),
        place: None,
        free_s: None,
        breaks_taken: None,
    }
}

fn rest_break(length: i64, from: i64, to: i64) -> crate::problem::Break {
    super::builder::rest(length, from, to)
}

fn happened(visit: &str, state: State) -> Happened {
    Happened {
        visit: visit.to_owned(),
        state,
        crew: None,
        way: None,
        start_s: None,
        end_s: None,
        watering_s: None,
    }
}

#[test]
fn what_was_left_waiting_is_planned_again() {
    let (p, plan) = four();
    let mut news = at(3000);
    news.record.visits = vec![happened("a", State::Waiting)];
    let (r, after) = rest(&p, &plan, &news);
    assert_eq!(ids(&r), ["a", "c", "d"]);
    assert!(stop(&after, "a").1.start_s >= 3000);
}

#[test]
fn load_and_fair_share_are_what_is_left_of_them() {
    let (mut p, _) = four();
    p.visits[0].load_g = 300;
    (p.crews[0].fair_load_s, p.crews[0].over_load_cost_per_h) = (Some(2000), Some(60));
    let plan = planned(&p);
    let (r, _) = rest(&p, &plan, &at(2300));
    let one = &r.problem.problem().crews[0];
    assert_eq!(one.load_limit_g, 700);
    assert_eq!(one.fair_load_s, Some(2000 - 60 - 600));
}

#[test]
fn water_given_to_finished_work_is_taken_and_its_place_stays_free() {
    let (mut p, _) = four();
    p.water = vec![line("north", 500)];
    p.visits[0].water = Some(watering("north", 400, 3400));
    p.visits[2].place = 1;
    let plan = planned(&p);
    let (r, after) = rest(&p, &plan, &at(2300));
    let taken = r.problem.problem().water[0].taken.clone().expect("taken");
    assert_eq!(
        (taken[0].from, taken[0].to, taken[0].flow_mlps),
        (2600, 3000, 500)
    );
    assert!(
        stop(&after, "c").1.start_s >= 3400,
        "the court is ready then"
    );
}

#[test]
fn who_waits_for_running_work_waits_for_its_end_and_for_dropped_work_not_at_all() {
    let (mut p, _) = four();
    p.visits[2].after = vec!["a".to_owned(), "d".to_owned()];
    let plan = planned(&p);
    let mut news = at(2300);
    news.record.visits = vec![Happened {
        end_s: Some(4000),
        ..happened("a", State::Running)
    }];
    news.changes = vec![Change::VisitDropped {
        visit: "d".to_owned(),
    }];
    let (r, after) = rest(&p, &plan, &news);
    assert_eq!(ids(&r), ["c"]);
    assert!(r.problem.problem().visits[0].after.is_empty());
    assert!(stop(&after, "c").1.start_s >= 4000);
}

#[test]
fn more_work_a_closed_court_a_longer_session_and_less_water_are_taken_in() {
    let (mut p, _) = four();
    p.water = vec![line("north", 500)];
    let plan = planned(&p);
    let mut news = at(2300);
    news.changes = vec![
        Change::NewVisit {
            visit: Box::new(visit("e", 2)),
        },
        Change::PlaceClosed {
            place: 3,
            from: 2300,
            to: 20_000,
        },
        Change::WindowChanged {
            visit: "d".to_owned(),
            window: [5000, 7000],
            way: None,
        },
        Change::WaterCut {
            group: "north".to_owned(),
            capacity_mlps: 100,
        },
    ];
    let (r, after) = rest(&p, &plan, &news);
    assert_eq!(r.problem.problem().water[0].capacity_mlps, 100);
    assert_eq!(
        r.notes,
        [Note::WindowGone {
            visit: "c".to_owned()
        }]
    );
    let became = |id: &str| {
        let all = moves(&r, &after);
        all.into_iter()
            .find(|m| m.visit == id)
            .expect("listed")
            .became
    };
    assert_eq!(became("c"), Became::Dropped);
    assert!(matches!(became("e"), Became::BroughtIn { .. }));
    assert_eq!(became("d"), Became::Kept { later_s: 2000 });
}

#[test]
fn few_assignments_change_where_change_is_dear() {
    let (mut p, _) = four();
    p.visits.iter_mut().for_each(|v| v.prefer = None);
    let plan = planned(&p);
    let mut news = at(0);
    news.changes = vec![Change::NewVisit {
        visit: Box::new(visit("e", 4)),
    }];
    news.change_cost = 10_000;
    let (r, after) = rest(&p, &plan, &news);
    let kept = |m: &Move| !matches!(m.became, Became::Moved { .. });
    assert!(moves(&r, &after).iter().all(kept));
}

#[test]
fn a_dearer_wish_of_the_visits_own_goes_before_the_present_plan() {
    let (p, plan) = four();
    let (r, _) = rest(&p, &plan, &at(0));
    let prefer = |i: usize| {
        r.problem.problem().visits[i]
            .prefer
            .clone()
            .expect("a crew")
    };
    assert_eq!(prefer(0).change_cost, 1100, "both name crew one");
    let mut other = plan;
    for round in &mut other.rounds {
        round.crew = if round.crew == "one" { "two" } else { "one" }.to_owned();
    }
    let (r, _) = rest(&p, &other, &at(0));
    let prefer = |i: usize| {
        r.problem.problem().visits[i]
            .prefer
            .clone()
            .expect("a crew")
    };
    assert_eq!(
        (prefer(0).crew.as_str(), prefer(0).change_cost),
        ("one", 1000)
    );
}

#[test]
fn bad_news_is_refused_whole_with_every_fault_named() {
    let (p, plan) = four();
    let mut news = at(2300);
    news.changes = vec![
        Change::CrewGone {
            crew: "three".to_owned(),
            from: -1,
        },
        Change::NewVisit {
            visit: Box::new(visit("a", 1)),
        },
        Change::Rain {
            from: 10,
            to: 5,
            places: Some(vec![9]),
        },
    ];
    let named = [
        "/changes/0/crew",
        "/changes/0/from",
        "/changes/1/visit/id",
        "/changes/2/to",
        "/changes/2/places/0",
    ];
    assert_eq!(refused(&p, &plan, &news), named);
    let mut new = visit("e", 7);
    new.after = vec!["nothing".to_owned()];
    news.changes = vec![Change::NewVisit {
        visit: Box::new(new),
    }];
    assert_eq!(
        refused(&p, &plan, &news),
        ["/changes/0/visit/place", "/changes/0/visit/after/0"]
    );
    news.changes = Vec::new();
    news.record.visits = vec![
        Happened {
            end_s: Some(2400),
            ..happened("a", State::Done)
        },
        happened("nothing", State::Waiting),
        Happened {
            start_s: Some(9000),
            ..happened("c", State::Running)
        },
    ];
    assert_eq!(
        refused(&p, &plan, &news),
        [
            "/record/visits/0/end_s",
            "/record/visits/1/visit",
            "/record/visits/2/start_s"
        ]
    );
    let mut other = plan;
    other.rounds[0].stops[0].way = 4;
    assert_eq!(refused(&p, &other, &at(0)), ["/plan/rounds/0/stops/0/way"]);
}
