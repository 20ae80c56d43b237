//! What binds each visit that is left out: the single things of which a little more would let it fit into the
//! plan as it stands. "Fit" is the contract's, as in [`finish`].
//!
//! Each thing is added for all crews or all these visits at once; the day with it is laid once, and every visit
//! tried in it. There is one such day at a time, as each is as large as the problem.

use super::things::{later, relaxed};
use super::{Missing, More, Thing};
use crate::day::Day;
use crate::finish;
use crate::model::Model;
use crate::money::CENT;
use crate::plan::{Plan, Reason};
use crate::problem::Problem;
use crate::start::start;

/// How much more time is tried, the least first.
const TIMES_S: [i64; 3] = [900, 1800, 3600];
/// More load that is tried, grams: as much as any crew will ever want.
const LOAD_G: i64 = 1_000_000;

/// What each unserved visit lacks.
pub(super) fn missing(day: &Problem, plan: &Plan, go_on: &dyn Fn() -> bool) -> Vec<Missing> {
    let index = |id: &str| day.visits.iter().position(|v| v.id == id);
    let mut all: Vec<(usize, Missing)> = plan
        .unserved
        .iter()
        .filter_map(|u| {
            let missing = Missing {
                visit: u.visit.clone(),
                reason: u.reason,
                binds: Vec::new(),
            };
            Some((index(&u.visit)?, missing))
        })
        .collect();
    if all.is_empty() {
        return Vec::new();
    }
    waits(day, &mut all);
    too_dear(day, plan, &mut all);
    for trial in trials(day, &all) {
        if !go_on() {
            break;
        }
        let wanted = |m: &Missing| {
            let kind = trial.thing.kind();
            m.binds.iter().all(|b| is_tried(&b.thing))
                && !m
                    .binds
                    .iter()
                    .any(|b| b.thing.kind() == kind && of_time(&b.thing))
        };
        let wanted: Vec<usize> = (0..all.len()).filter(|&m| wanted(&all[m].1)).collect();
        if wanted.is_empty() {
            continue;
        }
        let problem = tried(day, &all, &trial);
        let model = Model::new(&problem);
        let mut laid = Day::new(&model);
        start(&mut laid, &problem, plan);
        for m in wanted {
            let (i, missing) = &mut all[m];
            if finish::fit_cost(&laid, *i).is_some() {
                let thing = match &trial.thing {
                    Thing::Window(_) => Thing::Window(missing.visit.clone()),
                    other => other.clone(),
                };
                let plus = trial.plus;
                missing.binds.push(More { thing, plus });
            }
        }
    }
    all.into_iter().map(|(_, m)| m).collect()
}

/// Such a bind is found by trying, so others may be beside it.
fn is_tried(thing: &Thing) -> bool {
    !matches!(thing, Thing::After(_) | Thing::SkipCost)
}

/// Tried with more and more of it.
fn of_time(thing: &Thing) -> bool {
    matches!(thing, Thing::Window(_) | Thing::Overtime(_) | Thing::Shift)
}

fn waits(day: &Problem, all: &mut [(usize, Missing)]) {
    let out: Vec<String> = all.iter().map(|(_, m)| m.visit.clone()).collect();
    for (i, missing) in all {
        if missing.reason == Reason::WaitsForAnUnservedVisit {
            let after = day.visits[*i].after.iter().filter(|a| out.contains(a));
            missing.binds.extend(after.map(|a| More {
                thing: Thing::After(a.clone()),
                plus: 1,
            }));
        }
    }
}

/// What would have to be paid for leaving it out, so that it is worth doing.
fn too_dear(day: &Problem, plan: &Plan, all: &mut [(usize, Missing)]) {
    if !all
        .iter()
        .any(|(_, m)| m.reason == Reason::DearerThanSkipping)
    {
        return;
    }
    let model = Model::new(day);
    let mut laid = Day::new(&model);
    start(&mut laid, day, plan);
    for (i, missing) in all {
        if missing.reason != Reason::DearerThanSkipping {
            continue;
        }
        if let Some(cost) = finish::fit_cost(&laid, *i) {
            let more = (cost - model.visits[*i].skip).max(0);
            missing.binds.push(More {
                thing: Thing::SkipCost,
                plus: more.div_euclid(CENT) + 1,
            });
        }
    }
}

/// What is tried; a longer window in the name of no visit, as it is tried for all of them.
fn trials(day: &Problem, all: &[(usize, Missing)]) -> Vec<More> {
    let mut out = Vec::new();
    let mut add = |thing: Thing, plus: i64| out.push(More { thing, plus });
    let visits = || all.iter().map(|(i, _)| &day.visits[*i]);
    let ways = || visits().flat_map(|v| &v.ways);
    for tool in &day.tools {
        if ways().any(|w| w.tools.contains(&tool.class)) {
            add(Thing::Tool(tool.class.clone()), 1);
        }
    }
    add(Thing::KitPlace(None), 1);
    add(Thing::Hand(None), 1);
    let mut skills: Vec<&String> = ways().flat_map(|w| &w.skills).collect();
    skills.sort_unstable();
    skills.dedup();
    for skill in skills {
        add(Thing::Skill(skill.clone()), 1);
    }
    for line in &day.water {
        if visits().any(|v| v.water.as_ref().is_some_and(|w| w.group == line.group)) {
            add(Thing::Water(line.group.clone()), 25);
        }
    }
    if visits().any(|v| v.load_g > 0) {
        add(Thing::Load(None), LOAD_G);
    }
    for plus in TIMES_S {
        add(Thing::Overtime(None), plus);
        add(Thing::Shift, plus);
    }
    for plus in TIMES_S {
        add(Thing::Window(String::new()), plus);
    }
    if visits().any(|v| v.pinned.is_some()) {
        add(Thing::Pin, 1);
    }
    out
}

/// The day with what is tried, for every visit left out where it is a visit's own.
fn tried(day: &Problem, all: &[(usize, Missing)], trial: &More) -> Problem {
    let mut problem = relaxed(day, trial);
    for (i, _) in all {
        let visit = &mut problem.visits[*i];
        match trial.thing {
            Thing::Window(_) => later(visit, trial.plus),
            Thing::Pin => visit.pinned = None,
            _ => {}
        }
    }
    problem
}
