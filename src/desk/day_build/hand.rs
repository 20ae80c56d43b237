//! What somebody decided by hand, put into the day problem.

use planner::problem::{Pin, Problem, Visit};

use super::crews::crew_key;
use super::inputs::Inputs;
use super::jobs::{Entry, LeftOut};
use crate::store::day_changes::{ChangeKind, ChangeRow};

/// The reason of work that somebody dropped.
pub const DROPPED_BY_HAND: &str = "dropped_by_hand";

/// Takes the dropped visits out and tells the crew and start of the pinned ones.
pub fn apply(
    inputs: &Inputs,
    visits: &mut Vec<Visit>,
    entries: &mut Vec<Entry>,
    left_out: &mut Vec<LeftOut>,
) {
    for change in &inputs.changes {
        let Some(at) = visits.iter().position(|v| v.id == change.visit_key) else {
            // It is not due any more, or somebody did it.
            continue;
        };
        match change.kind {
            ChangeKind::Free => {}
            ChangeKind::Pin => {
                if let Some(visit) = visits.get_mut(at) {
                    visit.pinned = pin(inputs, change, visit);
                }
            }
            ChangeKind::Drop => {
                visits.remove(at);
                let entry = entries.remove(at);
                left_out.push(LeftOut {
                    key: entry.key,
                    at: entry.at,
                    title: entry.title,
                    reason: DROPPED_BY_HAND,
                    opens: entry.opens,
                    closes: entry.closes,
                });
            }
        }
    }
}

/// The pin, where its crew is on shift; its start, while the visit may still start then.
fn pin(inputs: &Inputs, change: &ChangeRow, visit: &Visit) -> Option<Pin> {
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
/// their starts fall first, then the pins.
pub fn loosen(problem: &mut Problem) {
    let is_sound = |problem: &Problem| problem.clone().checked().is_ok();
    if problem.visits.iter().all(|v| v.pinned.is_none()) || is_sound(problem) {
        return;
    }
    for visit in &mut problem.visits {
        if let Some(pin) = &mut visit.pinned {
            pin.start_s = None;
        }
    }
    if !is_sound(problem) {
        for visit in &mut problem.visits {
            visit.pinned = None;
        }
    }
}
