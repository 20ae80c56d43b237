//! The visits of the rest.

use std::collections::{HashMap, HashSet};

use super::facts::Fact;
use super::windows::{Blocks, no_time, no_way, ways};
use super::{Change, News, Note};
use crate::form::MOST_CENTS;
use crate::plan::Plan;
use crate::problem::{Crew, Prefer, Problem, Span, Visit};

/// The visits that are still to be made, new ones last; for each of their ways the way of the day's problem.
pub(super) fn visits(
    day: &Problem,
    plan: &Plan,
    facts: &[Fact],
    news: &News,
    blocks: &Blocks,
    crews: &[Crew],
    notes: &mut Vec<Note>,
) -> (Vec<Visit>, Vec<Vec<usize>>) {
    let mut known: Vec<Visit> = day.visits.clone();
    let mut dropped: HashSet<&str> = HashSet::new();
    for change in &news.changes {
        match change {
            Change::NewVisit { visit } => known.push((**visit).clone()),
            Change::VisitDropped { visit } => {
                dropped.insert(visit);
            }
            Change::WindowChanged { visit, window, way } => {
                for v in known.iter_mut().filter(|v| v.id == *visit) {
                    set_window(v, *window, *way);
                }
            }
            _ => {}
        }
    }
    let begun: HashMap<&str, i64> = facts
        .iter()
        .map(|f| (day.visits[f.visit].id.as_str(), f.end))
        .collect();
    let present: HashMap<&str, &str> = plan
        .rounds
        .iter()
        .flat_map(|r| r.stops.iter().map(|s| (s.visit.as_str(), r.crew.as_str())))
        .collect();
    let there = |id: &str| crews.iter().any(|c| c.id == id);
    let (mut out, mut numbers) = (Vec::new(), Vec::new());
    for mut visit in known {
        let id = visit.id.as_str();
        if begun.contains_key(id) || dropped.contains(id) {
            continue;
        }
        let waited = visit.after.iter().filter_map(|a| begun.get(a.as_str()));
        let from = waited.copied().fold(news.at, i64::max);
        visit
            .after
            .retain(|a| !begun.contains_key(a.as_str()) && !dropped.contains(a.as_str()));
        let crew = present.get(id).copied().filter(|c| there(c));
        visit.prefer = prefer(visit.prefer.take(), crew, news.change_cost);
        if visit
            .prefer
            .as_ref()
            .is_some_and(|p| unknown(day, crews, &p.crew))
        {
            visit.prefer = None;
        }
        if visit
            .pinned
            .as_ref()
            .is_some_and(|p| unknown(day, crews, &p.crew))
        {
            visit.pinned = None;
            notes.push(Note::PinLost {
                visit: visit.id.clone(),
            });
        }
        if visit.ways.is_empty() {
            // A new visit without a way is refused with the whole problem.
            numbers.push(Vec::new());
        } else {
            let mut ways = ways(&visit, from, blocks);
            if ways.is_empty() {
                ways.push((0, no_way(&visit.ways[0], from)));
                notes.push(Note::WindowGone {
                    visit: visit.id.clone(),
                });
            }
            numbers.push(ways.iter().map(|(w, _)| *w).collect());
            visit.ways = ways.into_iter().map(|(_, way)| way).collect();
        }
        out.push(visit);
    }
    (out, numbers)
}

/// A crew of the day that has no part in the rest; an id nobody knows is left for the fault it makes.
fn unknown(day: &Problem, crews: &[Crew], id: &str) -> bool {
    day.crews.iter().any(|c| c.id == id) && !crews.iter().any(|c| c.id == id)
}

fn set_window(visit: &mut Visit, window: Span, way: Option<usize>) {
    if let Some(way) = way.and_then(|w| visit.ways.get_mut(w)) {
        way.window = Some(window);
        return;
    }
    visit.window = window;
    for way in &mut visit.ways {
        let Some([open, close]) = way.window else {
            continue;
        };
        let (open, close) = (open.max(window[0]), close.min(window[1]));
        way.window = Some([open, close.max(open)]);
        if close < open {
            // Nothing is left of it, not even for work that takes no time.
            no_time(way);
        }
    }
}

/// The crew of the present plan is preferred, but where a dearer wish of the visit's own stands against it.
fn prefer(own: Option<Prefer>, crew: Option<&str>, change_cost: i64) -> Option<Prefer> {
    let Some(crew) = crew else { return own };
    let kept = Prefer {
        crew: crew.to_owned(),
        change_cost,
    };
    Some(match own {
        Some(own) if own.crew == crew => Prefer {
            change_cost: own.change_cost.saturating_add(change_cost).min(MOST_CENTS),
            ..own
        },
        Some(own) if own.change_cost > change_cost => own,
        _ => kept,
    })
}
