//! Steps through days: ruin and recreate, and excursions into other kits.
//!
//! A crew seldom gives up a class by chance, since all that it does with it would have to go in one step. An
//! excursion forbids a crew a class for some steps, whatever that costs, and then the annealing rule says whether
//! to stay there or to go home. Measured on a day of 99 visits and 6 crews, 2 s on one thread, 9 to 16 seeds: without
//! excursions the median is 0.8 % dearer and every seed of the worse half ends in kits some per cent too dear;
//! a third of the steps at home is no worse than a fifth, and excursions half as long as there are visits no
//! worse than longer ones. Two crews made to swap their classes gain nothing over one denied at random.
//! Legs from mixed days go without: their kits come from two days already found, and every step then serves the
//! order of the stops (median 0.2 % cheaper on that day at 2 s, 0.15 % at 10 s, 0.2 % on one of 241 visits; no
//! difference on days whose kits are easily found).

use crate::day::Day;
use crate::insertion::Denied;
use crate::rng::Rng;
use crate::search::recreate::{Ranks, recreate};
use crate::search::ruin;

/// An excursion takes one step for so many visits.
const AWAY_PART: usize = 2;
/// Between two excursions there is one step for so many visits.
const HOME_PART: usize = 4;
/// An excursion denies from one class to so many.
const MOST_DENIED: usize = 2;

/// A day, its cost, and what could be served but is not.
pub(super) struct Seen<'m> {
    pub day: Day<'m>,
    pub cost: i64,
    pub bank: Vec<usize>,
}

impl<'m> Seen<'m> {
    pub fn new(day: &Day<'m>) -> Self {
        let open = |&i: &usize| day.model.visits[i].never.is_none() && day.served[i].is_none();
        Self {
            day: day.clone(),
            cost: day.cost(),
            bank: (0..day.served.len()).filter(open).collect(),
        }
    }

    pub fn note(&mut self, day: &Day<'m>, cost: i64, bank: &[usize]) {
        self.day.clone_from(day);
        self.cost = cost;
        self.bank.clear();
        self.bank.extend_from_slice(bank);
    }
}

/// An excursion under way.
struct Away<'m> {
    denied: Vec<Denied>,
    /// Where it set off.
    home: Seen<'m>,
    /// The best day on the way.
    best: Seen<'m>,
}

pub(super) struct Walk<'a, 'm> {
    ranks: &'a Ranks,
    near: &'a [Vec<usize>],
    /// The visits that can be served.
    open: Vec<usize>,
    pub best: Seen<'m>,
    now: Day<'m>,
    cost: i64,
    /// What could be served but is not.
    bank: Vec<usize>,
    away: Option<Away<'m>>,
    /// Steps until the next turn, away or home; none where there are no excursions.
    left: Option<usize>,
    /// The bank before a step.
    spare: Vec<usize>,
}

impl<'a, 'm> Walk<'a, 'm> {
    /// Sets off from a day, filled up.
    pub fn new(
        (day, excursions): (Day<'m>, bool),
        ranks: &'a Ranks,
        near: &'a [Vec<usize>],
        rng: &mut Rng,
    ) -> Self {
        let can = |i: &usize| day.model.visits[*i].never.is_none();
        let open: Vec<usize> = (0..day.model.visits.len()).filter(can).collect();
        let out = |i: &usize| day.served[*i].is_none();
        let mut walk = Self {
            ranks,
            near,
            cost: 0,
            bank: open.iter().copied().filter(out).collect(),
            best: Seen::new(&day),
            now: day,
            away: None,
            left: excursions.then_some(open.len() / HOME_PART),
            spare: Vec::new(),
            open,
        };
        walk.cost = walk.rebuild(&[], rng);
        if walk.cost < walk.best.cost {
            walk.best.note(&walk.now, walk.cost, &walk.bank);
        }
        walk
    }

    /// Visits that the best day leaves out.
    pub fn unserved(&self) -> usize {
        self.now.served.len() - self.open.len() + self.best.bank.len()
    }

    pub fn step(&mut self, temperature: f64, rng: &mut Rng) {
        if self.left != Some(0) {
            self.left = self.left.map(|n| n - 1);
            self.now.mark();
            self.spare.clone_from(&self.bank);
            let out = ruin::strings(&self.now, self.near, rng);
            let cost = self.rebuild(&out, rng);
            if accepts(self.cost, cost, temperature, rng) {
                self.go(cost);
            } else {
                self.now.undo();
                std::mem::swap(&mut self.bank, &mut self.spare);
            }
        } else if let Some(away) = self.away.take() {
            self.left = Some(self.open.len() / HOME_PART);
            let stay = accepts(away.home.cost, away.best.cost, temperature, rng);
            let seen = if stay { away.best } else { away.home };
            (self.now, self.cost, self.bank) = (seen.day, seen.cost, seen.bank);
        } else {
            self.left = Some(self.open.len() / AWAY_PART);
            self.set_off(rng);
        }
    }

    /// Takes classes from crews and goes on from there, whatever it costs.
    fn set_off(&mut self, rng: &mut Rng) {
        let mut denied = Vec::new();
        let mut out = Vec::new();
        for _ in 0..=rng.below(MOST_DENIED) {
            if let Some((class, served)) = ruin::class(&self.now, rng) {
                denied.push(class);
                out.extend(served);
            }
        }
        if denied.is_empty() {
            return;
        }
        let home = Seen {
            day: self.now.clone(),
            cost: self.cost,
            bank: self.bank.clone(),
        };
        let nowhere = Seen {
            day: self.now.clone(),
            cost: i64::MAX,
            bank: Vec::new(),
        };
        self.away = Some(Away {
            denied,
            home,
            best: nowhere,
        });
        let cost = self.rebuild(&out, rng);
        self.go(cost);
    }

    /// Takes these visits out and puts back what it can; returns the cost.
    fn rebuild(&mut self, out: &[usize], rng: &mut Rng) -> i64 {
        self.now.remove(out, &mut self.bank);
        let denied = self.away.as_ref().map_or(&[][..], |a| &a.denied);
        recreate(&mut self.now, &mut self.bank, self.ranks, denied, rng);
        self.now.cost()
    }

    /// Goes on from here.
    fn go(&mut self, cost: i64) {
        self.cost = cost;
        if let Some(away) = &mut self.away
            && cost < away.best.cost
        {
            away.best.note(&self.now, cost, &self.bank);
        }
        if cost < self.best.cost {
            self.best.note(&self.now, cost, &self.bank);
        }
    }
}

/// The annealing rule: a dearer day is taken with a chance that falls with the difference.
#[expect(clippy::cast_precision_loss, reason = "a chance needs no exactness")]
fn accepts(now: i64, new: i64, temperature: f64, rng: &mut Rng) -> bool {
    (new as f64) < now as f64 - temperature * (1.0 - rng.unit()).ln()
}
