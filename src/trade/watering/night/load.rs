//! What a line carries over the night, and the earliest room in it.

use std::collections::BTreeMap;

use super::{Line, NightValve};

/// What the line carries at each time, as changes by their instant; when it is closed; and what rules still allow.
#[derive(Clone)]
pub(super) struct Load {
    pub(super) capacity: i128,
    changes: BTreeMap<i128, i128>,
    closed: Vec<[i128; 2]>,
    /// From, to, ml left.
    budgets: Vec<(i128, i128, i128)>,
}

impl Load {
    pub(super) fn of(line: &Line) -> Self {
        let closed = line.closed.iter().filter(|span| span[0] < span[1]);
        let budgets = line.budgets.iter().filter(|one| one.from < one.to);
        let mut load = Self {
            capacity: i128::from(line.capacity.0),
            changes: BTreeMap::new(),
            closed: closed.map(|span| span.map(|at| i128::from(at.0))).collect(),
            budgets: budgets
                .map(|one| {
                    (
                        i128::from(one.from.0),
                        i128::from(one.to.0),
                        i128::from(one.left.0),
                    )
                })
                .collect(),
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

    /// The earliest start from `from` on at which the line carries `flow` for `run` unbroken seconds.
    fn carried_from(&self, from: i128, run: i128, flow: i128) -> i128 {
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

    /// When whatever stands in the way of a run at `start` is over; none where nothing does.
    fn in_the_way(&self, valve: &NightValve, start: i128) -> Option<i128> {
        let (run, volume) = (i128::from(valve.run.0), volume(valve));
        let busy = valve.busy.iter().filter(|span| span[0] < span[1]);
        let busy = busy.map(|span| span.map(|at| i128::from(at.0)));
        let closed = self.closed.iter().copied();
        let overlapped = busy
            .chain(closed)
            .filter(|span| span[0] < start + run && start < span[1])
            .map(|span| span[1]);
        let spent = self
            .budgets
            .iter()
            .filter(|(from, to, left)| (*from..*to).contains(&start) && *left < volume)
            .map(|(_, to, _)| *to);
        overlapped.chain(spent).max()
    }

    /// The earliest start from `from` on at which nothing stands in the way of a run.
    fn earliest(&self, valve: &NightValve, from: i128) -> i128 {
        let (run, flow) = (i128::from(valve.run.0), i128::from(valve.flow.0));
        let mut start = from;
        loop {
            start = self.carried_from(start, run, flow);
            match self.in_the_way(valve, start) {
                // What stands in the way ends later than the run would start, so that this goes on and ends.
                Some(over) => start = over,
                None => return start,
            }
        }
    }

    /// The latest start at which a run of the valve fits; none where it fits nowhere.
    pub(super) fn latest(&self, valve: &NightValve) -> Option<i128> {
        let (run, flow) = (i128::from(valve.run.0), i128::from(valve.flow.0));
        if flow > self.capacity {
            return None;
        }
        let (first, last) = (
            i128::from(valve.not_before.0),
            i128::from(valve.ready_before.0) - run,
        );
        // A run that cannot end later ends where something that stands in its way begins.
        let busy = valve.busy.iter().map(|span| i128::from(span[0].0));
        let closed = self.closed.iter().map(|span| span[0]);
        let changes = self.changes.keys().copied();
        let begins = busy.chain(closed).chain(changes).map(|at| at - run);
        let budgets = self.budgets.iter().map(|(from, ..)| from - 1);
        let mut starts: Vec<i128> = begins.chain(budgets).chain([last]).collect();
        starts.sort_unstable();
        let mut starts = starts.into_iter().rev();
        starts.find(|start| {
            (first..=last).contains(start)
                && self.carried_from(*start, run, flow) == *start
                && self.in_the_way(valve, *start).is_none()
        })
    }

    /// Adds the valve's next cycle after the one that started at `last`, if it ends in time.
    pub(super) fn place(&mut self, valve: &NightValve, last: Option<i128>) -> Option<i128> {
        let (run, flow) = (i128::from(valve.run.0), i128::from(valve.flow.0));
        if flow > self.capacity {
            return None;
        }
        let from = match last {
            None => i128::from(valve.not_before.0),
            Some(last) => last + run + i128::from(valve.pause.0),
        };
        let start = self.earliest(valve, from);
        if start + run > i128::from(valve.ready_before.0) {
            return None;
        }
        self.add(start, start + run, flow);
        for (from, to, left) in &mut self.budgets {
            if (*from..*to).contains(&start) {
                *left -= volume(valve);
            }
        }
        Some(start)
    }

    /// Adds all cycles of the valve, or leaves the line as it is.
    pub(super) fn place_all(&mut self, valve: &NightValve) -> Option<Vec<i128>> {
        let mut tried = self.clone();
        let starts = tried.place_as_many(valve);
        if starts.len() < usize::from(valve.cycles) {
            return None;
        }
        *self = tried;
        Some(starts)
    }

    /// Adds as many cycles of the valve as fit.
    pub(super) fn place_as_many(&mut self, valve: &NightValve) -> Vec<i128> {
        let mut starts = Vec::new();
        for _ in 0..valve.cycles {
            match self.place(valve, starts.last().copied()) {
                Some(start) => starts.push(start),
                None => break,
            }
        }
        starts
    }
}

fn volume(valve: &NightValve) -> i128 {
    i128::from(valve.flow.0) * i128::from(valve.run.0)
}
