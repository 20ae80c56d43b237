//! A day under construction: every round with its times, and what the rounds share, which is places, water
//! and tools.
//!
//! A day is sound at all times: it breaks no rule, whatever is still unserved. Changes go through
//! [`Day::insert`], [`Day::remove`] and [`Day::relay`], each of which lays one round anew while all others
//! stand still, and leaves the day as it was where that does not work out.

use crate::kits::Kits;
use crate::model::{Model, Offer, Visit};
use crate::spans::{self, Flow};
use crate::timing::{self, Laid};

/// One crew's round.
#[derive(Debug)]
pub(crate) struct Round {
    pub stops: Vec<Stop>,
    /// For each stop the latest time to be ready for it that leaves the rest of the round possible by its
    /// own windows; last, the same for being done with the day.
    pub latest: Vec<i64>,
    /// When each break starts; empty without a stop.
    pub breaks: Vec<i64>,
    /// When the crew is home and has had its breaks.
    pub done: i64,
    /// Seconds of travel and service.
    pub work: i64,
    pub load: i64,
    /// Units, all parts but skipped work.
    pub cost: i64,
}

impl Clone for Round {
    fn clone(&self) -> Self {
        Self {
            stops: self.stops.clone(),
            latest: self.latest.clone(),
            breaks: self.breaks.clone(),
            ..*self
        }
    }

    fn clone_from(&mut self, from: &Self) {
        self.stops.clone_from(&from.stops);
        self.latest.clone_from(&from.latest);
        self.breaks.clone_from(&from.breaks);
        (self.done, self.work, self.load, self.cost) = (from.done, from.work, from.load, from.cost);
    }
}

/// A visit in a round.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Stop {
    pub visit: usize,
    /// Index into the visit's offers.
    pub offer: usize,
    pub start: i64,
    pub end: i64,
    /// Breaks taken before it starts.
    pub rested: usize,
}

/// Where a served visit stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Served {
    pub crew: usize,
    pub start: i64,
    pub end: i64,
    /// When its watering starts.
    pub watering: Option<i64>,
}

/// A stretch in which a place is under work, or kept free after a watering.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Busy {
    pub visit: usize,
    pub crew: usize,
    pub from: i64,
    pub to: i64,
    /// From a watering's start until it is ready, rather than work.
    pub hold: bool,
}

/// A watering on a line.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Run {
    pub visit: usize,
    pub flow: Flow,
}

/// Where to put a visit.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Spot {
    pub crew: usize,
    /// Number of stops before it.
    pub gap: usize,
    pub offer: usize,
}

/// All rounds of a day.
#[derive(Debug)]
pub(crate) struct Day<'m> {
    pub model: &'m Model,
    pub rounds: Vec<Round>,
    pub served: Vec<Option<Served>>,
    /// By place, where rule 11 is to be watched.
    pub places: Vec<Vec<Busy>>,
    /// By supply line.
    pub lines: Vec<Vec<Run>>,
    pub kits: Kits,
    /// The weights of what is unserved.
    pub missing: i64,
}

impl Clone for Day<'_> {
    fn clone(&self) -> Self {
        Self {
            model: self.model,
            rounds: self.rounds.clone(),
            served: self.served.clone(),
            places: self.places.clone(),
            lines: self.lines.clone(),
            kits: self.kits.clone(),
            missing: self.missing,
        }
    }

    /// Keeps the memory: the search copies a day at every step.
    fn clone_from(&mut self, from: &Self) {
        self.model = from.model;
        self.rounds.clone_from(&from.rounds);
        self.served.clone_from(&from.served);
        self.places.clone_from(&from.places);
        self.lines.clone_from(&from.lines);
        self.kits.clone_from(&from.kits);
        self.missing = from.missing;
    }
}

impl<'m> Day<'m> {
    /// A day on which nothing is served.
    pub fn new(model: &'m Model) -> Self {
        let round = |until| Round {
            stops: Vec::new(),
            latest: vec![until],
            breaks: Vec::new(),
            done: 0,
            work: 0,
            load: 0,
            cost: 0,
        };
        Self {
            model,
            rounds: model.crews.iter().map(|c| round(c.until)).collect(),
            served: vec![None; model.visits.len()],
            places: vec![Vec::new(); model.places()],
            lines: vec![Vec::new(); model.lines.len()],
            kits: Kits::new(model),
            missing: model.visits.iter().map(|v| v.weight).sum(),
        }
    }

    /// What the search minimises, in units: the plan's cost, with skipped work at its weight.
    pub fn cost(&self) -> i64 {
        self.rounds.iter().map(|r| r.cost).sum::<i64>() + self.missing
    }

    pub fn visit(&self, stop: &Stop) -> &'m Visit {
        &self.model.visits[stop.visit]
    }

    pub fn offer(&self, stop: &Stop) -> &'m Offer {
        &self.model.visits[stop.visit].offers[stop.offer]
    }

    /// Where the crew comes from into a gap, from when on, and how many breaks it has had.
    pub fn before_gap(&self, crew: usize, gap: usize) -> (usize, i64, usize) {
        match gap.checked_sub(1).map(|i| &self.rounds[crew].stops[i]) {
            Some(stop) => (self.visit(stop).place, stop.end, stop.rested),
            None => (
                self.model.crews[crew].start_place,
                self.model.crews[crew].from,
                0,
            ),
        }
    }

    /// Where the crew goes to from a gap, and how many breaks it must have had when it starts there.
    pub fn behind_gap(&self, crew: usize, gap: usize) -> (usize, usize) {
        match self.rounds[crew].stops.get(gap) {
            Some(stop) => (self.visit(stop).place, stop.rested),
            None => (
                self.model.crews[crew].end_place,
                self.model.crews[crew].breaks.len(),
            ),
        }
    }

    /// The earliest start from `at` on at which the visit's place is free of other crews.
    fn free_at(&self, visit: &Visit, crew: usize, mut at: i64, dur: i64) -> i64 {
        let others = || self.places[visit.place].iter().filter(|b| b.crew != crew);
        while let Some(b) = others().find(|b| spans::overlap((at, at + dur), (b.from, b.to))) {
            at = b.to;
        }
        at
    }

    /// When this crew can start the visit, being ready there at `ready`, while every other round stands
    /// still. Order, places and water inside the round itself are not looked at.
    pub fn start(&self, crew: usize, visit: usize, offer: &Offer, ready: i64) -> Option<i64> {
        let v = &self.model.visits[visit];
        let mut start = ready.max(offer.lo);
        for &a in &v.after {
            match self.served[a] {
                Some(s) if s.crew != crew => start = start.max(s.end),
                _ => {}
            }
        }
        if v.shared {
            start = self.free_at(v, crew, start, offer.dur);
        }
        let end = start + offer.dur;
        if end > offer.hi {
            return None;
        }
        let waiting = v.before.iter().filter_map(|&b| self.served[b]);
        if waiting.into_iter().any(|s| s.crew != crew && s.start < end) {
            return None;
        }
        (v.water.is_none() || self.watering_from(visit, end, Some(crew)).is_some()).then_some(start)
    }

    /// The earliest watering of a visit that ends at `end`, every other unmoved. It waits for the work at
    /// its place that starts before the place must be ready, but for that of `apart`, which is about to move.
    pub fn watering_from(&self, visit: usize, end: i64, apart: Option<usize>) -> Option<i64> {
        let v = &self.model.visits[visit];
        let water = v.water.as_ref()?;
        let mut after = end;
        if v.shared {
            let works = self.places[v.place]
                .iter()
                .filter(|b| !b.hold && b.visit != visit && Some(b.crew) != apart);
            for b in works.filter(|b| b.from < b.to && b.from < water.ready_by) {
                after = after.max(b.to);
            }
        }
        let line = &self.model.lines[water.line];
        let runs = self.lines[water.line]
            .iter()
            .filter(|r| r.visit != visit)
            .map(|r| r.flow);
        let flows = runs.chain(line.taken.iter().copied());
        spans::slot(
            &flows,
            (water.flow, water.run),
            after,
            water.ready_by,
            line.capacity,
        )
    }

    /// Puts an unserved visit there and lays the round anew. Says whether it could.
    pub fn insert(&mut self, visit: usize, spot: Spot) -> bool {
        let mut stops = self.rounds[spot.crew].stops.clone();
        stops.insert(
            spot.gap,
            Stop {
                visit,
                offer: spot.offer,
                start: 0,
                end: 0,
                rested: 0,
            },
        );
        let Some(laid) = timing::lay(self, spot.crew, &mut stops) else {
            return false;
        };
        self.insert_laid(visit, spot, stops, laid)
    }

    /// Puts an unserved visit there, the round's times given. Says whether its waterings could follow.
    pub fn insert_laid(&mut self, visit: usize, spot: Spot, stops: Vec<Stop>, laid: Laid) -> bool {
        if !self.take_over(spot.crew, stops, laid) {
            return false;
        }
        let v = &self.model.visits[visit];
        self.kits.take(spot.crew, &v.offers[spot.offer].tools);
        self.missing -= v.weight;
        true
    }

    /// Lays a round anew. Says whether it could; it cannot be worse than before but by its waterings.
    pub fn relay(&mut self, crew: usize) -> bool {
        let mut stops = self.rounds[crew].stops.clone();
        timing::lay(self, crew, &mut stops).is_some_and(|laid| self.take_over(crew, stops, laid))
    }

    /// Takes visits out, and with them every visit that waits for one of them; all of them are added to
    /// `out`. Where a round then cannot be laid (a detour was shorter than the straight way), it loses stops
    /// from its end until it can.
    pub fn remove(&mut self, visits: &[usize], out: &mut Vec<usize>) {
        let mut open = visits.to_vec();
        loop {
            while let Some(visit) = open.pop() {
                if let Some(served) = self.served[visit] {
                    open.extend(&self.model.visits[visit].before);
                    self.take_out(visit, served.crew);
                    out.push(visit);
                }
            }
            let served = &self.served;
            let gone = |r: &Round| r.stops.iter().any(|s| served[s.visit].is_none());
            let Some(crew) = self.rounds.iter().position(gone) else {
                return;
            };
            self.rounds[crew]
                .stops
                .retain(|s| served[s.visit].is_some());
            if !self.relay(crew) {
                open.extend(self.rounds[crew].stops.last().map(|s| s.visit));
            }
        }
    }

    /// Takes a visit off everything but its round's list of stops.
    fn take_out(&mut self, visit: usize, crew: usize) {
        let v = &self.model.visits[visit];
        self.set_watering(visit, None);
        self.clear_work(visit);
        if let Some(stop) = self.rounds[crew].stops.iter().find(|s| s.visit == visit) {
            self.kits.give_back(crew, &v.offers[stop.offer].tools);
        }
        self.served[visit] = None;
        self.missing += v.weight;
    }

    fn clear_work(&mut self, visit: usize) {
        let v = &self.model.visits[visit];
        if v.shared {
            self.places[v.place].retain(|b| b.hold || b.visit != visit);
        }
    }

    /// Gives the crew this round. Its waterings follow; where one of them finds no time, everything is put
    /// back and the answer is false.
    fn take_over(&mut self, crew: usize, stops: Vec<Stop>, laid: Laid) -> bool {
        let old = std::mem::replace(&mut self.rounds[crew].stops, stops);
        let before: Vec<Option<Served>> = old.iter().map(|s| self.served[s.visit]).collect();
        for stop in &old {
            self.clear_work(stop.visit);
        }
        self.enter(crew);
        if self.water(crew) {
            self.rounds[crew].latest = laid.latest;
            self.rounds[crew].breaks = laid.breaks;
            self.rounds[crew].done = laid.done;
            self.add_up(crew);
            return true;
        }
        let new = std::mem::replace(&mut self.rounds[crew].stops, old);
        for stop in &new {
            self.set_watering(stop.visit, None);
            self.clear_work(stop.visit);
            self.served[stop.visit] = None;
        }
        for (i, served) in before.into_iter().enumerate() {
            let visit = self.rounds[crew].stops[i].visit;
            self.served[visit] = served.map(|s| Served {
                watering: None,
                ..s
            });
            self.set_watering(visit, served.and_then(|s| s.watering));
        }
        self.enter(crew);
        false
    }

    /// Notes the times of a crew's stops where the other rounds look.
    fn enter(&mut self, crew: usize) {
        for stop in &self.rounds[crew].stops {
            let v = &self.model.visits[stop.visit];
            if v.shared {
                let busy = Busy {
                    visit: stop.visit,
                    crew,
                    from: stop.start,
                    to: stop.end,
                    hold: false,
                };
                self.places[v.place].push(busy);
            }
            let watering = self.served[stop.visit].and_then(|s| s.watering);
            self.served[stop.visit] = Some(Served {
                crew,
                start: stop.start,
                end: stop.end,
                watering,
            });
        }
    }

    /// Moves the crew's waterings to where they can be and then as early as they can be. Those that must go
    /// later go last first, out of each other's way.
    fn water(&mut self, crew: usize) -> bool {
        for late_ones in [true, false] {
            let n = self.rounds[crew].stops.len();
            for i in 0..n {
                let stop = self.rounds[crew].stops[if late_ones { n - 1 - i } else { i }];
                if self.visit(&stop).water.is_none() {
                    continue;
                }
                let now = self.served[stop.visit].and_then(|s| s.watering);
                let holds = now.is_some_and(|now| now >= self.dry_until(&stop));
                if late_ones == holds {
                    continue;
                }
                let Some(at) = self.watering_from(stop.visit, stop.end, None) else {
                    return false;
                };
                if now != Some(at) {
                    self.set_watering(stop.visit, Some(at));
                }
            }
        }
        true
    }

    /// Until when a stop's watering has to wait for work at its place.
    fn dry_until(&self, stop: &Stop) -> i64 {
        let v = self.visit(stop);
        let ready_by = v.water.map_or(i64::MAX, |w| w.ready_by);
        let works = self.places[v.place]
            .iter()
            .filter(|b| !b.hold && b.from < b.to && b.from < ready_by);
        works.map(|b| b.to).fold(stop.end, i64::max)
    }

    fn set_watering(&mut self, visit: usize, at: Option<i64>) {
        let v = &self.model.visits[visit];
        let Some(water) = v.water else { return };
        let Some(served) = &mut self.served[visit] else {
            return;
        };
        served.watering = at;
        let crew = served.crew;
        self.lines[water.line].retain(|r| r.visit != visit);
        if v.shared {
            self.places[v.place].retain(|b| !b.hold || b.visit != visit);
        }
        if let Some(from) = at {
            self.lines[water.line].push(Run {
                visit,
                flow: Flow {
                    from,
                    to: from + water.run,
                    mlps: water.flow,
                },
            });
            if v.shared {
                self.places[v.place].push(Busy {
                    visit,
                    crew,
                    from,
                    to: water.ready_by,
                    hold: true,
                });
            }
        }
    }

    /// Recomputes a round's sums.
    fn add_up(&mut self, crew: usize) {
        let c = &self.model.crews[crew];
        let (mut work, mut load, mut cost, mut at) = (0, 0, 0, c.start_place);
        for stop in &self.rounds[crew].stops {
            let (v, offer) = (self.visit(stop), self.offer(stop));
            let way = self.model.travel(at, v.place);
            work += way + offer.dur;
            load += v.load;
            cost += c.rate * way + offer.cost + v.late(offer, stop.end);
            at = v.place;
        }
        let round = &mut self.rounds[crew];
        if !round.stops.is_empty() {
            let home = self.model.travel(at, c.end_place);
            work += home;
            cost += c.rate * home + c.overtime(round.done) + c.balance(work);
        }
        (round.work, round.load, round.cost) = (work, load, cost);
    }
}
