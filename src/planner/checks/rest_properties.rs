//! What holds for the rest of every day, tried on random days, moments and news.

use std::collections::HashMap;

use proptest::prelude::*;

use super::builder::{checked, planned_with};
use super::properties::{Dice, random_day, random_visit};
use crate::plan::Plan;
use crate::problem::{Crew, Problem};
use crate::rest::{Became, Change, Happened, News, Rest, Stands, State, moves, replan};
use crate::rng::Rng;
use crate::{Control, Options, judge};

fn random_change(d: &mut Dice, p: &Problem, at: i64, nth: i64) -> Change {
    let last = i64::try_from(p.travel_s.len()).expect("small") - 1;
    let [from, to] = [at + d.up_to(20) - 5, at + 20 + d.up_to(20)];
    let from = from.max(0);
    let crew = d.one_of(&p.crews).id;
    let visit = d.one_of(&p.visits).id;
    match d.up_to(8) {
        0 => Change::Rain {
            from,
            to,
            places: d.often(50).then(|| vec![d.up_to(last)]),
        },
        1 => Change::CrewGone { crew, from },
        2 => Change::CrewLate { crew, from },
        3 => Change::PlaceClosed {
            place: d.up_to(last),
            from,
            to,
        },
        4 if !p.tools.is_empty() => Change::ToolBroken {
            class: d.one_of(&p.tools).class,
            how_many: 1,
            crew: d.often(50).then_some(crew),
        },
        5 => Change::WindowChanged {
            visit,
            window: [from, to],
            way: d.often(30).then_some(0),
        },
        6 => {
            let classes: Vec<String> = p.tools.iter().map(|t| t.class.clone()).collect();
            let groups: Vec<String> = p.water.iter().map(|g| g.group.clone()).collect();
            let mut visit = random_visit(d, p, 100 + nth, &classes, &groups);
            visit.id = format!("new {nth}");
            visit.place = d.up_to(last);
            Change::NewVisit {
                visit: Box::new(visit),
            }
        }
        7 if !p.water.is_empty() => Change::WaterCut {
            group: d.one_of(&p.water).group,
            capacity_mlps: d.up_to(3),
        },
        _ => Change::VisitDropped { visit },
    }
}

/// A record in which some work took longer, some did not begin, some ended early.
fn random_news(d: &mut Dice, p: &Problem, plan: &Plan) -> News {
    let at = d.up_to(110);
    let mut news = News {
        at,
        change_cost: d.up_to(20),
        ..News::default()
    };
    let begun = plan
        .rounds
        .iter()
        .filter_map(|r| r.stops.iter().rfind(|s| s.start_s < at));
    for stop in begun {
        let (state, end_s) = match d.up_to(3) {
            0 => (State::Waiting, None),
            1 => (State::Running, Some(at + d.up_to(15))),
            2 => (State::Done, Some((stop.start_s + d.up_to(5)).min(at))),
            _ => continue,
        };
        news.record.visits.push(Happened {
            visit: stop.visit.clone(),
            state,
            crew: None,
            way: None,
            start_s: None,
            end_s,
            watering_s: None,
        });
    }
    let crews = p.crews.iter().filter(|_| d.often(30)).cloned();
    let crews: Vec<Crew> = crews.collect();
    news.record.crews = crews
        .iter()
        .map(|c| random_stand(d, p, plan, &news, c))
        .collect();
    news.changes = (0..d.up_to(3))
        .map(|i| random_change(d, p, at, i))
        .collect();
    news
}

/// Where a crew stands, free no earlier than what it is doing ends.
fn random_stand(d: &mut Dice, p: &Problem, plan: &Plan, news: &News, crew: &Crew) -> Stands {
    let last = i64::try_from(p.travel_s.len()).expect("small") - 1;
    let most = i64::try_from(crew.breaks.len()).expect("small");
    let rounds = plan.rounds.iter().filter(|r| r.crew == crew.id);
    let begun = rounds
        .flat_map(|r| &r.stops)
        .filter(|s| s.start_s < news.at);
    let ends = begun.filter_map(|stop| {
        let told = news.record.visits.iter().find(|h| h.visit == stop.visit);
        match told {
            Some(told) if told.state == State::Waiting => None,
            Some(told) => told.end_s,
            None => Some(stop.end_s),
        }
    });
    let busy = ends.max().unwrap_or(0);
    let earliest = if busy > news.at { busy } else { 0 };
    Stands {
        crew: crew.id.clone(),
        place: d.often(50).then(|| d.up_to(last)),
        free_s: d
            .often(50)
            .then(|| (news.at - 5 + d.up_to(20)).max(earliest)),
        breaks_taken: d
            .often(30)
            .then(|| usize::try_from(d.up_to(most)).expect("small")),
    }
}

fn replanned(p: &Problem, plan: &Plan, news: &News, iterations: u64) -> (Rest, Plan) {
    let options = Options {
        seed: 3,
        iterations: Some(iterations),
        ..Options::default()
    };
    let go_on = &mut |_: &_| Control::Continue { spent: 0.0 };
    replan(&checked(p), plan, news, &options, go_on).expect("sound news")
}

/// Crew, place, start and end of everything that the new plan does.
fn work<'a>(rest: &'a Rest, after: &'a Plan) -> Vec<(&'a str, &'a str, i64, i64, i64)> {
    let place: HashMap<&str, i64> = rest
        .problem
        .problem()
        .visits
        .iter()
        .map(|v| (v.id.as_str(), v.place))
        .collect();
    let all = after
        .rounds
        .iter()
        .flat_map(|r| r.stops.iter().map(move |s| (r, s)));
    all.map(|(r, s)| {
        let id = s.visit.as_str();
        (id, r.crew.as_str(), place[id], s.start_s, s.end_s)
    })
    .collect()
}

fn overlap(a: (i64, i64), b: (i64, i64)) -> bool {
    a.0.max(b.0) < a.1.min(b.1)
}

/// Nothing in the new plan goes against the news or against what has happened.
fn keeps_to_the_news(p: &Problem, news: &News, rest: &Rest, after: &Plan) {
    let work = work(rest, after);
    for &(id, crew, place, start, end) in &work {
        assert!(start >= news.at, "{id} starts before the moment");
        for change in &news.changes {
            match change {
                Change::Rain { from, to, places } => {
                    let wet = places.as_ref().is_none_or(|l| l.contains(&place));
                    assert!(
                        !wet || !overlap((start, end), (*from, *to)),
                        "{id} in the rain"
                    );
                }
                Change::PlaceClosed {
                    place: shut,
                    from,
                    to,
                } => {
                    assert!(
                        place != *shut || !overlap((start, end), (*from, *to)),
                        "{id} at a closed place"
                    );
                }
                Change::CrewGone { crew: gone, from } => {
                    assert!(crew != gone || end <= *from, "{id} by a crew that has gone");
                }
                Change::CrewLate { crew: late, from } => {
                    assert!(
                        crew != late || start >= *from,
                        "{id} by a crew that is not there"
                    );
                }
                Change::VisitDropped { visit } => assert_ne!(id, visit),
                _ => {}
            }
        }
        let open = |place: i64| p.open_places.iter().flatten().any(|&o| o == place);
        for done in &rest.done {
            assert_ne!(done.visit, id, "planned again");
            let of = p
                .visits
                .iter()
                .find(|v| v.id == done.visit)
                .expect("of the day");
            assert!(
                done.crew != crew || start >= done.end_s,
                "{id} and {} at once",
                done.visit
            );
            if of.place != place || open(place) {
                continue;
            }
            assert!(
                !overlap((start, end), (done.start_s, done.end_s)),
                "{id} beside {}",
                done.visit
            );
            if let Some((water, from)) = of.water.as_ref().zip(done.watering_s) {
                assert!(
                    !overlap((start, end), (from, water.ready_by)),
                    "{id} on wet {}",
                    done.visit
                );
            }
        }
    }
    for round in &after.rounds {
        let done: i64 = rest
            .done
            .iter()
            .filter(|d| d.crew == round.crew)
            .map(|d| load(p, &d.visit))
            .sum();
        let limit = p
            .crews
            .iter()
            .find(|c| c.id == round.crew)
            .map_or(0, |c: &Crew| c.load_limit_g);
        let more: i64 = round
            .stops
            .iter()
            .map(|s| load(rest.problem.problem(), &s.visit))
            .sum();
        assert!(
            more == 0 || done + more <= limit,
            "crew {} carries too much",
            round.crew
        );
    }
}

/// Done and running work, and the ways to work, work and breaks to come: no two of a crew's at one time.
fn one_thing_at_a_time(rest: &Rest, after: &Plan) {
    let day = rest.problem.problem();
    let at = |place: i64| usize::try_from(place).expect("a place");
    let place_of = |id: &str| day.visits.iter().find(|v| v.id == id).map(|v| v.place);
    for crew in &day.crews {
        let done = rest.done.iter().filter(|d| d.crew == crew.id);
        let mut all: Vec<(i64, i64)> = done.map(|d| (d.start_s, d.end_s)).collect();
        for round in after.rounds.iter().filter(|r| r.crew == crew.id) {
            all.extend(round.stops.iter().map(|s| (s.start_s, s.end_s)));
            all.extend(round.breaks.iter().map(|b| (b.start_s, b.end_s)));
            let mut from = crew.start_place;
            for stop in &round.stops {
                let to = place_of(&stop.visit).expect("of the rest");
                let travel = day.travel_s[at(from)][at(to)];
                all.push((stop.arrive_s - travel, stop.arrive_s));
                from = to;
            }
        }
        all.retain(|(from, to)| from < to);
        all.sort_unstable();
        let apart = all.is_sorted_by(|a, b| a.1 <= b.0);
        assert!(apart, "{} does two things at once: {all:?}", crew.id);
    }
}

/// A crew still has every break in whose planned time it worked, where nobody says that it has had it.
fn nobody_loses_a_break(p: &Problem, plan: &Plan, news: &News, rest: &Rest) {
    for crew in &rest.problem.problem().crews {
        let told = news.record.crews.iter().find(|s| s.crew == crew.id);
        let Some(round) = plan.rounds.iter().find(|r| r.crew == crew.id) else {
            continue;
        };
        let of = p.crews.iter().find(|c| c.id == crew.id);
        let had = of.expect("of the day").breaks.len() - crew.breaks.len();
        if let Some(taken) = told.and_then(|s| s.breaks_taken) {
            assert_eq!(had, taken, "{}", crew.id);
            continue;
        }
        let worked = |from: i64, to: i64| {
            let mut own = rest.done.iter().filter(|d| d.crew == crew.id);
            own.any(|d| overlap((d.start_s, d.end_s), (from, to)))
        };
        let rested = round.breaks.iter().filter(|b| b.start_s < news.at);
        let rested = rested.filter(|b| !worked(b.start_s, b.end_s)).count();
        assert_eq!(had, rested, "{}", crew.id);
    }
}

fn load(p: &Problem, id: &str) -> i64 {
    p.visits.iter().find(|v| v.id == id).map_or(0, |v| v.load_g)
}

fn days() -> impl Strategy<Value = (Problem, u64)> {
    (any::<u64>(), 1_i64..5, 1_i64..15)
        .prop_map(|(seed, crews, visits)| (random_day(seed, crews, visits), seed ^ 1))
}

proptest! {
    #![proptest_config(super::cases(256))]

    #[test]
    fn the_rest_of_any_day_is_a_sound_problem_planned_by_the_news((p, seed) in days(), iterations in 0_u64..60) {
        let plan = planned_with(&p, 1, 60);
        let news = random_news(&mut Dice(Rng::new(seed)), &p, &plan);
        let (rest, after) = replanned(&p, &plan, &news, iterations);
        prop_assert_eq!(judge::violations(&rest.problem, &after), Vec::<String>::new());
        keeps_to_the_news(&p, &news, &rest, &after);
        one_thing_at_a_time(&rest, &after);
        nobody_loses_a_break(&p, &plan, &news, &rest);
        let dropped = |id: &str| news.changes.iter().any(|c| matches!(c, Change::VisitDropped { visit } if visit == id));
        for v in &p.visits {
            let stands = rest.done.iter().filter(|d| d.visit == v.id).count()
                + rest.problem.problem().visits.iter().filter(|r| r.id == v.id).count();
            prop_assert!(stands == 1 || dropped(&v.id), "{} stands {} times", &v.id, stands);
        }
    }

    #[test]
    fn a_way_of_the_rest_is_one_of_the_days((p, seed) in days()) {
        let plan = planned_with(&p, 1, 20);
        let news = random_news(&mut Dice(Rng::new(seed)), &p, &plan);
        let (rest, _) = replanned(&p, &plan, &news, 0);
        for (visit, ways) in rest.problem.problem().visits.iter().zip(&rest.ways) {
            prop_assert_eq!(visit.ways.len(), ways.len());
            let Some(own) = p.visits.iter().find(|v| v.id == visit.id) else { continue };
            for (way, &w) in visit.ways.iter().zip(ways) {
                prop_assert_eq!(&way.tools, &own.ways[w].tools);
                prop_assert_eq!(way.extra_cost, own.ways[w].extra_cost);
            }
        }
    }
}

/// A plan's stops are made again one by one, each as early as it goes; on days as crowded as these that may
/// fail, but not often.
#[test]
fn without_news_hardly_anything_that_was_planned_is_lost() {
    let (mut planned, mut lost) = (0, 0);
    for seed in 0..300 {
        let mut p = random_day(seed, 1 + i64::try_from(seed % 4).expect("small"), 12);
        // So dear to leave out that nothing is left out to save the way home.
        p.visits.iter_mut().for_each(|v| v.skip_cost = 1_000_000);
        let plan = planned_with(&p, 1, 60);
        let news = News {
            at: Dice(Rng::new(seed)).up_to(60),
            change_cost: 1_000_000,
            ..News::default()
        };
        let (rest, after) = replanned(&p, &plan, &news, 0);
        let moves = moves(&rest, &after);
        planned += moves.len();
        lost += moves.iter().filter(|m| m.became == Became::Dropped).count();
    }
    assert!(planned > 500 && lost * 200 < planned, "{lost} of {planned}");
}

#[test]
fn with_dear_changes_fewer_visits_change_hands_than_in_a_plan_made_afresh() {
    let (mut kept, mut afresh) = (0, 0);
    for seed in 0..60 {
        let p = random_day(seed, 4, 14);
        let plan = planned_with(&p, 1, 100);
        let mut news = random_news(&mut Dice(Rng::new(seed)), &p, &plan);
        let moved = |cost: i64, news: &mut News| {
            news.change_cost = cost;
            let (rest, after) = replanned(&p, &plan, news, 200);
            let moved = moves(&rest, &after);
            moved
                .iter()
                .filter(|m| matches!(m.became, Became::Moved { .. }))
                .count()
        };
        kept += moved(100, &mut news);
        news.changes
            .retain(|c| !matches!(c, Change::NewVisit { .. }));
        let (rest, _) = replanned(&p, &plan, &news, 0);
        let mut free = rest.problem.problem().clone();
        free.visits.iter_mut().for_each(|v| v.prefer = None);
        let fresh = planned_with(&free, 1, 200);
        let moved = moves(&rest, &fresh);
        afresh += moved
            .iter()
            .filter(|m| matches!(m.became, Became::Moved { .. }))
            .count();
    }
    assert!(kept < afresh, "{kept} of {afresh}");
}
