//! The scarce things of a day, and the days with a little more of them.

use std::collections::{HashMap, HashSet};

use super::{More, Thing};
use crate::plan::{Plan, Stop};
use crate::problem::{Crew, Problem, Visit};
use crate::spans::{self, Flow};

/// Half an hour.
const HALF_HOUR_S: i64 = 1800;
/// Percent of more water.
const WATER_PCT: i64 = 25;

/// What is worth trying.
pub(super) fn tries(day: &Problem, plan: &Plan, windows: usize) -> Vec<More> {
    let mut all = Vec::new();
    for tool in &day.tools {
        if runs_short(day, plan, &tool.class) {
            all.push((Thing::Tool(tool.class.clone()), 1));
        }
    }
    for crew in &day.crews {
        let round = plan.rounds.iter().find(|r| r.crew == crew.id);
        let name = || Some(crew.id.clone());
        let full = round.is_some_and(|r| i64::try_from(r.kit.len()) == Ok(crew.kit_limit));
        if crew.kit.is_none() && full {
            all.push((Thing::KitPlace(name()), 1));
        }
        if day.visits.iter().any(|v| quicker(v, crew.hands)) {
            all.push((Thing::Hand(name()), 1));
        }
        if laden(day, plan, crew) {
            all.push((Thing::Load(name()), quarter(crew.load_limit_g)));
        }
        if round.is_some_and(|r| r.return_s + HALF_HOUR_S > crew.overtime_until) {
            all.push((Thing::Overtime(name()), HALF_HOUR_S));
        }
    }
    for group in &day.water {
        if dry(day, plan, &group.group) {
            all.push((Thing::Water(group.group.clone()), WATER_PCT));
        }
    }
    for visit in dearest(day, plan, windows) {
        all.push((Thing::Window(visit), HALF_HOUR_S));
    }
    let more = |(thing, plus)| More { thing, plus };
    all.into_iter().map(more).collect()
}

/// The day with so much more of a thing; as it is where the thing is none to have more of.
pub(super) fn relaxed(day: &Problem, More { thing, plus }: &More) -> Problem {
    let plus = *plus;
    let mut day = day.clone();
    let meant = |own: &Option<String>, crew: &Crew| own.as_ref().is_none_or(|id| *id == crew.id);
    match thing {
        Thing::Tool(class) => {
            for tool in day.tools.iter_mut().filter(|t| t.class == *class) {
                tool.count += plus;
            }
        }
        Thing::KitPlace(own) => {
            for crew in day.crews.iter_mut().filter(|c| meant(own, c)) {
                crew.kit_limit += plus;
            }
        }
        Thing::Hand(own) => {
            for crew in day.crews.iter_mut().filter(|c| meant(own, c)) {
                // Rounded up: the hand costs no less than the others.
                let pay = crew.cost_per_h * plus;
                crew.cost_per_h += (pay + crew.hands - 1) / crew.hands;
                crew.hands += plus;
            }
        }
        Thing::Skill(skill) => {
            for crew in &mut day.crews {
                crew.skills.push(skill.clone());
            }
        }
        Thing::Water(group) => {
            for line in day.water.iter_mut().filter(|g| g.group == *group) {
                line.capacity_mlps += (line.capacity_mlps * plus + 99) / 100;
            }
        }
        Thing::Overtime(own) => {
            for crew in day.crews.iter_mut().filter(|c| meant(own, c)) {
                crew.overtime_until += plus;
            }
        }
        Thing::Shift => {
            for crew in &mut day.crews {
                crew.shift = [(crew.shift[0] - plus).max(0), crew.shift[1] + plus];
                crew.overtime_until += plus;
                crew.kit_hours = crew.kit_hours.map(|[a, b]| [(a - plus).max(0), b + plus]);
            }
        }
        Thing::Window(id) => {
            for visit in day.visits.iter_mut().filter(|v| v.id == *id) {
                later(visit, plus);
            }
        }
        Thing::Load(own) => {
            for crew in day.crews.iter_mut().filter(|c| meant(own, c)) {
                crew.load_limit_g += plus;
            }
        }
        Thing::Pin | Thing::After(_) | Thing::SkipCost => {}
    }
    day
}

/// The court is wanted so much later.
pub(super) fn later(visit: &mut Visit, plus: i64) {
    visit.window[1] += plus;
    visit.aim_end += plus;
    for way in &mut visit.ways {
        way.window = way.window.map(|[open, close]| [open, close + plus]);
        way.aim_end = way.aim_end.map(|aim| aim + plus);
    }
    if let Some(water) = &mut visit.water {
        water.ready_by += plus;
    }
}

/// Some work needs the class, and at some moment every tool of it is in a kit.
fn runs_short(day: &Problem, plan: &Plan, class: &str) -> bool {
    let needs = |v: &Visit| v.ways.iter().any(|w| w.tools.iter().any(|t| t == class));
    let holds = |c: &&Crew| {
        let round = plan.rounds.iter().find(|r| r.crew == c.id);
        let own = c.kit.iter().flatten();
        own.chain(round.iter().flat_map(|r| &r.kit))
            .any(|k| k == class)
    };
    let hours: Vec<_> = day.crews.iter().filter(holds).map(Crew::kit_span).collect();
    let count = day.tools.iter().find(|t| t.class == class);
    let most = i64::try_from(spans::most_at_once(&hours)).unwrap_or(i64::MAX);
    count.is_some_and(|t| most >= t.count) && day.visits.iter().any(needs)
}

/// A hand more than these makes a difference to the visit.
fn quicker(visit: &Visit, hands: i64) -> bool {
    let ways = &mut visit.ways.iter();
    ways.any(|w| w.min_hands == hands + 1 || w.service(hands + 1) < w.service(hands))
}

fn quarter(of: i64) -> i64 {
    (of + 3) / 4
}

/// The crew carries so much that some visit left out would be too much for it.
fn laden(day: &Problem, plan: &Plan, crew: &Crew) -> bool {
    let load = |id: &str| {
        let visit = day.visits.iter().find(|v| v.id == id);
        visit.map_or(0, |v| v.load_g)
    };
    let stops = plan.rounds.iter().filter(|r| r.crew == crew.id);
    let carried: i64 = stops.flat_map(|r| &r.stops).map(|s| load(&s.visit)).sum();
    let left = plan.unserved.iter().map(|u| load(&u.visit));
    left.max()
        .is_some_and(|more| carried + more > crew.load_limit_g)
}

/// Some visit's flow would not go beside the most that runs on its line.
fn dry(day: &Problem, plan: &Plan, group: &str) -> bool {
    let of = |id: &str| {
        let visit = day.visits.iter().find(|v| v.id == id)?;
        visit.water.as_ref().filter(|w| w.group == group)
    };
    let Some(line) = day.water.iter().find(|g| g.group == group) else {
        return false;
    };
    let runs = plan.watering.iter().filter_map(|w| {
        let mlps = of(&w.visit)?.flow_mlps;
        Some(Flow {
            from: w.start_s,
            to: w.end_s,
            mlps,
        })
    });
    let taken = line.taken.iter().flatten().map(|t| Flow {
        from: t.from,
        to: t.to,
        mlps: t.flow_mlps,
    });
    let flows: Vec<Flow> = runs.chain(taken).collect();
    let peak = spans::peak(&flows.iter().copied(), 0, i64::MAX);
    let most = day
        .visits
        .iter()
        .filter_map(|v| of(&v.id))
        .map(|w| w.flow_mlps);
    most.max()
        .is_some_and(|flow| peak + flow > line.capacity_mlps)
}

/// The visits that cost most by being left out or late, the dearest first.
fn dearest(day: &Problem, plan: &Plan, most: usize) -> Vec<String> {
    let out: HashSet<&str> = plan.unserved.iter().map(|u| u.visit.as_str()).collect();
    let stops: HashMap<&str, &Stop> = plan
        .rounds
        .iter()
        .flat_map(|r| &r.stops)
        .map(|s| (s.visit.as_str(), s))
        .collect();
    let cost = |v: &Visit| {
        if out.contains(v.id.as_str()) {
            return v.skip_cost * 3600;
        }
        let late = stops.get(v.id.as_str()).and_then(|s| {
            let aim = v.aim_of(v.ways.get(s.way)?);
            Some((s.end_s - aim).max(0) * v.late_cost_per_h)
        });
        late.unwrap_or(0)
    };
    let mut all: Vec<(i64, &Visit)> = day.visits.iter().map(|v| (cost(v), v)).collect();
    all.retain(|(cost, _)| *cost > 0);
    all.sort_by_key(|(cost, _)| std::cmp::Reverse(*cost));
    all.truncate(most);
    all.into_iter().map(|(_, v)| v.id.clone()).collect()
}
