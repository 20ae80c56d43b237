//! A day begun from a plan, so that a search goes on from what people already know.
//!
//! The plan may be of a problem that is only nearly this one: its stops are made again crew by crew, in the
//! order in which they start, each as early as it goes. A stop that no longer goes in the plan's way is tried
//! in the crew's other ways; what still does not go is left to the search.

use std::collections::HashMap;

use crate::day::{Day, Spot};
use crate::insertion;
use crate::plan::Plan;
use crate::problem::Problem;

/// Share of the usual first temperature for a search that begins with a plan: warm enough to trade a few
/// visits, too cold to forget the plan.
pub(crate) const WARM: f64 = 0.05;

/// Makes a plan's stops in an empty day.
pub(crate) fn start(day: &mut Day, problem: &Problem, plan: &Plan) {
    let visits: HashMap<&str, usize> = problem
        .visits
        .iter()
        .enumerate()
        .map(|(i, v)| (v.id.as_str(), i))
        .collect();
    let crew_of = |id: &str| problem.crews.iter().position(|c| c.id == id);
    let mut stops: Vec<Planned> = Vec::with_capacity(visits.len());
    for round in &plan.rounds {
        let Some(crew) = crew_of(&round.crew) else {
            continue;
        };
        for (nth, stop) in round.stops.iter().enumerate() {
            if let Some(&visit) = visits.get(stop.visit.as_str()) {
                stops.push(Planned {
                    start: stop.start_s,
                    nth,
                    crew,
                    visit,
                    way: stop.way,
                });
            }
        }
    }
    let order: Vec<(i64, usize, usize)> = stops.iter().map(|s| turn(day, &stops, s)).collect();
    let mut stops: Vec<_> = order.into_iter().zip(stops).collect();
    stops.sort_by_key(|(turn, _)| *turn);
    let mut stops: Vec<Planned> = stops.into_iter().map(|(_, s)| s).collect();
    let mut nth = vec![0; day.served.len()];
    for stop in &stops {
        nth[stop.visit] = stop.nth;
    }
    // A stop may go only when a later one does, where a detour is shorter than the straight way.
    loop {
        let before = stops.len();
        stops.retain(|stop| !make(day, &nth, stop));
        if stops.len() == before || stops.is_empty() {
            return;
        }
    }
}

/// A stop of the plan.
struct Planned {
    start: i64,
    /// Its place in its round.
    nth: usize,
    crew: usize,
    visit: usize,
    way: usize,
}

/// When it is a stop's turn to be made: by its start; but where a watering follows it, behind all other work that
/// the place sees before it must be ready. Else the watering would begin at once and keep that work away.
fn turn(day: &Day, stops: &[Planned], stop: &Planned) -> (i64, usize, usize) {
    let v = &day.model.visits[stop.visit];
    let Some(water) = v.water.filter(|_| v.shared) else {
        return (stop.start, 0, stop.nth);
    };
    let beside = stops.iter().filter(|s| {
        let there = day.model.visits[s.visit].place == v.place;
        there && s.start >= stop.start && s.start < water.ready_by
    });
    let last = beside.map(|s| s.start).max().unwrap_or(stop.start);
    (last, usize::from(last > stop.start), stop.nth)
}

/// Makes a stop, if it can be, between those that the plan has before it and behind it.
fn make(day: &mut Day, nth: &[usize], stop: &Planned) -> bool {
    let model = day.model;
    let (crew, visit) = (stop.crew, stop.visit);
    let v = &model.visits[visit];
    if day.served[visit].is_some()
        || v.after.iter().any(|&a| day.served[a].is_none())
        || day.rounds[crew].load + v.load > model.crews[crew].load_limit
    {
        return false;
    }
    let made = &day.rounds[crew].stops;
    let gap = made.iter().filter(|s| nth[s.visit] < stop.nth).count();
    // The plan may know nothing of what waits for what on this day.
    let (first, last) = insertion::between(day, visit, crew);
    let gap = gap.min(last).max(first);
    let mut offers: Vec<usize> = v.offers_of(crew).collect();
    offers.sort_by_key(|&o| v.offers[o].way() != stop.way);
    offers.into_iter().any(|offer| {
        day.kits.allow(model, &v.offers[offer]) && day.insert(visit, Spot { crew, gap, offer })
    })
}
