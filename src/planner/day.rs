//! A day under construction: every round with its times, and what the rounds share, which is places, water
//! and tools.
//!
//! A day is sound at all times: it breaks no rule, whatever is still unserved. Changes go through
//! [`Day::insert`], [`Day::remove`] and [`Day::relay`], each of which lays one round anew while all others
//! stand still, and leaves the day as it was where that does not work out.

mod journal;
mod round;
mod water;

use crate::kits::Kits;
use crate::model::{Model, Offer, Visit};
use crate::spans::{self, Flow};
use crate::timing::{self, Laid};

use journal::Journal;
pub(crate) use round::{Gap, Round, Stop};

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
    journal: Journal,
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
            journal: Journal::default(),
        }
    }

    /// Keeps the memory. What could be undone no longer can.
    fn clone_from(&mut self, from: &Self) {
        self.model = from.model;
        self.rounds.clone_from(&from.rounds);
        self.served.clone_from(&from.served);
        self.places.clone_from(&from.places);
        self.lines.clone_from(&from.lines);
        self.kits.clone_from(&from.kits);
        self.missing = from.missing;
        self.journal = Journal::default();
    }
}

impl<'m> Day<'m> {
    /// A day on which nothing is served.
    pub fn new(model: &'m Model) -> Self {
        Self {
            model,
            rounds: (0..model.crews.len())
                .map(|crew| Round::empty(model, crew))
                .collect(),
            served: vec![None; model.visits.len()],
            places: vec![Vec::new(); model.places()],
            lines: vec![Vec::new(); model.lines.len()],
            kits: Kits::new(model),
            missing: model.visits.iter().map(|v| v.weight).sum(),
            journal: Journal::default(),
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
        let mut start = ready.max(offer.lo());
        if v.plain {
            return (start + offer.dur() <= offer.hi()).then_some(start);
        }
        for &a in &v.after {
            match self.served[a] {
                Some(s) if s.crew != crew => start = start.max(s.end),
                _ => {}
            }
        }
        if v.shared {
            start = self.free_at(v, crew, start, offer.dur());
        }
        let end = start + offer.dur();
        if end > offer.hi() {
            return None;
        }
        let waiting = v.before.iter().filter_map(|&b| self.served[b]);
        if waiting.into_iter().any(|s| s.crew != crew && s.start < end) {
            return None;
        }
        (v.water.is_none() || self.watering_from(visit, end, Some(crew)).is_some()).then_some(start)
    }

    /// Puts an unserved visit there and lays the round anew. Says whether it could.
    pub fn insert(&mut self, visit: usize, spot: Spot) -> bool {
        let mut stops = self.rounds[spot.crew].stops.clone();
        stops.insert(spot.gap, Stop::new(visit, spot.offer));
        let Some(laid) = timing::lay(self, spot.crew, &mut stops) else {
            return false;
        };
        self.insert_laid(visit, spot, stops, &laid)
    }

    /// Puts an unserved visit there, the round's times given. Says whether its waterings could follow.
    pub fn insert_laid(&mut self, visit: usize, spot: Spot, stops: Vec<Stop>, laid: &Laid) -> bool {
        if !self.take_over(spot.crew, stops, laid) {
            return false;
        }
        let v = &self.model.visits[visit];
        self.kits
            .take(spot.crew, v.offers[spot.offer].tools(self.model));
        self.missing -= v.weight;
        true
    }

    /// Lays a round anew. Says whether it could; it cannot be worse than before but by its waterings.
    pub fn relay(&mut self, crew: usize) -> bool {
        let mut stops = self.rounds[crew].stops.clone();
        timing::lay(self, crew, &mut stops).is_some_and(|laid| self.take_over(crew, stops, &laid))
    }

    /// Takes visits out, and with them every visit that waits for one of them; all of them are added to
    /// `out`. Where a round then cannot be laid (a detour was shorter than the straight way), it loses stops
    /// from its end until it can.
    pub fn remove(&mut self, visits: &[usize], out: &mut Vec<usize>) {
        let mut open = visits.to_vec();
        let mut crews = Vec::new();
        loop {
            while let Some(visit) = open.pop() {
                if let Some(served) = self.served[visit] {
                    open.extend(&self.model.visits[visit].before);
                    self.take_out(visit, served.crew);
                    out.push(visit);
                    if !crews.contains(&served.crew) {
                        crews.push(served.crew);
                    }
                }
            }
            let Some(crew) = crews.pop() else {
                return;
            };
            let served = &self.served;
            let stops = &mut self.rounds[crew].stops;
            stops.retain(|s| served[s.visit].is_some());
            if !self.relay(crew) {
                open.extend(self.rounds[crew].stops.last().map(|s| s.visit));
            }
        }
    }

    /// Takes a visit off everything but its round's list of stops.
    fn take_out(&mut self, visit: usize, crew: usize) {
        self.keep_round(crew);
        let v = &self.model.visits[visit];
        self.set_watering(visit, None);
        if v.shared {
            self.keep_place(v.place);
            self.places[v.place].retain(|b| b.hold || b.visit != visit);
        }
        if let Some(stop) = self.rounds[crew].stops.iter().find(|s| s.visit == visit) {
            self.kits
                .give_back(crew, v.offers[stop.offer].tools(self.model));
        }
        self.set_served(visit, None);
        self.missing += v.weight;
    }

    /// Gives the crew this round. Its waterings follow; where one of them finds no time, everything is put
    /// back and the answer is false.
    fn take_over(&mut self, crew: usize, stops: Vec<Stop>, laid: &Laid) -> bool {
        self.keep_round(crew);
        let old = std::mem::replace(&mut self.rounds[crew].stops, stops);
        let before: Vec<Option<Served>> = old.iter().map(|s| self.served[s.visit]).collect();
        self.enter(crew);
        if self.water(crew) {
            self.rounds[crew].settle(self.model, crew, laid);
            return true;
        }
        let new = std::mem::replace(&mut self.rounds[crew].stops, old);
        for stop in &new {
            self.set_watering(stop.visit, None);
            self.leave(stop.visit);
        }
        self.enter(crew);
        for (i, served) in before.into_iter().enumerate() {
            let visit = self.rounds[crew].stops[i].visit;
            self.set_watering(visit, served.and_then(|s| s.watering));
        }
        false
    }

    /// Takes a stop's work off its place.
    fn leave(&mut self, visit: usize) {
        let v = &self.model.visits[visit];
        if v.shared {
            self.keep_place(v.place);
            self.places[v.place].retain(|b| b.hold || b.visit != visit);
        }
        self.set_served(visit, None);
    }

    /// Notes the times of a crew's stops where the other rounds look.
    fn enter(&mut self, crew: usize) {
        for i in 0..self.rounds[crew].stops.len() {
            let stop = self.rounds[crew].stops[i];
            let now = self.served[stop.visit];
            if now.is_some_and(|s| (s.start, s.end) == (stop.start, stop.end)) {
                continue;
            }
            let v = &self.model.visits[stop.visit];
            if v.shared {
                self.keep_place(v.place);
                let works = &mut self.places[v.place];
                works.retain(|b| b.hold || b.visit != stop.visit);
                works.push(Busy {
                    visit: stop.visit,
                    crew,
                    from: stop.start,
                    to: stop.end,
                    hold: false,
                });
            }
            let served = Served {
                crew,
                start: stop.start,
                end: stop.end,
                watering: now.and_then(|s| s.watering),
            };
            self.set_served(stop.visit, Some(served));
        }
    }
}
