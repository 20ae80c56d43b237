//! What the threads of a search know of each other, and the one of them that reports to the caller.

use std::sync::atomic::{AtomicBool, AtomicU64, AtomicUsize, Ordering};
use std::sync::{Mutex, PoisonError};

use crate::money::Total;
use crate::{Control, Progress};

/// Shared by the threads of a search.
pub(super) struct Shared {
    /// The caller's budget spent, as the bits of a share from 0 to 1.
    spent: AtomicU64,
    stop: AtomicBool,
    steps: AtomicU64,
    /// Units and unserved visits of the best day so far.
    best: Mutex<(i64, usize)>,
    /// Units: a day at this cost ends the search.
    enough: i64,
    /// The first leg, by its number, that came to such a day. Those before it go on where steps are counted, as
    /// they would have come to their end first on one thread.
    first_done: AtomicUsize,
    counted: bool,
}

impl Shared {
    pub fn new(best: (i64, usize), enough: i64, counted: bool) -> Self {
        Self {
            spent: AtomicU64::new(0),
            stop: AtomicBool::new(best.0 <= enough),
            steps: AtomicU64::new(0),
            best: Mutex::new(best),
            enough,
            first_done: AtomicUsize::new(usize::MAX),
            counted,
        }
    }

    /// From 0 to 1.
    pub fn spent(&self) -> f64 {
        f64::from_bits(self.spent.load(Ordering::Relaxed))
    }

    /// Nothing more is to be begun.
    pub fn stopped(&self) -> bool {
        self.stop.load(Ordering::Relaxed) || self.done().is_some()
    }

    /// The number of the leg that came to a day that is cheap enough.
    pub fn done(&self) -> Option<usize> {
        let first = self.first_done.load(Ordering::Relaxed);
        (first != usize::MAX).then_some(first)
    }

    pub fn steps(&self) -> u64 {
        self.steps.load(Ordering::Relaxed)
    }

    /// Takes note of a better day of the leg with this number.
    pub fn found(&self, leg: usize, cost: i64, unserved: usize) {
        let mut best = self.best.lock().unwrap_or_else(PoisonError::into_inner);
        if cost < best.0 {
            *best = (cost, unserved);
        }
        if cost <= self.enough {
            self.first_done.fetch_min(leg, Ordering::Relaxed);
            if !self.counted {
                self.stop.store(true, Ordering::Relaxed);
            }
        }
    }

    /// Counts a step of a leg and says how much is spent, nothing where the leg is over.
    pub fn step(&self, leg: usize) -> Option<f64> {
        self.steps.fetch_add(1, Ordering::Relaxed);
        let over =
            self.stop.load(Ordering::Relaxed) || self.done().is_some_and(|first| first <= leg);
        (!over).then(|| self.spent())
    }

    /// Tells the caller how far the search is and takes the answer.
    pub fn report(&self, report: &mut dyn FnMut(&Progress) -> Control) {
        let (cost, unserved) = *self.best.lock().unwrap_or_else(PoisonError::into_inner);
        let progress = Progress {
            iterations: self.steps(),
            cost: Total::of_units(cost),
            unserved,
        };
        match report(&progress) {
            Control::Continue { spent } => {
                let spent = spent.clamp(0.0, 1.0);
                self.spent.store(spent.to_bits(), Ordering::Relaxed);
            }
            Control::Stop => self.stop.store(true, Ordering::Relaxed),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::Shared;

    #[test]
    fn the_legs_before_one_that_is_cheap_enough_go_on_where_steps_are_counted() {
        let shared = Shared::new((100, 0), 50, true);
        shared.found(3, 50, 0);
        let goes_on = |leg| shared.step(leg).is_some();
        assert_eq!([2, 3, 4].map(goes_on), [true, false, false]);
        shared.found(1, 49, 0);
        assert_eq!([0, 1, 2].map(goes_on), [true, false, false]);
        assert_eq!(shared.done(), Some(1));
        assert!(shared.stopped());
    }

    #[test]
    fn no_leg_goes_on_after_one_that_is_cheap_enough_where_time_is_counted() {
        let shared = Shared::new((100, 0), 50, false);
        shared.found(3, 50, 0);
        assert_eq!(shared.step(0), None);
    }
}
