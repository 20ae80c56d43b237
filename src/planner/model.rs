//! The problem in the form the search works on: indexes for ids, and for every visit the offers, the pairs
//! of crew and way that could serve it.
//!
//! Money is in units of 1/360,000 cent (see [`money`](crate::money)), rates in units a second.
//!
//! **Measured** on a day of 2,000 visits and 60 crews: offers of 40 bytes, which had been 80 here and more in the
//! bound's `task`, and travel times of four took the peak of a whole run from 79 to 48 MB, at the same speed.

use std::collections::HashMap;
use std::sync::Arc;

use crate::detours::Shortest;
use crate::money::{CENT, PER_HOUR};
use crate::plan::Reason;
use crate::problem::{self, Problem};
use crate::reasons::{self, Lookup};
use crate::spans::Flow;

/// Longer than any crew's day, and short enough to be multiplied by any rate.
const NEVER_S: i64 = 20_000_000;

/// A day problem, indexed.
#[derive(Debug)]
pub(crate) struct Model {
    places: usize,
    /// Seconds, row by row.
    travel: Vec<u32>,
    pub crews: Vec<Crew>,
    pub visits: Vec<Visit>,
    /// Tools of each class.
    pub count: Vec<i64>,
    /// The sets of classes that some way uses together.
    pub sets: Vec<Box<[usize]>>,
    pub lines: Vec<Line>,
}

#[derive(Debug)]
pub(crate) struct Crew {
    pub from: i64,
    pub shift_end: i64,
    pub until: i64,
    pub start_place: usize,
    pub end_place: usize,
    /// Seconds from its start to each place, at least.
    pub there: Arc<[i64]>,
    /// Seconds from each place to its end, at least.
    pub home: Arc<[i64]>,
    /// Units a second of travel and service.
    pub rate: i64,
    /// Units a second of overtime, the premium only.
    pub premium: i64,
    pub fair_s: i64,
    /// Units a second above the fair share.
    pub over_rate: i64,
    pub kit_limit: usize,
    /// The classes of a given kit.
    pub given: Option<Vec<usize>>,
    /// When its kit is counted.
    pub kit_span: [i64; 2],
    pub load_limit: i64,
    pub breaks: Vec<Break>,
    /// The first crew that is like this one in everything: of several such without a round, it is enough to
    /// try one.
    pub twin_of: usize,
}

/// A break of `len` seconds that starts in `[open, close]`.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Break {
    pub len: i64,
    pub open: i64,
    pub close: i64,
}

#[derive(Debug)]
pub(crate) struct Visit {
    pub place: usize,
    /// One crew at a time is to be watched: the place is not open and other visits are there too.
    pub shared: bool,
    /// Neither place, order nor water ties it to other visits.
    pub plain: bool,
    /// Units a second after the aim.
    pub late_rate: i64,
    /// Units for leaving it out.
    pub skip: i64,
    /// What the search counts for leaving it out: for pins, and for what they wait for, more than a whole
    /// plan costs, so that no money is saved on them.
    pub weight: i64,
    /// A pin, or something a pin waits for.
    pub must: bool,
    pub load: i64,
    pub after: Vec<usize>,
    /// The visits that wait for this one.
    pub before: Vec<usize>,
    pub water: Option<Water>,
    /// Sorted by crew, then by cost.
    pub offers: Box<[Offer]>,
    /// Where each crew's offers begin, and behind the last crew's their number.
    by_crew: Box<[u32]>,
    /// Why it is in no plan.
    pub never: Option<Reason>,
}

#[derive(Clone, Copy, Debug)]
pub(crate) struct Water {
    pub line: usize,
    pub flow: i64,
    pub run: i64,
    pub ready_by: i64,
}

#[derive(Debug)]
pub(crate) struct Line {
    pub capacity: i64,
    pub taken: Vec<Flow>,
}

/// A visit served by a crew in a way, as far as the problem alone allows it.
///
/// Kept small, as a large day has hundreds of thousands of them, which are most of its memory. What ends within
/// a crew's day starts within it, and later ends and aims than any crew's day has are as good as the last that
/// fits.
#[derive(Debug)]
pub(crate) struct Offer {
    cost: i64,
    crew: u32,
    way: u32,
    dur: u32,
    lo: u32,
    hi: u32,
    aim: u32,
    set: u32,
}

impl Offer {
    pub fn crew(&self) -> usize {
        self.crew as usize
    }

    pub fn way(&self) -> usize {
        self.way as usize
    }

    /// Seconds of work.
    pub fn dur(&self) -> i64 {
        i64::from(self.dur)
    }

    /// Earliest start: window, kit hours, pinned start.
    pub fn lo(&self) -> i64 {
        i64::from(self.lo)
    }

    /// Latest end: window, kit hours, pinned start, watering.
    pub fn hi(&self) -> i64 {
        i64::from(self.hi)
    }

    /// When it should have ended.
    pub fn aim(&self) -> i64 {
        i64::from(self.aim)
    }

    /// The distinct classes it needs.
    pub fn tools<'m>(&self, model: &'m Model) -> &'m [usize] {
        &model.sets[self.set()]
    }

    /// The same as an index into the model's sets.
    pub fn set(&self) -> usize {
        self.set as usize
    }

    /// Service, extra cost and change cost.
    pub fn cost(&self) -> i64 {
        self.cost
    }
}

impl Visit {
    /// This crew's offers, as indexes into `offers`.
    pub fn offers_of(&self, crew: usize) -> std::ops::Range<usize> {
        self.by_crew[crew] as usize..self.by_crew[crew + 1] as usize
    }

    /// Units for ending then.
    pub fn late(&self, offer: &Offer, end: i64) -> i64 {
        self.late_rate * (end - offer.aim()).max(0)
    }
}

impl Crew {
    /// Units for being done then, breaks included.
    pub fn overtime(&self, done: i64) -> i64 {
        self.premium * (done - self.shift_end).max(0)
    }

    /// Units for so many seconds of travel and service above the fair share.
    pub fn balance(&self, work: i64) -> i64 {
        self.over_rate * (work - self.fair_s).max(0)
    }
}

fn index(x: i64) -> usize {
    usize::try_from(x).unwrap_or(0)
}

/// A number kept small: one that is not negative, of which all above the bounds of `u32` are alike.
pub(crate) fn small(x: i64) -> u32 {
    u32::try_from(x.max(0)).unwrap_or(u32::MAX)
}

/// An index kept small: no day in memory has so many of anything.
pub(crate) fn short(index: usize) -> u32 {
    u32::try_from(index).unwrap_or(u32::MAX)
}

impl Model {
    pub fn new(problem: &Problem) -> Self {
        let class: HashMap<&str, usize> = problem
            .tools
            .iter()
            .enumerate()
            .map(|(i, t)| (t.class.as_str(), i))
            .collect();
        let line: HashMap<&str, usize> = problem
            .water
            .iter()
            .enumerate()
            .map(|(i, g)| (g.group.as_str(), i))
            .collect();
        let lines = problem.water.iter().map(|g| Line {
            capacity: g.capacity_mlps,
            taken: g
                .taken
                .iter()
                .flatten()
                .map(|t| Flow {
                    from: t.from,
                    to: t.to,
                    mlps: t.flow_mlps,
                })
                .collect(),
        });
        let mut model = Self {
            places: problem.travel_s.len(),
            travel: travel(problem),
            crews: crews(problem, &class),
            visits: Vec::new(),
            count: problem.tools.iter().map(|t| t.count).collect(),
            sets: Vec::new(),
            lines: lines.collect(),
        };
        model.visits = model.visits(problem, &class, &line);
        model.weigh_pins(problem);
        model
    }

    /// Seconds from place to place.
    pub fn travel(&self, from: usize, to: usize) -> i64 {
        i64::from(self.travel[from * self.places + to])
    }

    pub fn places(&self) -> usize {
        self.places
    }

    fn visits(
        &mut self,
        problem: &Problem,
        class: &HashMap<&str, usize>,
        line: &HashMap<&str, usize>,
    ) -> Vec<Visit> {
        let id: HashMap<&str, usize> = problem
            .visits
            .iter()
            .enumerate()
            .map(|(i, v)| (v.id.as_str(), i))
            .collect();
        let lookup = Lookup::new(problem);
        let never = reasons::of_all(problem);
        let mut at_place = vec![0_usize; self.places];
        for v in &problem.visits {
            at_place[index(v.place)] += 1;
        }
        for &open in problem.open_places.iter().flatten() {
            at_place[index(open)] = 0;
        }
        let mut out: Vec<Visit> = Vec::with_capacity(problem.visits.len());
        let (mut offers, mut begins) = (Vec::new(), Vec::new());
        for (v, never) in problem.visits.iter().zip(never) {
            let place = index(v.place);
            let mut visit = Visit {
                place,
                shared: at_place[place] > 1,
                plain: false,
                late_rate: v.late_cost_per_h * PER_HOUR,
                skip: v.skip_cost * CENT,
                weight: v.skip_cost * CENT,
                must: v.pinned.is_some(),
                load: v.load_g,
                after: v.after.iter().map(|a| id[a.as_str()]).collect(),
                before: Vec::new(),
                water: v.water.as_ref().map(|w| Water {
                    line: line[w.group.as_str()],
                    flow: w.flow_mlps,
                    run: w.run_s,
                    ready_by: w.ready_by,
                }),
                offers: Box::default(),
                by_crew: Box::default(),
                never,
            };
            visit.after.sort_unstable();
            visit.after.dedup();
            let sets: Vec<usize> = v.ways.iter().map(|way| self.set(way, class)).collect();
            offers.clear();
            begins.clear();
            for (c, crew) in problem.crews.iter().enumerate() {
                let from = offers.len();
                begins.push(short(from));
                if never.is_none() && v.pinned.as_ref().is_none_or(|p| p.crew == crew.id) {
                    for (w, way) in v.ways.iter().enumerate() {
                        offers.extend(self.offer(&lookup, (v, crew, way), (&visit, c, w), sets[w]));
                    }
                }
                offers[from..].sort_by_key(|o| (o.cost, o.way));
            }
            begins.push(short(offers.len()));
            visit.offers = offers.drain(..).collect();
            visit.by_crew = begins.as_slice().into();
            out.push(visit);
        }
        for i in 0..out.len() {
            for k in 0..out[i].after.len() {
                let a = out[i].after[k];
                out[a].before.push(i);
            }
        }
        for v in &mut out {
            v.plain = !v.shared && v.after.is_empty() && v.before.is_empty() && v.water.is_none();
        }
        out
    }

    /// The way's classes as an index into the sets.
    fn set(&mut self, way: &problem::Way, class: &HashMap<&str, usize>) -> usize {
        let tools: Vec<usize> = way.classes().into_iter().map(|t| class[t]).collect();
        let known = self.sets.iter().position(|s| **s == *tools);
        known.unwrap_or_else(|| {
            self.sets.push(tools.into());
            self.sets.len() - 1
        })
    }

    fn offer(
        &self,
        lookup: &Lookup,
        (v, crew, way): (&problem::Visit, &problem::Crew, &problem::Way),
        (visit, c, w): (&Visit, usize, usize),
        set: usize,
    ) -> Option<Offer> {
        if !crew.skilled(way)
            || crew.hands < way.min_hands
            || !lookup.can_hold(crew, way)
            || v.load_g > crew.load_limit_g
        {
            return None;
        }
        let dur = way.service(crew.hands).min(NEVER_S);
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
        if let Some(water) = &visit.water {
            hi = hi.min(water.ready_by - water.run);
        }
        let own = &self.crews[c];
        let start = lo.max(own.from + own.there[visit.place]);
        let home = start + dur + own.home[visit.place];
        if start + dur > hi || home > own.until {
            return None;
        }
        let change = v
            .prefer
            .as_ref()
            .filter(|p| p.crew != crew.id)
            .map_or(0, |p| p.change_cost);
        Some(Offer {
            crew: short(c),
            way: short(w),
            dur: small(dur),
            lo: small(lo),
            hi: small(hi),
            aim: small(v.aim_of(way)),
            set: short(set),
            cost: own.rate * dur + (way.extra_cost + change) * CENT,
        })
    }

    /// Gives pins, and what they wait for, a weight above the cost of any plan.
    fn weigh_pins(&mut self, problem: &Problem) {
        let mut open: Vec<usize> = (0..self.visits.len())
            .filter(|&i| problem.visits[i].pinned.is_some())
            .collect();
        if open.is_empty() {
            return;
        }
        let crews = self.crews.iter().map(|c| {
            let day = c.until - c.from;
            (c.rate + c.over_rate)
                .saturating_mul(day)
                .saturating_add(c.overtime(c.until))
        });
        let visits = self.visits.iter().map(|v| {
            let dearest = v
                .offers
                .iter()
                .map(|o| o.cost + v.late(o, self.crews[o.crew()].until))
                .max();
            v.skip.max(dearest.unwrap_or(0))
        });
        let all = crews.chain(visits).fold(CENT, i64::saturating_add);
        let most = i64::MAX / 4 / i64::try_from(self.visits.len()).unwrap_or(i64::MAX);
        let weight = all.min(most);
        while let Some(i) = open.pop() {
            self.visits[i].must = true;
            self.visits[i].weight = weight;
            open.extend(
                self.visits[i]
                    .after
                    .iter()
                    .filter(|&&a| self.visits[a].weight != weight),
            );
        }
    }
}

/// The travel times row by row, none longer than any crew's day.
fn travel(problem: &Problem) -> Vec<u32> {
    let places = problem.travel_s.len();
    let mut all = Vec::with_capacity(places * places);
    for row in &problem.travel_s {
        all.extend(row.iter().map(|&t| small(t.min(NEVER_S))));
    }
    all
}

fn crews(problem: &Problem, class: &HashMap<&str, usize>) -> Vec<Crew> {
    let named = |id: &str| {
        problem.visits.iter().any(|v| {
            v.prefer.as_ref().is_some_and(|p| p.crew == id)
                || v.pinned.as_ref().is_some_and(|p| p.crew == id)
        })
    };
    let like = |a: &problem::Crew, b: &problem::Crew| {
        let same_id = problem::Crew {
            id: a.id.clone(),
            ..b.clone()
        };
        *a == same_id && !named(&a.id) && !named(&b.id)
    };
    let first_like = |i: usize| {
        (0..i)
            .find(|&k| like(&problem.crews[k], &problem.crews[i]))
            .unwrap_or(i)
    };
    let places = problem.travel_s.len();
    let travel = |a: usize, b: usize| problem.travel_s[a][b].min(NEVER_S);
    let mut shortest = Shortest::default();
    problem
        .crews
        .iter()
        .enumerate()
        .map(|(i, c)| Crew {
            from: c.shift[0],
            shift_end: c.shift[1],
            until: c.overtime_until,
            start_place: index(c.start_place),
            end_place: index(c.end_place),
            there: shortest.from(index(c.start_place), places, travel),
            home: shortest.to(index(c.end_place), places, travel),
            rate: c.cost_per_h * PER_HOUR,
            premium: c.cost_per_h * (c.overtime_pct - 100) * PER_HOUR / 100,
            fair_s: c.fair_load_s.unwrap_or(0),
            over_rate: c.over_load_cost_per_h.unwrap_or(0) * PER_HOUR,
            kit_limit: index(c.kit_limit),
            given: c
                .kit
                .as_ref()
                .map(|kit| kit.iter().map(|k| class[k.as_str()]).collect()),
            kit_span: c.kit_span(),
            load_limit: c.load_limit_g,
            breaks: c
                .breaks
                .iter()
                .map(|b| Break {
                    len: b.length_s.min(NEVER_S),
                    open: b.start_window[0],
                    close: b.start_window[1],
                })
                .collect(),
            twin_of: first_like(i),
        })
        .collect()
}
