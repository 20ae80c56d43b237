//! Judges a plan against its problem: every hard rule and every part of the cost, recomputed from the two
//! alone.
//!
//! Shares nothing with the planner but the types, so that a fault in one is found by the other. What it does
//! not judge is whether a visit left out would have fitted in.

mod cost;
mod round;
mod shared;

use std::collections::{HashMap, HashSet};

use crate::plan::{Plan, Reason, Round, Stop};
use crate::problem::{Checked, Crew, Problem, Visit, Way};

/// What is wrong with a plan, one line each in the order of the problem and the plan, beginning with the number of
/// the rule, `cost` or `bound`; empty for a sound plan.
pub fn violations(problem: &Checked, plan: &Plan) -> Vec<String> {
    let mut judge = Judge::new(problem.problem(), plan);
    judge.once();
    for i in 0..judge.rounds.len() {
        judge.round(i);
    }
    judge.kits();
    judge.order_and_pins();
    judge.water();
    judge.one_at_a_time();
    judge.cost();
    judge.violations
}

/// A stop with what it refers to.
#[derive(Clone, Copy)]
struct Done<'a> {
    visit: &'a Visit,
    way: &'a Way,
    stop: &'a Stop,
    crew: &'a Crew,
}

struct Judge<'a> {
    problem: &'a Problem,
    plan: &'a Plan,
    /// Rounds of known crews, with their stops of known visits in known ways.
    rounds: Vec<(&'a Crew, &'a Round, Vec<Done<'a>>)>,
    served: HashMap<&'a str, Done<'a>>,
    open: HashSet<i64>,
    violations: Vec<String>,
}

impl<'a> Judge<'a> {
    fn new(problem: &'a Problem, plan: &'a Plan) -> Self {
        let visits: HashMap<&str, &Visit> =
            problem.visits.iter().map(|v| (v.id.as_str(), v)).collect();
        let crews: HashMap<&str, &Crew> =
            problem.crews.iter().map(|c| (c.id.as_str(), c)).collect();
        let mut violations = Vec::new();
        let mut rounds = Vec::new();
        for round in &plan.rounds {
            let Some(&crew) = crews.get(round.crew.as_str()) else {
                violations.push(format!("4: {} is no crew of the problem", round.crew));
                continue;
            };
            let done = |stop: &'a Stop| {
                let &visit = visits.get(stop.visit.as_str())?;
                Some(Done {
                    visit,
                    way: visit.ways.get(stop.way)?,
                    stop,
                    crew,
                })
            };
            let stops: Vec<Done> = round.stops.iter().filter_map(done).collect();
            for stop in &round.stops {
                if let Some(visit) = visits.get(stop.visit.as_str())
                    && stop.way >= visit.ways.len()
                {
                    violations.push(format!("2: {} has no way {}", visit.id, stop.way));
                }
            }
            rounds.push((crew, round, stops));
        }
        Self {
            problem,
            plan,
            served: rounds
                .iter()
                .flat_map(|r| &r.2)
                .map(|d| (d.visit.id.as_str(), *d))
                .collect(),
            rounds,
            open: problem.open_places.iter().flatten().copied().collect(),
            violations,
        }
    }

    fn no(&mut self, rule: u8, text: impl std::fmt::Display) {
        self.violations.push(format!("{rule}: {text}"));
    }

    fn travel(&self, from: i64, to: i64) -> i64 {
        let at = |x: i64| usize::try_from(x).unwrap_or(usize::MAX);
        self.problem.travel_s[at(from)][at(to)]
    }

    /// Rule 1, and that no crew has two rounds.
    fn once(&mut self) {
        let stops = self.plan.rounds.iter().flat_map(|r| &r.stops);
        let unserved = self.plan.unserved.iter();
        let named: Vec<&str> = stops
            .map(|s| s.visit.as_str())
            .chain(unserved.map(|u| u.visit.as_str()))
            .collect();
        let mut stands: HashMap<&str, usize> = HashMap::new();
        for id in &named {
            *stands.entry(id).or_default() += 1;
        }
        for visit in &self.problem.visits {
            let times = stands.remove(visit.id.as_str()).unwrap_or(0);
            if times != 1 {
                self.no(1, format_args!("visit {} stands {times} times", visit.id));
            }
        }
        for id in named {
            if stands.remove(id).is_some() {
                self.no(1, format_args!("{id} is no visit of the problem"));
            }
        }
        for i in 0..self.rounds.len() {
            let (crew, round, _) = &self.rounds[i];
            if self.rounds[..i].iter().any(|r| r.0.id == crew.id) {
                self.violations
                    .push(format!("4: crew {} has two rounds", crew.id));
            }
            if round.stops.is_empty() {
                self.violations
                    .push(format!("4: crew {} has a round without a stop", crew.id));
            }
        }
    }

    /// Rules 8 and 10.
    fn order_and_pins(&mut self) {
        let reasons: HashMap<&str, Reason> = self
            .plan
            .unserved
            .iter()
            .map(|u| (u.visit.as_str(), u.reason))
            .collect();
        for visit in &self.problem.visits {
            let id = visit.id.as_str();
            let served = self.served.get(id).copied();
            for before in &visit.after {
                match (served, self.served.get(before.as_str()).copied()) {
                    (Some(_), None) => self.no(8, format_args!("{id} is served, {before} is not")),
                    (Some(s), Some(b)) if s.stop.start_s < b.stop.end_s => {
                        self.no(8, format_args!("{id} starts before {before} has ended"));
                    }
                    (None, None) if reasons.get(id) == Some(&Reason::NoTimeLeft) => {
                        self.no(8, format_args!("{id} waits for {before}"));
                    }
                    _ => {}
                }
            }
            let Some(pin) = &visit.pinned else { continue };
            let kept = match (served, reasons.get(id)) {
                (Some(s), _) => {
                    s.crew.id == pin.crew && pin.start_s.is_none_or(|at| at == s.stop.start_s)
                }
                (None, reason) => {
                    matches!(
                        reason,
                        Some(Reason::NoTimeLeft | Reason::WaitsForAnUnservedVisit)
                    )
                }
            };
            if !kept {
                self.no(10, format_args!("the pin of {id} is not kept"));
            }
        }
    }
}
