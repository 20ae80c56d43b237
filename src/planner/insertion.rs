//! The cheapest place for an unserved visit, every other round unmoved.
//!
//! A spot is tried by looking at the new stop itself and then at how far it pushes the stops behind it; the
//! push mostly ends at the first stop that waits for its window, and [`Gap::latest`] turns most hopeless
//! spots away before.

use crate::day::{Day, Gap, Spot};
use crate::model::{Crew, Model, Offer, Visit};
use crate::rng::Rng;
use crate::timing::cross;

/// A tool class that a crew is not to use for a while.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Denied {
    pub crew: usize,
    pub class: usize,
}

/// Which spots are not looked at.
pub(crate) struct Blinks<'a> {
    pub rng: &'a mut Rng,
    /// One gap in so many is passed over, none where it is 0 (Christiaens & Vanden Berghe 2020, "blinks").
    pub one_in: usize,
    /// Crews that may not use a class.
    pub denied: &'a [Denied],
}

impl Blinks<'_> {
    fn blink(&mut self) -> bool {
        self.one_in > 0 && self.rng.once_in(self.one_in)
    }

    fn denies(&self, model: &Model, offer: &Offer) -> bool {
        let mut denied = self.denied.iter();
        denied.any(|d| d.crew == offer.crew() && offer.tools(model).contains(&d.class))
    }
}

/// The cheapest spot below `limit` units, but for those in `barred`.
pub(crate) fn cheapest(
    day: &Day,
    visit: usize,
    limit: i64,
    barred: &[Spot],
    blinks: &mut Blinks,
) -> Option<Spot> {
    let model = day.model;
    let v = &model.visits[visit];
    if v.after.iter().any(|&a| day.served[a].is_none()) {
        return None;
    }
    let mut search = Search {
        day,
        visit,
        v,
        best: None,
        limit,
        barred,
        offers: Vec::with_capacity(8),
    };
    // Of crews that are alike, one without a round is as good as another.
    let mut tried = Vec::new();
    for (c, crew) in model.crews.iter().enumerate() {
        let round = &day.rounds[c];
        if v.offers_of(c).is_empty() || round.load + v.load > crew.load_limit {
            continue;
        }
        if round.stops.is_empty() {
            if tried.contains(&crew.twin_of) {
                continue;
            }
            tried.push(crew.twin_of);
        }
        search.round(c, crew, blinks);
    }
    search.best
}

/// The first and the last gap of a round for a visit: behind what it waits for, before what waits for it.
pub(crate) fn between(day: &Day, visit: usize, crew: usize) -> (usize, usize) {
    let v = &day.model.visits[visit];
    let stops = &day.rounds[crew].stops;
    let (mut first, mut last) = (0, stops.len());
    if !v.after.is_empty() {
        let behind = stops.iter().rposition(|s| v.after.contains(&s.visit));
        first = behind.map_or(0, |i| i + 1);
    }
    if !v.before.is_empty() {
        let before = stops.iter().position(|s| v.before.contains(&s.visit));
        last = before.unwrap_or(last);
    }
    (first, last)
}

struct Search<'a, 'm> {
    day: &'a Day<'m>,
    visit: usize,
    v: &'m Visit,
    best: Option<Spot>,
    /// The cost to stay below, in units.
    limit: i64,
    barred: &'a [Spot],
    /// Those of the crew looked at which its kit allows.
    offers: Vec<usize>,
}

impl Search<'_, '_> {
    fn round(&mut self, crew: usize, c: &Crew, blinks: &mut Blinks) {
        let (day, model, v) = (self.day, self.day.model, self.v);
        self.offers.clear();
        let (mut latest_end, mut earliest_end, mut least) = (i64::MIN, i64::MAX, i64::MAX);
        for o in v.offers_of(crew) {
            let offer = &v.offers[o];
            if day.kits.allow(model, offer) && !blinks.denies(model, offer) {
                self.offers.push(o);
                latest_end = latest_end.max(offer.hi());
                earliest_end = earliest_end.min(offer.lo() + offer.dur());
                least = least.min(offer.cost());
            }
        }
        if least >= self.limit {
            return;
        }
        let round = &day.rounds[crew];
        let (first, last) = between(day, self.visit, crew);
        for (gap, g) in round.gaps.iter().enumerate().take(last + 1).skip(first) {
            // No time is left behind the gap even for an earliest start.
            if g.latest < earliest_end {
                continue;
            }
            if g.at > latest_end {
                break;
            }
            let there = model.travel(g.from, v.place);
            let on = model.travel(v.place, g.to);
            let detour = there + on - g.straight;
            if c.rate * detour + least >= self.limit || blinks.blink() {
                continue;
            }
            if g.rested == g.rested_then {
                self.gap(crew, c, (gap, g), (g.at + there, on, g.rested), detour);
                continue;
            }
            for rest in g.rested..=g.rested_then {
                if let Some((ready, _)) = cross(g.at, there, &c.breaks[g.rested..rest]) {
                    self.gap(crew, c, (gap, g), (ready, on, rest), detour);
                }
            }
        }
    }

    /// Every offer in one gap, the crew being ready for the visit at `ready`, then `on` seconds away from the
    /// next stop, with so many breaks had.
    fn gap(
        &mut self,
        crew: usize,
        c: &Crew,
        (gap, g): (usize, &Gap),
        (ready, on, rest): (i64, i64, usize),
        detour: i64,
    ) {
        let (day, v) = (self.day, self.v);
        let round = &day.rounds[crew];
        for i in 0..self.offers.len() {
            let o = self.offers[i];
            let offer = &v.offers[o];
            let earliest = ready.max(offer.lo()) + offer.dur();
            if earliest > offer.hi() || earliest + on > g.latest {
                continue;
            }
            let mut known = c.rate * detour + offer.cost() + v.late(offer, earliest);
            if c.over_rate > 0 {
                known += c.balance(round.work + detour + offer.dur()) - c.balance(round.work);
            }
            if known >= self.limit {
                continue;
            }
            let Some(start) = day.start(crew, self.visit, offer, ready) else {
                continue;
            };
            let end = start + offer.dur();
            known += v.late(offer, end) - v.late(offer, earliest);
            if known >= self.limit {
                continue;
            }
            let Some((then, _)) = cross(end, on, &c.breaks[rest..g.rested_then]) else {
                continue;
            };
            if then > g.latest {
                continue;
            }
            let Some(push) = self.push(crew, c, gap, then) else {
                continue;
            };
            let spot = Spot {
                crew,
                gap,
                offer: o,
            };
            if known + push < self.limit && !self.barred.contains(&spot) {
                self.limit = known + push;
                self.best = Some(spot);
            }
        }
    }

    /// What it adds in late work and overtime that the crew is ready for its stop `from` only then; none
    /// where the rest of the round then breaks a rule.
    fn push(&self, crew: usize, c: &Crew, from: usize, then: i64) -> Option<i64> {
        let (day, model) = (self.day, self.day.model);
        let round = &day.rounds[crew];
        if round.plain && c.premium == 0 {
            return Some(0);
        }
        let (mut ready, mut cost) = (then, 0);
        for (stop, g) in round.stops.iter().zip(&round.gaps[1..]).skip(from) {
            if ready <= stop.start {
                return Some(cost);
            }
            let (v, offer) = stop.of(model);
            let start = day.start(crew, stop.visit, offer, ready)?;
            let end = start + offer.dur();
            cost += v.late(offer, end) - v.late(offer, stop.end);
            ready = cross(end, g.straight, &c.breaks[g.rested..g.rested_then])?.0;
            if ready > g.latest {
                return None;
            }
        }
        let overtime = if round.stops.is_empty() {
            0
        } else {
            c.overtime(round.done)
        };
        Some(cost + c.overtime(ready) - overtime)
    }
}
