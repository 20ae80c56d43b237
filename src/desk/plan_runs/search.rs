//! The search itself: a day problem in, a judged plan out, and the thread it runs on.

use std::fmt::Write as _;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::Arc;
use std::time::{Duration, Instant as Elapsed};

use planner::judge::violations;
use planner::money::Total;
use planner::plan::Plan;
use planner::problem::Problem;
use planner::{Control, Options, Progress, Proof};

use crate::desk::access::{Permit, PlanDay};
use crate::desk::at_work::Place;
use crate::desk::{Office, Result};
use crate::store::columns;
use crate::store::day_plans::runs::{
    RunFound, RunState, run_begin, run_end, run_progress, run_ready,
};

/// How often a run says how far it is, and looks whether it was told to stop.
const EVERY: Duration = Duration::from_millis(500);

/// Steps of the lower bound where the search counts steps as well: about a second with 60 visits, which lifted the
/// bound of such a day from 38 to 73 % of its cost.
const BOUND_STEPS: u64 = 9000;

/// What a run says whose search ended with the service.
const STOPPED: &str =
    "the service was stopped while this run was at work: this is the best plan it had by then";

/// How long to search.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Limit {
    /// Until this time is over.
    Time(Duration),
    /// So many steps, whatever they take: the same problem and seed then give the same plan.
    Steps(u64),
}

impl Limit {
    /// So many seconds.
    pub fn seconds(seconds: i64) -> Self {
        Self::Time(Duration::from_secs(u64::try_from(seconds).unwrap_or(0)))
    }

    /// The time as whole seconds; 0 where steps are counted.
    pub fn whole_seconds(&self) -> i64 {
        match self {
            Self::Time(time) => i64::try_from(time.as_secs()).unwrap_or(i64::MAX),
            Self::Steps(_) => 0,
        }
    }
}

/// A plan that keeps every rule.
#[derive(Clone, Debug)]
pub struct Found {
    /// As JSON.
    pub text: String,
    /// What it costs, cents.
    pub cost_cents: i64,
    /// No plan of the day can cost less, cents.
    pub lower_bound_cents: i64,
}

impl Found {
    /// As it is stored with its run; `message` is what else is to be known of it.
    pub fn as_stored<'a>(&'a self, message: Option<&'a str>) -> RunFound<'a> {
        RunFound {
            message,
            plan: &self.text,
            cost_cents: self.cost_cents,
            lower_bound_cents: self.lower_bound_cents,
        }
    }
}

/// Why there is no plan.
#[derive(Clone, Debug, thiserror::Error)]
pub enum NoPlan {
    /// The problem breaks its form.
    #[error("the day cannot be planned as it stands: {0}")]
    Refused(String),
    /// The planner broke a rule, or stopped.
    #[error("planning failed: {0}")]
    Failed(String),
}

/// Searches, judges what it found, and gives it only where it keeps every rule. `stop` is asked
/// at every step.
pub fn search(
    problem: Problem,
    seed: u64,
    limit: &Limit,
    stop: &mut dyn FnMut(&Progress) -> bool,
) -> Result<Found, NoPlan> {
    let checked = problem.checked().map_err(|faults| {
        let mut all = String::new();
        for fault in faults {
            // Writing to a String cannot fail.
            let _ = write!(all, "{fault}; ");
        }
        NoPlan::Refused(all)
    })?;
    let begun = Elapsed::now();
    let visits = checked.problem().visits.len();
    let (budget, iterations, proof) = match limit {
        Limit::Time(time) => {
            let proof = Proof::usual(visits, time.as_secs_f64());
            (Some(*time), None, proof)
        }
        Limit::Steps(steps) => (None, Some(*steps), Proof::Steps(BOUND_STEPS)),
    };
    let options = Options {
        seed,
        iterations,
        threads: threads(),
        proof,
    };
    let mut plan = planner::plan(&checked, &options, &mut |progress| {
        if stop(progress) {
            return Control::Stop;
        }
        let Some(budget) = budget else {
            return Control::Continue { spent: 0.0 };
        };
        let elapsed = begun.elapsed();
        if elapsed >= budget {
            Control::Stop
        } else {
            let spent = elapsed.as_secs_f64() / budget.as_secs_f64();
            Control::Continue { spent }
        }
    });
    plan.elapsed_ms = u64::try_from(begun.elapsed().as_millis()).unwrap_or(u64::MAX);
    let broken = violations(&checked, &plan);
    if !broken.is_empty() {
        return Err(NoPlan::Failed(format!(
            "the plan broke a rule: {}",
            broken.join("; ")
        )));
    }
    found(&plan)
}

/// Half of the machine, so that the pages stay quick while a day is planned.
fn threads() -> usize {
    let all = std::thread::available_parallelism().map_or(1, std::num::NonZero::get);
    (all / 2).max(1)
}

/// A plan that was judged, as it is kept.
pub(super) fn found(plan: &Plan) -> Result<Found, NoPlan> {
    Ok(Found {
        text: columns::json(plan).map_err(|e| NoPlan::Failed(e.to_string()))?,
        cost_cents: nearest_cent(plan.cost.total),
        lower_bound_cents: plan.lower_bound.hundredths().div_euclid(100),
    })
}

/// Whole cents.
pub fn nearest_cent(total: Total) -> i64 {
    (total.hundredths() + 50).div_euclid(100)
}

/// Begins a run that waits, on a thread of its own.
pub fn begin(
    office: &Arc<Office>,
    permit: &Permit<PlanDay>,
    run: i64,
    place: Place,
    problem: Problem,
    seed: u64,
    limit: Limit,
) {
    let (on_thread, its_permit) = (office.clone(), permit.clone());
    let begun = std::thread::Builder::new()
        .name(format!("plan-run-{run}"))
        .spawn(move || {
            at_work(&on_thread, &its_permit, run, problem, seed, limit);
            drop(place);
        });
    if let Err(why) = begun {
        tracing::error!(run, error = %why, "a planning run could not be begun");
        end(
            office,
            permit,
            run,
            &Err(NoPlan::Failed("it could not be begun".into())),
        );
    }
}

fn at_work(
    office: &Office,
    permit: &Permit<PlanDay>,
    run: i64,
    problem: Problem,
    seed: u64,
    limit: Limit,
) {
    let now = office.now();
    let begun = office
        .db
        .write_shared(|conn| run_begin(conn, permit, run, now));
    if let Err(why) = begun {
        tracing::error!(run, error = %why, "a planning run could not be begun");
        return;
    }
    let mut last = Elapsed::now();
    let mut told_to_stop = false;
    let mut stop = |progress: &Progress| {
        if last.elapsed() >= EVERY {
            last = Elapsed::now();
            let cost = nearest_cent(progress.cost);
            let asked = office
                .db
                .write_shared(|conn| run_progress(conn, permit, run, cost));
            match asked {
                Ok(asked) => told_to_stop = asked,
                // The search goes on: its plan is what counts.
                Err(why) => tracing::warn!(run, error = %why, "a run could not say how far it is"),
            }
        }
        told_to_stop || office.at_work.stopping()
    };
    let searched = catch_unwind(AssertUnwindSafe(|| {
        search(problem, seed, &limit, &mut stop)
    }));
    let found = searched.unwrap_or_else(|_| Err(NoPlan::Failed("the planner stopped".into())));
    end(office, permit, run, &found);
}

fn end(office: &Office, permit: &Permit<PlanDay>, run: i64, found: &Result<Found, NoPlan>) {
    let now = office.now();
    let message = office.at_work.stopping().then_some(STOPPED);
    let kept = office.db.write_shared(|conn| match found {
        Ok(found) => run_ready(conn, permit, run, &found.as_stored(message), now),
        Err(why) => {
            tracing::error!(run, %why, "a planning run gave no plan");
            let state = match why {
                NoPlan::Refused(_) => RunState::Refused,
                NoPlan::Failed(_) => RunState::Failed,
            };
            run_end(conn, permit, run, state, &why.to_string(), now)
        }
    });
    if let Err(why) = kept {
        tracing::error!(run, error = %why, "what a planning run gave could not be kept");
    }
}
