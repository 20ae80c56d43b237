//! What the rest of a round costs at least, from the end of a stop on: rounds that remember only their last
//! stop, and times rounded down to a grid. A label that even so comes to nothing better need not be extended.

use super::network::Network;
use super::task::Task;
use crate::model::Crew;
use crate::timing::cross;

/// A finer grid, in seconds, is not worth its time.
const FINEST_S: i64 = 60;
/// A coarser one is worth little.
const COARSEST_S: i64 = 300;
/// So many times there are at most in a grid.
const MOST_TIMES: i64 = 2000;

/// More than any worths can make good.
const HIGH: i64 = i64::MAX / 32;

/// The two cheapest rests of a round that go on differently.
#[derive(Clone, Copy)]
struct Rest {
    least: i64,
    /// A memory with one of these cannot go on as the cheapest does.
    barred: u64,
    next: usize,
    second: i64,
}

const NONE: Rest = Rest {
    least: i64::MAX / 4,
    barred: 0,
    next: usize::MAX,
    second: i64::MAX / 4,
};

impl Rest {
    fn offer(&mut self, cost: i64, barred: u64, next: usize) {
        if next == self.next {
            self.least = self.least.min(cost);
        } else if cost < self.least {
            self.second = self.least;
            (self.least, self.barred, self.next) = (cost, barred, next);
        } else {
            self.second = self.second.min(cost);
        }
    }

    fn with(&self, seen: u64) -> i64 {
        if seen & self.barred == 0 {
            self.least
        } else {
            self.second
        }
    }
}

/// Costs of the rests of rounds, by stop, breaks taken and time.
pub(super) struct Completion {
    from: i64,
    step: i64,
    times: usize,
    stages: usize,
    rests: Vec<Rest>,
}

impl Completion {
    /// `pace` is the units a second of travel and service, `worth` that of each node. None where stops follow
    /// each other so quickly that a grid would have to be too fine.
    pub fn new(
        task: &Task,
        network: &Network,
        crew: &Crew,
        pace: i64,
        worth: &[i64],
    ) -> Option<Self> {
        let shortest = |k: usize| network.nodes[k].offers.iter().map(|o| o.dur()).min();
        let legs = network.nodes.iter().flat_map(|n| &n.legs);
        let advance = legs.filter_map(|l| Some(l.way + shortest(l.to)?)).min();
        let step = advance.unwrap_or(COARSEST_S).min(COARSEST_S);
        let times = (crew.until - crew.from) / step.max(1) + 1;
        if step < FINEST_S || times > MOST_TIMES {
            return None;
        }
        // No sum then comes near the ends of its range.
        let most = worth.iter().max().copied().unwrap_or(0);
        if i128::from(most) * i128::from(times) > i128::from(HIGH) {
            return None;
        }
        let times = usize::try_from(times).ok()?;
        let stages = network.breaks.len() + 1;
        let mut all = Self {
            from: crew.from,
            step,
            times,
            stages,
            rests: vec![NONE; network.nodes.len() * stages * times],
        };
        // Every leg goes on to a later time of the grid.
        for time in (0..times).rev() {
            for at in 0..network.nodes.len() {
                for rested in 0..stages {
                    let spot = all.spot(at, rested, time);
                    all.rests[spot] =
                        all.rest((task, network, crew), (pace, worth), (at, rested, time));
                }
            }
        }
        Some(all)
    }

    fn spot(&self, node: usize, rested: usize, time: usize) -> usize {
        (node * self.stages + rested) * self.times + time
    }

    /// The time of the grid not after.
    fn index(&self, time: i64) -> usize {
        usize::try_from((time - self.from) / self.step).unwrap_or(0)
    }

    fn rest(
        &self,
        (task, network, crew): (&Task, &Network, &Crew),
        (pace, worth): (i64, &[i64]),
        (at, rested, time): (usize, usize, usize),
    ) -> Rest {
        let node = &network.nodes[at];
        let mut rest = NONE;
        let now = self.from + i64::try_from(time).unwrap_or(0) * self.step;
        if now + self.step <= node.earliest_end || now > node.latest_end {
            return rest;
        }
        let now = now.max(node.earliest_end);
        if let Some((done, _)) = cross(now, node.home, &network.breaks[rested..])
            && done <= crew.until
        {
            rest.offer(pace * node.home + crew.overtime(done), 0, at);
        }
        let own = network.bit_of(at);
        for leg in &node.legs {
            let next = &network.nodes[leg.to];
            if now + leg.way > next.latest_start {
                continue;
            }
            let gone = pace * leg.way - worth[leg.to];
            let extra = pace - task.model.crews[task.groups[network.group].crew].rate;
            for then in rested..self.stages {
                let Some((ready, _)) = cross(now, leg.way, &network.breaks[rested..then]) else {
                    continue;
                };
                for offer in &next.offers {
                    let end = ready.max(offer.lo()) + offer.dur();
                    if end > offer.hi() {
                        continue;
                    }
                    let on = self.rests[self.spot(leg.to, then, self.index(end))];
                    let on = on.with(own & leg.keep);
                    if on > 4 * HIGH {
                        continue;
                    }
                    let cost = offer.cost() + extra * offer.dur() + offer.late(end) + on;
                    rest.offer(gone + cost, leg.barred, leg.to);
                }
            }
        }
        rest
    }

    /// What the rest of a round costs at least that has made this stop, so many breaks and these visits.
    pub fn at(&self, node: usize, rested: usize, time: i64, seen: u64) -> i64 {
        self.rests[self.spot(node, rested, self.index(time))].with(seen)
    }
}
