//! Day problem in, day plan out: no I/O, no clock, no chance but the seed.
//!
//! A [`Problem`](problem::Problem) describes one site's day: crews, tools, water, and the visits to be made.
//! Proved by [`Problem::checked`](problem::Problem::checked) or read by
//! [`Checked::from_json`](problem::Checked::from_json), it is planned by [`plan()`], which returns a
//! [`Plan`](plan::Plan). The same problem, seed and number of iterations give the same plan.
//!
//! From bottom to top: [`problem`], `reading`, `form`, `circles`, `contradictions` (what may be planned), `reasons`
//! (what can never be served), `detours`, `model` (the problem indexed), `day` with `kits` and `timing` (a plan under
//! construction, sound at every step), `insertion`, `search`, `finish` (nothing left out that still fits),
//! `bound`, `write`, `start` (a search that goes on from a plan), [`rest`] (the rest of a day as a problem of
//! its own), [`advice`] (what would help), [`judge`] (a plan judged against its problem, sharing nothing with the rest).

pub mod advice;
mod bound;
#[cfg(test)]
mod checks;
mod circles;
mod contradictions;
mod day;
mod detours;
mod fault;
mod finish;
mod form;
mod insertion;
pub mod judge;
mod kits;
mod model;
pub mod money;
pub mod plan;
pub mod problem;
mod reading;
mod reasons;
pub mod rest;
mod rng;
mod search;
mod spans;
mod start;
mod timing;
mod write;

pub use fault::Fault;

use day::Day;
use model::Model;
use money::{HUNDREDTH, Total};
use plan::Plan;
use problem::{Checked, Problem};
use rng::Rng;

/// How to plan.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Options {
    /// Chooses among the searches; the plan repeats it.
    pub seed: u64,
    /// Steps of the search. `None`: until the caller says stop.
    pub iterations: Option<u64>,
    /// Threads to search with; 0 is the same as 1. With iterations given the plan is the same on any number.
    pub threads: usize,
    /// How much of the effort goes into the lower bound, before the search, which ends where it meets it. Where that
    /// is a share of a budget, a short search goes before it.
    pub proof: Proof,
}

/// How much goes into the lower bound.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub enum Proof {
    /// The bound that costs nothing to speak of.
    #[default]
    Floor,
    /// Until this share of the caller's budget is spent, or the bound is as high as it gets.
    Share(f64),
    /// So many of its steps, mostly a fraction of a millisecond each: the same bound every time.
    Steps(u64),
}

impl Proof {
    /// What a plan in so many seconds usually spends on its bound: on a small day a part that mostly is not
    /// needed, since such a bound is soon as high as it gets; on others a third of the time, where that is
    /// enough to lift the bound at all (a second with 60 visits, three with 100); on days of more than 120 visits
    /// nothing.
    pub fn usual(visits: usize, seconds: f64) -> Self {
        match visits {
            0..=40 => Self::Share(0.2),
            41..=70 if seconds >= 4.0 => Self::Share((30.0 / seconds).min(0.33)),
            71..=120 if seconds >= 10.0 => Self::Share((30.0 / seconds).min(0.33)),
            _ => Self::Floor,
        }
    }
}

/// How far the planner is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Progress {
    /// Steps of the search so far.
    pub iterations: u64,
    /// Cost of the best day so far, before its last touches; pins left out count more than their skip cost.
    pub cost: Total,
    /// Visits it leaves out.
    pub unserved: usize,
}

impl Progress {
    fn of(day: &Day, iterations: u64) -> Self {
        let unserved = day.served.iter().filter(|s| s.is_none()).count();
        Self {
            iterations,
            cost: Total::of_units(day.cost()),
            unserved,
        }
    }
}

/// What the caller answers.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Control {
    /// Go on; this share of the caller's budget is spent, from 0 to 1. The search cools by it, unless it
    /// counts iterations.
    Continue {
        /// From 0 to 1.
        spent: f64,
    },
    /// Finish with the best day so far.
    Stop,
}

/// Plans a day. `report` is called at every step, which is several times a millisecond on a usual day; the
/// caller keeps time there. The plan's `elapsed_ms` is left at 0 for the caller to fill.
pub fn plan(
    problem: &Checked,
    options: &Options,
    report: &mut dyn FnMut(&Progress) -> Control,
) -> Plan {
    planned(problem.problem(), None, options, report)
}

/// Plans a day beginning with a plan of this problem, or of one that is nearly this: what it says is kept
/// where nothing cheaper is found. Otherwise as [`plan()`].
pub fn improve(
    problem: &Checked,
    from: &Plan,
    options: &Options,
    report: &mut dyn FnMut(&Progress) -> Control,
) -> Plan {
    planned(problem.problem(), Some(from), options, report)
}

/// Before part of the time goes into the bound, a short search of so many steps: who stops meanwhile has a plan to
/// work by, and not only the first. About a tenth of a second with 60 visits.
const QUICK_STEPS_A_VISIT: u64 = 50;

fn planned(
    problem: &Problem,
    from: Option<&Plan>,
    options: &Options,
    report: &mut dyn FnMut(&Progress) -> Control,
) -> Plan {
    let model = Model::new(problem);
    let mut rng = Rng::new(options.seed);
    let mut day = Day::new(&model);
    let ranks = search::Ranks::new(&day);
    let begun = from.map(|from| {
        start::start(&mut day, problem, from);
        day.clone()
    });
    search::construct(&mut day, &ranks, &mut rng, report);
    let mut effort = search::Effort {
        iterations: options.iterations,
        threads: options.threads,
        heat: from.map_or(1.0, |_| start::WARM),
        enough: i64::MIN,
    };
    let quick = matches!(options.proof, Proof::Share(_)).then(|| {
        effort.iterations = Some(QUICK_STEPS_A_VISIT * model.visits.len() as u64);
        search::search(day.clone(), &ranks, &mut rng.fork(), &effort, report)
    });
    effort.iterations = options.iterations;
    let bound = proved(
        problem,
        quick.as_ref().unwrap_or(&day),
        options.proof,
        report,
    );
    effort.enough = bound + HUNDREDTH;
    let mut day = search::search(day, &ranks, &mut rng, &effort, report);
    if let Some(quick) = quick.filter(|quick| quick.cost() < day.cost()) {
        day = quick;
    }
    finish::finish(&mut day);
    // In a few steps a search may not make good what it first puts in at any cost.
    if let Some(mut begun) = begun {
        finish::finish(&mut begun);
        if begun.cost() < day.cost() {
            day = begun;
        }
    }
    write::plan(problem, &day, bound, options.seed)
}

/// The lower bound in units, as far as the proof goes.
fn proved(
    problem: &Problem,
    first: &Day,
    proof: Proof,
    report: &mut dyn FnMut(&Progress) -> Control,
) -> i64 {
    let progress = Progress::of(first, 0);
    let mut asked = 0;
    let mut go_on = || match (proof, report(&progress)) {
        (Proof::Floor, _) | (_, Control::Stop) => false,
        (Proof::Share(share), Control::Continue { spent }) => spent < share,
        (Proof::Steps(steps), _) => {
            asked += 1;
            asked <= steps
        }
    };
    match proof {
        Proof::Floor => bound::floor(problem, first.model),
        _ => bound::lower_bound(problem, first.model, &mut go_on),
    }
}

/// A cost that no plan of the problem is below, the nearer the longer `go_on` says so.
pub fn lower_bound(problem: &Checked, go_on: &mut dyn FnMut() -> bool) -> Total {
    let problem = problem.problem();
    Total::not_above(bound::lower_bound(problem, &Model::new(problem), go_on))
}
