//! What the threads of a search know of each other, and the one of them that reports to the caller.

use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};
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
}

impl Shared {
    pub fn new(best: (i64, usize), enough: i64) -> Self {
        Self {
            spent: AtomicU64::new(0),
            stop: AtomicBool::new(best.0 <= enough),
            steps: AtomicU64::new(0),
            best: Mutex::new(best),
            enough,
        }
    }

    /// From 0 to 1.
    pub fn spent(&self) -> f64 {
        f64::from_bits(self.spent.load(Ordering::Relaxed))
    }

    pub fn stopped(&self) -> bool {
        self.stop.load(Ordering::Relaxed)
    }

    pub fn steps(&self) -> u64 {
        self.steps.load(Ordering::Relaxed)
    }

    /// Takes note of a better day.
    pub fn found(&self, cost: i64, unserved: usize) {
        let mut best = self.best.lock().unwrap_or_else(PoisonError::into_inner);
        if cost < best.0 {
            *best = (cost, unserved);
        }
        if cost <= self.enough {
            self.stop.store(true, Ordering::Relaxed);
        }
    }

    /// Counts a step and says how much is spent, nothing where the search is over.
    pub fn step(&self) -> Option<f64> {
        self.steps.fetch_add(1, Ordering::Relaxed);
        (!self.stopped()).then(|| self.spent())
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
