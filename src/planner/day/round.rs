//! One crew's round, with what the search for a spot wants to know of each gap in it.

use crate::model::{Model, Offer, Visit};
use crate::timing::Laid;

/// One crew's round.
#[derive(Debug)]
pub(crate) struct Round {
    pub stops: Vec<Stop>,
    /// The gaps before each stop and before going home: one more than there are stops.
    pub gaps: Vec<Gap>,
    /// When each break starts; empty without a stop.
    pub breaks: Vec<i64>,
    /// When the crew is home and has had its breaks.
    pub done: i64,
    /// Seconds of travel and service.
    pub work: i64,
    pub load: i64,
    /// Units, all parts but skipped work.
    pub cost: i64,
    /// Pushing a stop of this round later, within [`Gap::latest`], breaks no rule and costs nothing but overtime.
    pub plain: bool,
}

/// Between two activities of a round.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Gap {
    /// The latest time to be ready for what comes behind the gap that leaves the rest of the round possible by
    /// its own windows.
    pub latest: i64,
    /// When the crew is free to leave for it.
    pub at: i64,
    /// Where from.
    pub from: usize,
    /// Where to.
    pub to: usize,
    /// Seconds of travel without a stop in between; 0 in a round without stops.
    pub straight: i64,
    /// Breaks had before the gap.
    pub rested: usize,
    /// Breaks had when it is over.
    pub rested_then: usize,
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

impl Clone for Round {
    fn clone(&self) -> Self {
        Self {
            stops: self.stops.clone(),
            gaps: self.gaps.clone(),
            breaks: self.breaks.clone(),
            ..*self
        }
    }

    /// Keeps the memory: the search copies rounds at every step.
    fn clone_from(&mut self, from: &Self) {
        self.stops.clone_from(&from.stops);
        self.gaps.clone_from(&from.gaps);
        self.breaks.clone_from(&from.breaks);
        (self.done, self.work, self.load) = (from.done, from.work, from.load);
        (self.cost, self.plain) = (from.cost, from.plain);
    }
}

impl Stop {
    /// A stop whose times are still to be laid.
    pub fn new(visit: usize, offer: usize) -> Self {
        Self {
            visit,
            offer,
            start: 0,
            end: 0,
            rested: 0,
        }
    }

    pub fn of<'m>(&self, model: &'m Model) -> (&'m Visit, &'m Offer) {
        let v = &model.visits[self.visit];
        (v, &v.offers[self.offer])
    }
}

impl Round {
    /// A round without stops.
    pub fn empty(model: &Model, crew: usize) -> Self {
        let c = &model.crews[crew];
        let gap = Gap {
            latest: c.until,
            at: c.from,
            from: c.start_place,
            to: c.end_place,
            straight: 0,
            rested: 0,
            rested_then: c.breaks.len(),
        };
        Self {
            stops: Vec::new(),
            gaps: vec![gap],
            breaks: Vec::new(),
            done: 0,
            work: 0,
            load: 0,
            cost: 0,
            plain: true,
        }
    }

    /// Takes the stops' times as given, and adds up what follows from them.
    pub fn settle(&mut self, model: &Model, crew: usize, laid: &Laid) {
        let c = &model.crews[crew];
        self.breaks.clone_from(&laid.breaks);
        self.done = laid.done;
        self.gaps.clear();
        (self.work, self.load, self.cost, self.plain) = (0, 0, 0, true);
        let (mut from, mut at, mut rested) = (c.start_place, c.from, 0);
        for (stop, &latest) in self.stops.iter().zip(&laid.latest) {
            let (v, offer) = stop.of(model);
            let way = model.travel(from, v.place);
            self.gaps.push(Gap {
                latest,
                at,
                from,
                to: v.place,
                straight: way,
                rested,
                rested_then: stop.rested,
            });
            self.work += way + offer.dur();
            self.load += v.load;
            self.cost += c.rate * way + offer.cost() + v.late(offer, stop.end);
            self.plain &= v.plain && v.late_rate == 0;
            (from, at, rested) = (v.place, stop.end, stop.rested);
        }
        let home = if self.stops.is_empty() {
            0
        } else {
            model.travel(from, c.end_place)
        };
        self.gaps.push(Gap {
            latest: c.until,
            at,
            from,
            to: c.end_place,
            straight: home,
            rested,
            rested_then: c.breaks.len(),
        });
        if !self.stops.is_empty() {
            self.work += home;
            self.cost += c.rate * home + c.overtime(self.done) + c.balance(self.work);
        }
    }
}
