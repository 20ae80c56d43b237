//! Simulated annealing over ruin and recreate, with excursions into other kits.
//!
//! Which crew takes which tools along shapes the whole day, and a step that moves a dozen visits never gets
//! from one sound distribution to another: a crew's first stop with a new class is dear while the rest of its
//! work with it is still elsewhere. So the search now and then sets off on an excursion: it takes a class or
//! two from crews, denies them to these crews, goes on as usual for a while, and only then decides by the
//! annealing rule whether to stay with the best day seen on the way or to go back. Days without a free kit
//! know no excursions.
//!
//! Measured once each, seed 1, one core of a busy machine. Without excursions and with `HOT` at 0.1, 5 s:
//! medium-2 127,877, medium-3 117,363, large-1 253,837 cents. As it is, 8 s: 121,206, 116,461, 249,182. The
//! time does not make the difference on medium-2: without excursions six seeds of 3 s and one of 5 s all
//! ended between 127,877 and 127,945. With no steps at all, large-1 (241 visits) is planned in 11 ms, the
//! reading of the file and the finish included.

use crate::day::Day;
use crate::insertion::Denied;
use crate::money::Total;
use crate::rng::Rng;
use crate::search::recreate::{Ranks, recreate};
use crate::search::{near, ruin};
use crate::{Control, Progress};

/// First temperature, as a share of the mean cost of a visit in the first day.
const HOT: f64 = 0.4;
/// Last temperature, as a share of the first.
const COLD: f64 = 0.01;
/// Steps of an excursion for each visit.
const AWAY: usize = 1;
/// Between two excursions there are so many times fewer steps than on one.
const AT_HOME_PART: usize = 2;
/// An excursion denies from one class to so many.
const MOST_DENIED: usize = 2;

/// Improves a day until the iterations are done or the caller says stop; returns the best seen. `heat` is the
/// share of the first temperature to begin with: 1 for a day from nothing, near 0 for a day that is to be kept
/// as far as cost allows.
#[expect(clippy::cast_precision_loss, reason = "temperatures need no exactness")]
pub(crate) fn search<'m>(
    day: Day<'m>,
    ranks: &Ranks,
    rng: &mut Rng,
    iterations: Option<u64>,
    heat: f64,
    report: &mut dyn FnMut(&Progress) -> Control,
) -> Day<'m> {
    let can = |i: &usize| day.model.visits[*i].never.is_none();
    let open: Vec<usize> = (0..day.model.visits.len()).filter(can).collect();
    if open.is_empty() {
        return day;
    }
    let hot = heat
        * HOT
        * (day.rounds.iter().map(|r| r.cost).sum::<i64>() as f64 / open.len() as f64).max(1.0);
    let mut walk = Walk {
        near: near::neighbours(day.model),
        ranks,
        best: Seen::new(&day),
        cost: day.cost(),
        bank: open
            .iter()
            .copied()
            .filter(|&i| day.served[i].is_none())
            .collect(),
        now: day,
        away: None,
        left: AWAY * open.len() / AT_HOME_PART,
        spare: Vec::new(),
        open,
    };
    for iteration in 0.. {
        if iterations.is_some_and(|n| iteration >= n) {
            break;
        }
        let Control::Continue { spent } = report(&walk.progress(iteration)) else {
            break;
        };
        let spent = iterations.map_or(spent.clamp(0.0, 1.0), |n| iteration as f64 / n as f64);
        walk.step(hot * COLD.powf(spent), rng);
    }
    walk.best.day
}

/// A day, its cost, and what could be served but is not.
struct Seen<'m> {
    day: Day<'m>,
    cost: i64,
    bank: Vec<usize>,
}

impl<'m> Seen<'m> {
    fn new(day: &Day<'m>) -> Self {
        let open = |&i: &usize| day.model.visits[i].never.is_none() && day.served[i].is_none();
        Self {
            day: day.clone(),
            cost: day.cost(),
            bank: (0..day.served.len()).filter(open).collect(),
        }
    }

    fn note(&mut self, day: &Day<'m>, cost: i64, bank: &[usize]) {
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

struct Walk<'a, 'm> {
    ranks: &'a Ranks,
    near: Vec<Vec<usize>>,
    /// The visits that can be served.
    open: Vec<usize>,
    best: Seen<'m>,
    now: Day<'m>,
    cost: i64,
    /// What could be served but is not.
    bank: Vec<usize>,
    away: Option<Away<'m>>,
    /// Steps until the next turn, away or home.
    left: usize,
    /// The bank before a step.
    spare: Vec<usize>,
}

impl Walk<'_, '_> {
    fn progress(&self, iterations: u64) -> Progress {
        let never = self.best.day.served.len() - self.open.len();
        Progress {
            iterations,
            cost: Total::of_units(self.best.cost),
            unserved: never + self.best.bank.len(),
        }
    }

    fn step(&mut self, temperature: f64, rng: &mut Rng) {
        if self.left > 0 {
            self.left -= 1;
            self.now.mark();
            self.spare.clone_from(&self.bank);
            let out = ruin::strings(&self.now, &self.near, rng);
            let cost = self.rebuild(&out, rng);
            if accepts(self.cost, cost, temperature, rng) {
                self.go(cost);
            } else {
                self.now.undo();
                std::mem::swap(&mut self.bank, &mut self.spare);
            }
        } else if let Some(away) = self.away.take() {
            self.left = AWAY * self.open.len() / AT_HOME_PART;
            let stay = accepts(away.home.cost, away.best.cost, temperature, rng);
            let seen = if stay { away.best } else { away.home };
            (self.now, self.cost, self.bank) = (seen.day, seen.cost, seen.bank);
        } else {
            self.left = AWAY * self.open.len();
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
