//! What somebody decided by hand, put into the day problem.

use planner::problem::{Pin, Problem, Visit};

use super::crews::crew_key;
use super::inputs::Inputs;
use super::jobs::{LeftOut, Pressing};
use super::turnarounds::Asked;
use crate::store::day_changes::{ChangeKind, ChangeRow};

/// The reason of work that somebody dropped.
pub const DROPPED_BY_HAND: &str = "dropped_by_hand";

/// The name of a care task's visit on a court.
pub fn care_key(task: i64, court: i64) -> String {
    format!("care:{task}:court:{court}")
}

/// Whether somebody added this visit.
pub fn is_added(inputs: &Inputs, key: &str) -> bool {
    let mut changes = inputs.changes.iter();
    changes.any(|change| change.kind == ChangeKind::Add && change.visit_key == key)
}

/// The work, less what somebody dropped.
pub fn less_dropped(inputs: &Inputs, asked: Vec<Asked>) -> Vec<Asked> {
    let is_dropped = |key: &str| {
        let mut changes = inputs.changes.iter();
        changes.any(|change| change.kind == ChangeKind::Drop && change.visit_key == key)
    };
    asked
        .into_iter()
        .map(|one| match one {
            // What comes after it goes with it.
            Asked::Job(job)
                if is_dropped(&job.key) || job.after.iter().any(|key| is_dropped(key)) =>
            {
                Asked::LeftOut(LeftOut {
                    opens: job.windows.iter().map(|w| w[0]).min().unwrap_or(0),
                    closes: job.windows.iter().map(|w| w[1]).max().unwrap_or(0),
                    key: job.key,
                    at: job.at,
                    title: job.title,
                    reason: DROPPED_BY_HAND,
                    until: None,
                    pressing: Pressing {
                        safety: job.pressing.safety && job.after.is_empty(),
                        ..job.pressing
                    },
                })
            }
            other => other,
        })
        .collect()
}

/// Tells the crew and start of the visits that somebody pinned.
pub fn pin(inputs: &Inputs, visits: &mut [Visit]) {
    for change in &inputs.changes {
        let visit = visits.iter_mut().find(|v| v.id == change.visit_key);
        if let Some(visit) = visit.filter(|_| change.kind == ChangeKind::Pin) {
            visit.pinned = pin_of(inputs, change, visit);
        }
    }
}

/// The pin, where its crew is on shift; its start, while the visit may still start then.
fn pin_of(inputs: &Inputs, change: &ChangeRow, visit: &Visit) -> Option<Pin> {
    let crew_id = change.crew_id?;
    let is_there = inputs.shifts.iter().any(|shift| shift.crew_id == crew_id);
    let start = change.start_at.map(|at| inputs.clock.begins(at));
    let [opens, closes] = visit.window;
    is_there.then(|| Pin {
        crew: crew_key(crew_id),
        start_s: start.filter(|start| (opens..closes).contains(start)),
    })
}

/// Pins that contradict each other or the day by now must not keep the day from being planned:
/// each gives up its start first, then itself.
pub fn loosen(problem: &mut Problem) {
    for _ in 0..=2 * problem.visits.len() {
        let Err(faults) = problem.clone().checked() else {
            return;
        };
        let pinned: Vec<usize> = faults
            .iter()
            .filter_map(|fault| {
                let rest = fault.pointer.strip_prefix("/visits/")?;
                rest.strip_suffix("/pinned")?.parse().ok()
            })
            .collect();
        if pinned.is_empty() {
            return;
        }
        for at in pinned {
            let Some(visit) = problem.visits.get_mut(at) else {
                continue;
            };
            match &mut visit.pinned {
                Some(pin) if pin.start_s.is_some() => pin.start_s = None,
                _ => visit.pinned = None,
            }
        }
    }
}
