//! What a line carries over the night, and the earliest room in it.

use std::collections::BTreeMap;

use super::{Line, NightCourt};

/// What the line carries at each time, as changes by their instant.
#[derive(Clone)]
pub(super) struct Load {
    pub(super) capacity: i128,
    changes: BTreeMap<i128, i128>,
}

impl Load {
    pub(super) fn of(line: &Line) -> Self {
        let mut load = Self {
            capacity: i128::from(line.capacity.0),
            changes: BTreeMap::new(),
        };
        for taken in line.taken.iter().filter(|taken| taken.from < taken.to) {
            load.add(
                i128::from(taken.from.0),
                i128::from(taken.to.0),
                i128::from(taken.flow.0),
            );
        }
        load
    }

    fn add(&mut self, from: i128, to: i128, flow: i128) {
        *self.changes.entry(from).or_default() += flow;
        *self.changes.entry(to).or_default() -= flow;
    }

    /// The earliest start from `from` on at which `flow` fits for `run` unbroken seconds.
    fn earliest(&self, from: i128, run: i128, flow: i128) -> i128 {
        let (mut start, mut carried) = (from, 0);
        for (instant, change) in &self.changes {
            if *instant >= start + run && carried + flow <= self.capacity {
                break;
            }
            if *instant > start && carried + flow > self.capacity {
                start = *instant;
            }
            carried += change;
        }
        start
    }

    /// Adds the court's next cycle after the one that started at `last`, if it ends in time.
    pub(super) fn place(&mut self, court: &NightCourt, last: Option<i128>) -> Option<i128> {
        let (run, flow) = (i128::from(court.run.0), i128::from(court.flow.0));
        let from = match last {
            None => i128::from(court.not_before.0),
            Some(last) => last + run + i128::from(court.pause.0),
        };
        let start = self.earliest(from, run, flow);
        if start + run > i128::from(court.ready_before.0) {
            return None;
        }
        self.add(start, start + run, flow);
        Some(start)
    }

    /// Adds all cycles of the court, or leaves the line as it is.
    pub(super) fn place_all(&mut self, court: &NightCourt) -> Option<Vec<i128>> {
        let mut tried = self.clone();
        let mut starts = Vec::new();
        for _ in 0..court.cycles {
            starts.push(tried.place(court, starts.last().copied())?);
        }
        *self = tried;
        Some(starts)
    }
}
