//! The crews of the rest.

use super::facts::Fact;
use super::standing::{Standing, standing};
use super::{Change, News, Note};
use crate::form::MOST;
use crate::plan::Plan;
use crate::problem::{Break, Crew, Problem, Span};

/// The crews of the rest.
#[derive(Debug)]
pub(super) struct OnDuty {
    /// Those that can still do something, from where and when they come free; behind them stand-ins: for tools in
    /// the hands of a crew that finishes what is running, somebody who holds them meanwhile.
    pub crews: Vec<Crew>,
    /// For each the id of the day's crew that has its kit in hands.
    pub kit_of: Vec<String>,
}

/// Who is on duty from the moment on.
pub(super) fn crews(
    day: &Problem,
    plan: &Plan,
    facts: &[Fact],
    news: &News,
    notes: &mut Vec<Note>,
) -> OnDuty {
    let mut crews = Vec::new();
    let mut holders = Vec::new();
    for i in 0..day.crews.len() {
        let now = standing(day, plan, facts, news, i);
        let mut crew = day.crews[i].clone();
        let held = [
            news.at.max(crew.kit_span()[0]),
            now.free.min(crew.kit_span()[1]),
        ];
        for changed in &news.changes {
            change(&mut crew, changed);
        }
        let free = now.free.max(crew.shift[0]);
        // With hours of its own the kit is counted from the moment on, by the crew itself where it is still there.
        let counted = crew.kit_hours.is_some() && free < crew.overtime_until;
        if held[0] < held[1] && !counted && now.kit.as_ref().is_some_and(|k| !k.is_empty()) {
            holders.push(holder(&crew, &now, held));
        }
        if free >= crew.overtime_until {
            notes.push(Note::CrewDone { crew: crew.id });
            continue;
        }
        from(&mut crew, &now, free, news.at, notes);
        crews.push(crew);
    }
    // Only a crew that still chooses could take such tools; whoever is on duty longer meets their crew itself.
    let still_there = |h: &Crew| crews.iter().any(|c| c.id == h.id);
    let needed = |h: &Crew| {
        let choosing = |c: &&Crew| c.kit.is_none() && c.kit_span()[0] < h.shift[1];
        let mut choosing = crews.iter().filter(choosing);
        choosing.any(|c| !still_there(h) || c.kit_span()[1] <= h.shift[1])
    };
    let mut needed: Vec<Crew> = holders.into_iter().filter(needed).collect();
    let kit_of = crews.iter().chain(&needed).map(|c| c.id.clone()).collect();
    for holder in &mut needed {
        holder.id += " until it comes free";
        while day.crews.iter().any(|c| c.id == holder.id) {
            holder.id.push('.');
        }
    }
    crews.append(&mut needed);
    OnDuty { crews, kit_of }
}

/// What a change does to this crew's hours.
fn change(crew: &mut Crew, change: &Change) {
    match change {
        Change::CrewGone { crew: id, from } if *id == crew.id => {
            let cut = |span: Span| span.map(|at| at.min(*from));
            crew.shift = crew.shift.map(|at| at.min(*from));
            crew.overtime_until = crew.overtime_until.min(*from);
            crew.kit_hours = crew.kit_hours.map(cut);
        }
        Change::CrewLate { crew: id, from } if *id == crew.id => {
            crew.shift[0] = crew.shift[0].max(*from);
            crew.shift[1] = crew.shift[1].max(crew.shift[0]);
            crew.overtime_until = crew.overtime_until.max(crew.shift[1]);
        }
        _ => {}
    }
}

/// Starts the crew at `free` with what it has left.
fn from(crew: &mut Crew, now: &Standing, free: i64, at: i64, notes: &mut Vec<Note>) {
    crew.start_place = now.place;
    crew.shift = [free, crew.shift[1].max(free)];
    crew.kit.clone_from(&now.kit);
    crew.kit_hours = crew.kit_hours.map(|[from, to]| [from.max(at).min(to), to]);
    crew.load_limit_g = (crew.load_limit_g - now.load).max(0);
    crew.fair_load_s = crew.fair_load_s.map(|fair| (fair - now.worked).max(0));
    crew.breaks.drain(..now.rested);
    let mut ready = free;
    for (i, b) in crew.breaks.iter_mut().enumerate() {
        if b.start_window[1] < ready {
            b.start_window[1] = ready.min(MOST);
            notes.push(Note::BreakLate {
                crew: crew.id.clone(),
                nth: now.rested + i,
            });
        }
        ready = ready.max(b.start_window[0]) + b.length_s;
    }
}

/// Somebody who holds the crew's tools meanwhile and can do nothing: its shift is over when it begins, and it
/// would have a break to take.
fn holder(crew: &Crew, now: &Standing, hours: Span) -> Crew {
    let shift = [hours[1]; 2];
    Crew {
        id: crew.id.clone(),
        skills: Vec::new(),
        shift,
        overtime_until: shift[1],
        load_limit_g: 0,
        breaks: vec![Break {
            length_s: 1,
            start_window: shift,
        }],
        kit: now.kit.clone(),
        kit_hours: Some(hours),
        ..crew.clone()
    }
}
