//! Pins and kits of the rest that no longer go together: they are given up one by one, with a note, until the
//! problem is sound.

use std::collections::HashSet;

use super::{Change, News, Note};
use crate::contradictions::SUMS;
use crate::fault::Fault;
use crate::plan::Plan;
use crate::problem::{Checked, Problem};

/// Proves the problem, less what contradicts the rest of it; `kit_of` names for each of its crews the day's crew
/// that has its kit in hands.
pub(super) fn sound(
    mut rest: Problem,
    kit_of: &[String],
    present: &Plan,
    news: &News,
    notes: &mut Vec<Note>,
) -> Result<Checked, Vec<Fault>> {
    for change in &news.changes {
        if let Change::ToolBroken {
            class,
            crew: Some(id),
            ..
        } = change
        {
            lose(&mut rest, kit_of, id, class, notes);
        }
    }
    // Of a class that is gone nobody has one left, whatever the hours in which kits are counted.
    let gone = rest.tools.iter().filter(|t| t.count == 0);
    let gone: Vec<String> = gone.map(|t| t.class.clone()).collect();
    for class in gone {
        for id in kit_of {
            lose(&mut rest, kit_of, id, &class, notes);
        }
    }
    loop {
        let faults = match rest.clone().checked() {
            Ok(problem) => return Ok(problem),
            Err(faults) => faults,
        };
        let pins: Vec<usize> = faults.iter().filter_map(|f| pin(&f.pointer)).collect();
        let kits: Vec<(usize, usize)> = faults.iter().filter_map(|f| kit(&f.pointer)).collect();
        if pins.len() == faults.len() {
            for i in pins {
                unpin(&mut rest, i, notes);
            }
        } else if kits.len() == faults.len() {
            let Some(&(crew, k)) = kits.first() else {
                return Err(faults);
            };
            let Some(class) = class(&rest, crew, k) else {
                return Err(faults);
            };
            let holders = kits
                .iter()
                .filter(|&&(c, k)| class_is(&rest, c, k, &class))
                .map(|&(c, _)| &kit_of[c]);
            let Some(id) = holders.min_by_key(|id| uses(&rest, present, id, &class)) else {
                return Err(faults);
            };
            lose(&mut rest, kit_of, id, &class, notes);
        } else {
            return Err(faults.into_iter().map(|f| told(f, &rest, news)).collect());
        }
    }
}

/// The visit whose pin is meant.
fn pin(pointer: &str) -> Option<usize> {
    let number = pointer.strip_prefix("/visits/")?.strip_suffix("/pinned")?;
    number.parse().ok()
}

/// The crew and the entry of its kit that is meant.
fn kit(pointer: &str) -> Option<(usize, usize)> {
    let (crew, entry) = pointer.strip_prefix("/crews/")?.split_once("/kit/")?;
    Some((crew.parse().ok()?, entry.parse().ok()?))
}

fn class(rest: &Problem, crew: usize, k: usize) -> Option<String> {
    rest.crews[crew].kit.as_ref()?.get(k).cloned()
}

fn class_is(rest: &Problem, crew: usize, k: usize, class: &str) -> bool {
    let kit = rest.crews[crew].kit.as_ref();
    kit.and_then(|kit| kit.get(k)).is_some_and(|c| c == class)
}

/// How many of the crew's stops in the present plan need the class; none where it can do nothing more.
fn uses(rest: &Problem, present: &Plan, id: &str, class: &str) -> usize {
    let there = rest.crews.iter().any(|c| c.id == id);
    let rounds = present.rounds.iter().filter(|r| there && r.crew == id);
    let needing: HashSet<(&str, usize)> = rest
        .visits
        .iter()
        .flat_map(|v| {
            let ways = v.ways.iter().enumerate();
            let needing = ways.filter(|(_, way)| way.tools.iter().any(|t| t == class));
            needing.map(|(w, _)| (v.id.as_str(), w))
        })
        .collect();
    rounds
        .flat_map(|r| &r.stops)
        .filter(|s| needing.contains(&(s.visit.as_str(), s.way)))
        .count()
}

/// Takes the class from the day's crew of this id: a stand-in holds nothing that its crew has not.
fn lose(rest: &mut Problem, kit_of: &[String], id: &str, class: &str, notes: &mut Vec<Note>) {
    let mut had = false;
    for (crew, _) in rest
        .crews
        .iter_mut()
        .zip(kit_of)
        .filter(|(_, of)| *of == id)
    {
        if let Some(kit) = crew.kit.as_mut().filter(|k| k.iter().any(|c| c == class)) {
            kit.retain(|k| k != class);
            had = true;
        }
    }
    if had {
        notes.push(Note::ToolLost {
            crew: id.to_owned(),
            class: class.to_owned(),
        });
    }
}

/// Gives up the pin's start, or the pin where it has none.
fn unpin(rest: &mut Problem, visit: usize, notes: &mut Vec<Note>) {
    let visit = &mut rest.visits[visit];
    let id = visit.id.clone();
    match &mut visit.pinned {
        Some(pin) if pin.start_s.is_some() => {
            pin.start_s = None;
            notes.push(Note::PinWithoutStart { visit: id });
        }
        _ => {
            visit.pinned = None;
            notes.retain(|n| !matches!(n, Note::PinWithoutStart { visit } if *visit == id));
            notes.push(Note::PinLost { visit: id });
        }
    }
}

/// A fault of a new visit is one of the change that brings it. What is new in the sums is mostly the change cost.
fn told(fault: Fault, rest: &Problem, news: &News) -> Fault {
    let renamed = || {
        if fault.pointer == SUMS {
            return Some("/change_cost".to_owned());
        }
        let (number, field) = fault.pointer.strip_prefix("/visits/")?.split_once('/')?;
        let visit = rest.visits.get(number.parse::<usize>().ok()?)?;
        let brings =
            |c: &Change| matches!(c, Change::NewVisit { visit: new } if new.id == visit.id);
        let change = news.changes.iter().position(brings)?;
        Some(format!("/changes/{change}/visit/{field}"))
    };
    Fault {
        pointer: renamed().unwrap_or_else(|| fault.pointer.clone()),
        text: fault.text,
    }
}
