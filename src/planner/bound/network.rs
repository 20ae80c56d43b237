//! One group's network: which stop may follow which, and what a round remembers of the stops before.
//!
//! A round that may come back to a visit is easier to find than one that may not. So that few do, every visit
//! has a neighbourhood, and a round remembers a visit as long as all its later stops have it in their
//! neighbourhoods (Baldacci, Mingozzi & Roberti 2011, "ng-routes"). The memory is 64 bits: visits that are in
//! no neighbourhood together share a bit.

use super::pricing::Priced;
use super::task::{Offer, Task};
use crate::model::Break;

/// Bits of a round's memory.
const BITS: usize = 64;

/// The stops a group can make.
pub(super) struct Network<'t> {
    pub group: usize,
    pub nodes: Vec<Node<'t>>,
    /// Legs from the start.
    pub starts: Vec<Leg>,
    /// The crew's breaks, without those of no length: these split no travel, so they may fall anywhere on a leg,
    /// and a round is no dearer without them.
    pub breaks: Vec<Break>,
    /// `nodes` wide: by from and to, in the memory.
    near: Vec<bool>,
    bit: Vec<u64>,
    /// Whether a kit may not hold more than its limit; at first it may.
    pub limited: bool,
    kit_limit: usize,
    /// Whether a load may not be over its limit; at first it may.
    pub loaded: bool,
    load_limit: i64,
}

/// A visit as a stop of the group.
pub(super) struct Node<'t> {
    pub visit: usize,
    pub offers: Vec<&'t Offer>,
    pub legs: Vec<Leg>,
    /// Seconds home, by the matrix.
    pub home: i64,
    pub earliest_end: i64,
    pub latest_start: i64,
    pub latest_end: i64,
}

impl Node<'_> {
    /// It may take no time.
    fn timeless(&self) -> bool {
        self.offers.iter().any(|o| o.dur() == 0)
    }
}

/// A leg to a stop.
#[derive(Clone, Copy)]
pub(super) struct Leg {
    pub to: usize,
    pub way: i64,
    /// What of the memory is kept.
    pub keep: u64,
    /// A memory with one of these may not go there.
    pub barred: u64,
    /// The bit of the stop gone to.
    pub bit: u64,
}

impl<'t> Network<'t> {
    /// None where the memory is too small to keep rounds that take no time from going in circles.
    pub fn new(task: &'t Task, group: usize, size: usize) -> Option<Self> {
        let crew = &task.model.crews[task.groups[group].crew];
        let mut nodes = Vec::new();
        for (visit, v) in task.visits.iter().enumerate() {
            let offers: Vec<&Offer> = v.offers.iter().filter(|o| o.group() == group).collect();
            let ends = offers.iter().map(|o| o.lo() + o.dur());
            let starts = offers.iter().map(|o| o.hi() - o.dur());
            let (Some(earliest_end), Some(latest_start)) = (ends.min(), starts.max()) else {
                continue;
            };
            let latest_end = offers.iter().map(|o| o.hi()).max().unwrap_or(crew.until);
            nodes.push(Node {
                visit,
                offers,
                legs: Vec::new(),
                home: task
                    .model
                    .travel(task.model.visits[visit].place, crew.end_place),
                earliest_end,
                latest_start,
                latest_end,
            });
        }
        let n = nodes.len();
        let mut network = Self {
            group,
            nodes,
            starts: Vec::new(),
            breaks: crew.breaks.iter().filter(|b| b.len > 0).copied().collect(),
            near: vec![false; n * n],
            bit: vec![0; n],
            limited: false,
            loaded: false,
            load_limit: crew.load_limit,
            kit_limit: crew.given.as_ref().map_or(crew.kit_limit, |_| usize::MAX),
        };
        network.choose(task, size);
        network.share_bits()?;
        network.join(task);
        Some(network)
    }

    fn place(&self, task: &Task, node: usize) -> usize {
        task.model.visits[self.nodes[node].visit].place
    }

    /// Chooses the neighbourhoods: the nearest visits that a round may come back to.
    fn choose(&mut self, task: &Task, size: usize) {
        let n = self.nodes.len();
        for at in 0..n {
            self.near[at * n + at] = true;
            let place = self.place(task, at);
            let mut circles: Vec<(i64, usize)> = (0..n)
                .filter(|&k| k != at)
                .filter_map(|k| {
                    let other = self.place(task, k);
                    let (there, back) = (
                        task.model.travel(place, other),
                        task.model.travel(other, place),
                    );
                    let (a, b) = (&self.nodes[at], &self.nodes[k]);
                    // k, here and k again.
                    let again = a.earliest_end.max(b.earliest_end + back) + there;
                    let order = &task.model.visits[a.visit].after;
                    (again <= b.latest_start || order.contains(&b.visit))
                        .then_some((there + back, k))
                })
                .collect();
            circles.sort_unstable();
            for &(_, k) in circles.iter().take(size.saturating_sub(1)) {
                self.near[at * n + k] = true;
            }
        }
        // Stops that may take no time are remembered everywhere.
        for k in 0..n {
            if self.nodes[k].timeless() {
                for at in 0..n {
                    self.near[at * n + k] = true;
                }
            }
        }
    }

    /// Gives each visit a bit. What gets none is not remembered; none where that may not be.
    fn share_bits(&mut self) -> Option<()> {
        let n = self.nodes.len();
        self.bit = vec![0; n];
        for k in 0..n {
            if !self.near[k * n + k] {
                continue;
            }
            let mut taken = 0_u64;
            for at in (0..n).filter(|at| self.near[at * n + k]) {
                for other in (0..k).filter(|other| self.near[at * n + other]) {
                    taken |= self.bit[other];
                }
            }
            let free = (!taken).trailing_zeros() as usize;
            if free < BITS {
                self.bit[k] = 1 << free;
            } else if self.nodes[k].timeless() {
                return None;
            } else {
                for at in 0..n {
                    self.near[at * n + k] = false;
                }
            }
        }
        Some(())
    }

    /// Forbids what these rounds should not do: come back to a visit, or hold too large a kit. False where
    /// they do nothing such, or it cannot be forbidden.
    pub fn tighten(&mut self, task: &Task, rounds: &[&Priced]) -> bool {
        let n = self.nodes.len();
        let mut changed = !self.limited && rounds.iter().any(|r| r.kit.len() > self.kit_limit);
        self.limited |= changed;
        let heavy = |r: &&Priced| r.load > self.load_limit;
        if !self.loaded && rounds.iter().any(heavy) {
            self.loaded = true;
            changed = true;
        }
        let before = self.near.clone();
        for round in rounds {
            let stops = self.stops(round);
            for (i, at) in stops.iter().enumerate() {
                let Some(again) = stops[i + 1..].iter().position(|s| s == at) else {
                    continue;
                };
                self.near[at * n + at] = true;
                for between in &stops[i + 1..i + 1 + again] {
                    self.near[between * n + at] = true;
                }
            }
        }
        let remembered = |near: &[bool]| near.iter().filter(|near| **near).count();
        let more = self.near != before && self.share_bits().is_some();
        if more && remembered(&self.near) > remembered(&before) {
            changed = true;
            self.join(task);
        } else if self.near != before {
            self.near = before;
            self.share_bits();
        }
        changed
    }

    /// The bit of a node's visit; 0 where it is not remembered.
    pub fn bit_of(&self, node: usize) -> u64 {
        self.bit[node]
    }

    fn stops(&self, round: &Priced) -> Vec<usize> {
        let node = |v: &usize| self.nodes.binary_search_by_key(v, |n| n.visit).ok();
        round.visits.iter().filter_map(node).collect()
    }

    /// The round is one that may be found here.
    pub fn allows(&self, round: &Priced) -> bool {
        let stops = self.stops(round);
        let mut seen = 0;
        for legs in stops.windows(2) {
            let from = &self.nodes[legs[0]];
            let Some(leg) = from.legs.iter().find(|l| l.to == legs[1]) else {
                return false;
            };
            if seen & leg.barred != 0 || self.bit[legs[0]] & leg.barred != 0 {
                return false;
            }
            seen = (seen | self.bit[legs[0]]) & leg.keep | leg.bit;
        }
        (!self.limited || round.kit.len() <= self.kit_limit)
            && (!self.loaded || round.load <= self.load_limit)
    }

    /// Lays the legs.
    fn join(&mut self, task: &Task) {
        let n = self.nodes.len();
        let crew = &task.model.crews[task.groups[self.group].crew];
        let near = |at: usize, k: usize| self.near[at * n + k];
        let leg = |from: Option<usize>, to: usize| {
            let (mut keep, mut barred) = (0, 0);
            if let Some(from) = from {
                let before = &task.model.visits[self.nodes[to].visit].before;
                for k in (0..n).filter(|&k| near(from, k)) {
                    if near(to, k) {
                        keep |= self.bit[k];
                    }
                    // Of two that take no time, either may come first in a round, at one and the same instant.
                    let waits = before.contains(&self.nodes[k].visit)
                        && !(self.nodes[k].timeless() && self.nodes[to].timeless());
                    if k == to || waits {
                        barred |= self.bit[k];
                    }
                }
            }
            let place = from.map_or(crew.start_place, |from| self.place(task, from));
            Leg {
                to,
                way: task.model.travel(place, self.place(task, to)),
                keep,
                barred,
                bit: if near(to, to) { self.bit[to] } else { 0 },
            }
        };
        let starts: Vec<Leg> = (0..n).map(|to| leg(None, to)).collect();
        let starts: Vec<Leg> = starts
            .into_iter()
            .filter(|l| crew.from + l.way <= self.nodes[l.to].latest_start)
            .collect();
        let mut legs: Vec<Vec<Leg>> = Vec::with_capacity(n);
        for from in 0..n {
            let a = &self.nodes[from];
            let all = (0..n)
                .filter(|&to| to != from)
                .map(|to| leg(Some(from), to));
            legs.push(
                all.filter(|l| a.earliest_end + l.way <= self.nodes[l.to].latest_start)
                    .collect(),
            );
        }
        self.starts = starts;
        for (node, legs) in self.nodes.iter_mut().zip(legs) {
            node.legs = legs;
        }
    }
}
