//! One leg of the search: simulated annealing from a day to a cold end.
//!
//! Temperatures fall from hot to cold by equal factors. Half or twice the first, half or twice the last were
//! each measured within the noise of 9 seeds on days of 85 and 99 visits (0.1 %), so these are no fine choice.

use crate::day::Day;
use crate::rng::Rng;
use crate::search::recreate::Ranks;
use crate::search::walk::{Seen, Walk};
use crate::search::watch::Shared;

/// First temperature, as a share of the mean cost of a visit in the first day.
const HOT: f64 = 0.4;
/// Last temperature, as a share of the first.
const COLD: f64 = 0.01;

/// The temperatures of a day, in units.
#[derive(Clone, Copy, Debug)]
pub(super) struct Heat {
    pub hot: f64,
    pub cold: f64,
}

impl Heat {
    /// Of a problem of which this is a first day.
    #[expect(clippy::cast_precision_loss, reason = "temperatures need no exactness")]
    pub fn of(day: &Day, visits: usize) -> Self {
        let cost: i64 = day.rounds.iter().map(|r| r.cost).sum();
        let hot = HOT * (cost as f64 / visits as f64).max(1.0);
        Self {
            hot,
            cold: COLD * hot,
        }
    }

    /// The same end from a share of the beginning.
    pub fn from(self, share: f64) -> Self {
        Self {
            hot: (self.hot * share).max(self.cold),
            ..self
        }
    }

    fn at(self, part: f64) -> f64 {
        self.hot * (self.cold / self.hot).powf(part)
    }
}

/// How long a leg may take.
#[derive(Clone, Copy, Debug)]
pub(super) enum Length {
    /// So many steps.
    Steps(u64),
    /// From one share of the caller's budget to another.
    Spent { from: f64, to: f64 },
}

impl Length {
    /// How much of it is over after so many steps.
    #[expect(clippy::cast_precision_loss, reason = "shares need no exactness")]
    fn part(self, steps: u64, spent: f64) -> f64 {
        match self {
            Self::Steps(n) => steps as f64 / n.max(1) as f64,
            Self::Spent { from, to } => (spent - from) / (to - from).max(f64::MIN_POSITIVE),
        }
    }
}

/// A leg still to be gone.
pub(super) struct Leg<'m> {
    /// Where it sets off.
    pub day: Day<'m>,
    pub heat: Heat,
    pub length: Length,
    /// Whether it looks for other kits on the way.
    pub excursions: bool,
    pub rng: Rng,
}

impl<'m> Leg<'m> {
    /// Goes the leg that has this number, calling `tick` at every step; the best day seen.
    pub fn go(
        mut self,
        number: usize,
        ranks: &Ranks,
        near: &[Vec<usize>],
        shared: &Shared,
        tick: &mut dyn FnMut(),
    ) -> Seen<'m> {
        let mut walk = Walk::new((self.day, self.excursions), ranks, near, &mut self.rng);
        let mut least = i64::MAX;
        for steps in 0.. {
            if walk.best.cost < least {
                least = walk.best.cost;
                shared.found(number, least, walk.unserved());
            }
            tick();
            let Some(part) = shared
                .step(number)
                .map(|spent| self.length.part(steps, spent))
            else {
                break;
            };
            if part >= 1.0 {
                break;
            }
            walk.step(self.heat.at(part.max(0.0)), &mut self.rng);
        }
        walk.best
    }
}
