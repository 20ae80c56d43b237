//! The day as the bound sees it: every offer that some plan might use, and which crews are alike.
//!
//! The search's own offers leave out what the search never does; the bound is one of all plans that the rules allow.

use std::collections::HashMap;

use crate::model::{Model, short, small};
use crate::money::CENT;
use crate::problem::{self, Problem};
use crate::reasons::Lookup;
use crate::spans;

/// What the bound keeps of a day.
pub(super) struct Task<'m> {
    pub model: &'m Model,
    class: HashMap<&'m str, usize>,
    /// The model's sets of classes to their indexes.
    sets: HashMap<&'m [usize], usize>,
    pub visits: Vec<Visit>,
    pub groups: Vec<Group>,
}

/// A visit served by a group's crews in a way; times in seconds, money in units.
///
/// Kept small like the search's offers, of which there are as many.
#[derive(Debug)]
pub(super) struct Offer {
    cost: i64,
    /// Units a second after the aim.
    late_rate: i64,
    group: u32,
    dur: u32,
    lo: u32,
    hi: u32,
    aim: u32,
    /// Index into the model's sets.
    set: u32,
}

impl Offer {
    pub fn group(&self) -> usize {
        self.group as usize
    }

    /// Seconds of work.
    pub fn dur(&self) -> i64 {
        i64::from(self.dur)
    }

    /// Earliest start.
    pub fn lo(&self) -> i64 {
        i64::from(self.lo)
    }

    /// Latest end, within the crew's day.
    pub fn hi(&self) -> i64 {
        i64::from(self.hi)
    }

    /// Distinct classes.
    pub fn tools<'m>(&self, model: &'m Model) -> &'m [usize] {
        &model.sets[self.set as usize]
    }

    /// Service, extra cost and change cost.
    pub fn cost(&self) -> i64 {
        self.cost
    }

    /// Units for ending then.
    pub fn late(&self, end: i64) -> i64 {
        self.late_rate * (end - i64::from(self.aim)).max(0)
    }
}

/// A visit with all its offers of the crews that stand for their group, sorted by crew.
pub(super) struct Visit {
    pub offers: Vec<Offer>,
}

/// Crews that are alike in everything.
pub(super) struct Group {
    /// The first of them.
    pub crew: usize,
    /// How many they are.
    pub copies: i64,
    /// Its fair share in seconds, no more than its day is long.
    pub fair_s: i64,
}

impl<'m> Task<'m> {
    pub fn new(problem: &'m Problem, model: &'m Model) -> Self {
        let classes = problem.tools.iter().enumerate();
        let sets = model.sets.iter().enumerate();
        let mut task = Self {
            model,
            class: classes.map(|(k, t)| (t.class.as_str(), k)).collect(),
            sets: sets.map(|(k, set)| (&**set, k)).collect(),
            visits: Vec::with_capacity(model.visits.len()),
            groups: groups(model),
        };
        let lookup = Lookup::new(problem);
        for i in 0..problem.visits.len() {
            let offers = task.offers(&lookup, problem, i);
            task.visits.push(Visit { offers });
        }
        task.wait(problem);
        task
    }

    fn offers(&self, lookup: &Lookup, problem: &Problem, i: usize) -> Vec<Offer> {
        let v = &problem.visits[i];
        let sets: Vec<usize> = v.ways.iter().map(|way| self.set(way)).collect();
        let mut out = Vec::new();
        for (g, group) in self.groups.iter().enumerate() {
            let crew = &problem.crews[group.crew];
            if v.pinned.as_ref().is_some_and(|p| p.crew != crew.id) {
                continue;
            }
            let first = out.len();
            for (way, &set) in v.ways.iter().zip(&sets) {
                out.extend(self.offer(lookup, (v, i), (crew, g), (way, set)));
            }
            leave_best(self.model, &mut out, first);
        }
        out.shrink_to_fit();
        out
    }

    /// The way's classes as an index into the model's sets.
    fn set(&self, way: &problem::Way) -> usize {
        let classes = way.classes();
        let classes: Vec<usize> = classes.iter().map(|t| self.class[t]).collect();
        self.sets[classes.as_slice()]
    }

    /// The offer of a way, unless the problem alone rules it out.
    fn offer(
        &self,
        lookup: &Lookup,
        (v, i): (&problem::Visit, usize),
        (crew, g): (&problem::Crew, usize),
        (way, set): (&problem::Way, usize),
    ) -> Option<Offer> {
        let (group, visit) = (&self.groups[g], &self.model.visits[i]);
        let own = &self.model.crews[group.crew];
        if !crew.skilled(way)
            || crew.hands < way.min_hands
            || !could_hold(lookup, crew, way)
            || v.load_g > crew.load_limit_g
        {
            return None;
        }
        let dur = way.service(crew.hands);
        let [mut lo, mut hi] = v.window_of(way);
        if let Some([from, to]) = crew.kit_hours
            && !way.tools.is_empty()
        {
            lo = lo.max(from);
            hi = hi.min(to);
        }
        if let Some(start) = v.pinned.as_ref().and_then(|p| p.start_s) {
            if start < lo {
                return None;
            }
            lo = start;
            hi = hi.min(start + dur);
        }
        lo = lo.max(own.from + own.there[visit.place]);
        hi = hi.min(own.until - own.home[visit.place]);
        if let Some(water) = &visit.water {
            hi = hi.min(water.ready_by - water.run);
            let line = &self.model.lines[water.line];
            let run = (water.flow, water.run);
            let taken = line.taken.iter().copied();
            spans::slot(&taken, run, lo + dur, water.ready_by, line.capacity)?;
        }
        let change = v.prefer.as_ref().filter(|p| p.crew != crew.id);
        let extra = way.extra_cost + change.map_or(0, |p| p.change_cost);
        (lo + dur <= hi).then(|| Offer {
            group: short(g),
            dur: small(dur),
            lo: small(lo),
            hi: small(hi),
            aim: small(v.aim_of(way)),
            late_rate: visit.late_rate,
            set: short(set),
            cost: own.rate * dur + extra * CENT,
        })
    }

    /// What a second above a group's fair share costs, 0 where its crews cannot work so long.
    pub fn most_balance(&self, group: &Group) -> i64 {
        let crew = &self.model.crews[group.crew];
        if crew.fair_s < crew.until - crew.from {
            crew.over_rate
        } else {
            0
        }
    }

    /// No visit starts before everything it waits for can have ended, nor where that never ends.
    fn wait(&mut self, problem: &Problem) {
        let n = self.visits.len();
        let mut waits: Vec<usize> = (0..n).map(|i| self.model.visits[i].after.len()).collect();
        let mut ready: Vec<usize> = (0..n).filter(|&i| waits[i] == 0).collect();
        let mut lo = vec![0; problem.visits.len()];
        while let Some(i) = ready.pop() {
            self.visits[i].offers.retain_mut(|o| {
                o.lo = o.lo.max(small(lo[i]));
                o.lo() + o.dur() <= o.hi()
            });
            let ends = self.visits[i].offers.iter().map(|o| o.lo() + o.dur());
            let end = ends.min().unwrap_or(i64::MAX / 4);
            for &k in &self.model.visits[i].before {
                lo[k] = lo[k].max(end);
                waits[k] -= 1;
                if waits[k] == 0 {
                    ready.push(k);
                }
            }
        }
    }
}

/// Takes out offers that another is at least as good as in everything.
fn leave_best(model: &Model, offers: &mut Vec<Offer>, first: usize) {
    let as_good = |a: &Offer, b: &Offer| {
        a.cost <= b.cost
            && a.dur <= b.dur
            && a.lo <= b.lo
            && a.hi() - a.dur() >= b.hi() - b.dur()
            && a.aim >= b.aim
            && a.tools(model).iter().all(|t| b.tools(model).contains(t))
    };
    let mut i = first;
    while i < offers.len() {
        let better = |k: usize| {
            as_good(&offers[k], &offers[i]) && (k < i || !as_good(&offers[i], &offers[k]))
        };
        if (first..offers.len()).any(|k| k != i && better(k)) {
            offers.remove(i);
        } else {
            i += 1;
        }
    }
}

/// By the letter of the rules a class of which there is none may be held where no hours are counted; no plan
/// made here does so, but the bound is one of all plans.
fn could_hold(lookup: &Lookup, crew: &problem::Crew, way: &problem::Way) -> bool {
    let [from, to] = crew.kit_span();
    if from == to {
        crew.has_room_for(way)
    } else {
        lookup.can_hold(crew, way)
    }
}

fn groups(model: &Model) -> Vec<Group> {
    let crews = model.crews.iter().enumerate();
    let firsts = crews.filter(|(c, crew)| crew.twin_of == *c);
    firsts
        .map(|(c, crew)| Group {
            crew: c,
            copies: model.crews.iter().map(|k| i64::from(k.twin_of == c)).sum(),
            fair_s: crew.fair_s.min(crew.until - crew.from),
        })
        .collect()
}
