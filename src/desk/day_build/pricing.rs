//! What leaving each piece of work out costs, from how pressing it is; and which courts are held by what is left out.

use std::collections::BTreeSet;

use planner::plan::Plan;
use trade::care::{Leaving, leaving_cents};
use trade::money::Cents;

use super::Built;
use super::crews::OnShift;
use super::inputs::Inputs;
use super::jobs::Job;
use super::turnarounds::Asked;
use crate::desk::place::Place;

/// Sets what leaving each job out costs.
pub fn price(asked: &mut [Asked], crews: &[OnShift]) {
    let day = most_of_the_day(asked, crews);
    let mut jobs: Vec<&mut Job> = asked
        .iter_mut()
        .filter_map(|one| match one {
            Asked::Job(job) => Some(&mut **job),
            Asked::LeftOut(_) => None,
        })
        .collect();
    let leaving: Vec<Leaving> = jobs
        .iter()
        .map(|job| Leaving {
            urgency: job.pressing.urgency,
            safety: job.pressing.safety,
            late_days: job.pressing.late_days,
            own: Cents(dearest(job, crews)),
        })
        .collect();
    for (job, cents) in jobs.iter_mut().zip(leaving_cents(&leaving, Cents(day))) {
        job.skip_cost = cents.0;
    }
}

/// The most that a plan of the day can cost beside what it leaves out, cents: every crew at its dearest from its
/// first second to its last, the dearest way of every job, and all of them as late as can be.
fn most_of_the_day(asked: &[Asked], crews: &[OnShift]) -> i64 {
    let of_crew = |on: &OnShift| {
        let crew = &on.crew;
        let length = (crew.overtime_until - crew.shift[0]).max(0);
        let balance = crew.over_load_cost_per_h.unwrap_or(0);
        let pay = i128::from(crew.cost_per_h) * i128::from(crew.overtime_pct.max(100)) / 100 + 1;
        let all = (pay + i128::from(balance)) * i128::from(length) / 3_600 + 1;
        i64::try_from(all).unwrap_or(i64::MAX)
    };
    let of_job = |one: &Asked| {
        let Asked::Job(job) = one else { return 0 };
        let ways = job.ways.iter().map(|(way, _)| way.extra_cost).max();
        let opens = job.windows.iter().map(|window| window[0]).min();
        let closes = job.windows.iter().map(|window| window[1]).max();
        let window = closes.unwrap_or(0).saturating_sub(opens.unwrap_or(0));
        let late = i128::from(job.late_cost_per_h) * i128::from(window) / 3_600 + 1;
        ways.unwrap_or(0)
            .saturating_add(i64::try_from(late).unwrap_or(i64::MAX))
    };
    crews
        .iter()
        .map(of_crew)
        .chain(asked.iter().map(of_job))
        .fold(0, i64::saturating_add)
}

/// What a job costs the crew that is dearest for it, cents.
fn dearest(job: &Job, crews: &[OnShift]) -> i64 {
    let of = |on: &OnShift| {
        let hands = usize::try_from(on.crew.hands - 1).unwrap_or(0);
        let longest = job.ways.iter().filter_map(|(way, _)| {
            let last = way.service_s.len().saturating_sub(1);
            way.service_s.get(hands.min(last)).copied()
        });
        let cents = i128::from(longest.max().unwrap_or(0)) * i128::from(on.crew.cost_per_h) / 3_600;
        i64::try_from(cents).unwrap_or(i64::MAX)
    };
    crews.iter().map(of).max().unwrap_or(0)
}

/// The courts that are held under a plan: work that must be done on them, or on their bank, is not in it.
pub fn held_courts(built: &Built, plan: &Plan) -> BTreeSet<i64> {
    let unserved = plan.unserved.iter().filter_map(|left| {
        let entry = built.table.get(&left.visit)?;
        entry.holds.then_some(entry.at)
    });
    let left_out = built.left_out.iter();
    let left_out = left_out
        .filter(|left| left.pressing.holds())
        .map(|left| left.at);
    unserved
        .chain(left_out)
        .flat_map(|at| courts_at(&built.inputs, at))
        .collect()
}

fn courts_at(inputs: &Inputs, at: Place) -> Vec<i64> {
    match at {
        Place::Court(id) => vec![id],
        Place::Bank(id) => {
            let courts = inputs.courts.iter().filter(|court| court.bank_id == id);
            courts.map(|court| court.id).collect()
        }
    }
}
