//! The cheapest round of a crew under prices: what it costs, less what its stops are worth.
//!
//! Labels (Desrochers 1988; Feillet et al. 2004): a label is a way to have come to the end of a stop, with its
//! cost so far, the time, the breaks taken, the load, the kit and the remembered stops. Of two labels at one
//! stop, one that is as good in all of these makes the other needless. Labels are taken by time, so that each
//! is extended once.

use std::cmp::Reverse;
use std::collections::BinaryHeap;

use super::completion::Completion;
use super::network::{Leg, Network, Node};
use super::prices::Prices;
use super::task::Task;
use crate::model::Crew;
use crate::timing::cross;

/// A label below this is further than exact sums are safe.
const FAR: i64 = i64::MIN / 4;
/// A label above this counts as this much.
const HIGH: i64 = i64::MAX / 4;
/// Rounds handed out at most.
const MOST_ROUNDS: usize = 12;
/// Labels at a stop when a first round is guessed.
const FIRST: usize = 10;
/// Labels of one pricing at most: some hundreds of megabytes.
const MOST_LABELS: usize = 4_000_000;
/// Labels between two questions whether to go on.
const STRIDE: usize = 64;

/// A priced round.
#[derive(Debug)]
pub(super) struct Priced {
    /// Its cost less the prices, in units, below 0.
    pub reduced: i64,
    /// Its cost without prices and balance, in units.
    pub cost: i64,
    /// Its visits, one entry a stop, in order.
    pub visits: Vec<usize>,
    /// The classes it uses.
    pub kit: Vec<usize>,
    /// Seconds of travel and service.
    pub work: i64,
    /// Grams.
    pub load: i64,
}

/// Why there is no answer.
#[derive(Debug)]
pub(super) enum Halt {
    /// The caller said stop.
    Stopped,
    /// The numbers are too large, or the labels too many.
    TooFar,
}

#[derive(Clone, Copy)]
struct Label {
    cost: i64,
    time: i64,
    load: i64,
    seen: u64,
    kit: u64,
    work: i64,
    node: u32,
    offer: u32,
    rested: u32,
    from: u32,
}

/// What labels at one stop compare by.
#[derive(Clone, Copy)]
struct Mark {
    cost: i64,
    time: i64,
    load: i64,
    seen: u64,
    kit: u64,
    label: u32,
}

/// A class that the kit is watched for.
struct Watched {
    class: usize,
    price: i64,
}

/// The work of one pricing.
pub(super) struct Pricing<'a> {
    crew: &'a Crew,
    network: &'a Network<'a>,
    task: &'a Task<'a>,
    /// Units a second of travel and service: the rate and the price of balance.
    balance: i64,
    worth: Vec<i64>,
    watched: Vec<Watched>,
    /// For each node and offer its watched classes.
    tools: Vec<Vec<u64>>,
    /// Whether kits of watched classes may be too large.
    limited: bool,
    loaded: bool,
    /// Latest time to have so many breaks taken only.
    deadline: Vec<i64>,
    labels: Vec<Label>,
    gone: Vec<bool>,
    marks: Vec<Vec<Mark>>,
    open: BinaryHeap<Reverse<(i64, u32)>>,
    /// The cheapest rounds by last stop, below nothing.
    best: Vec<(i64, u32)>,
    far: bool,
    /// Labels kept at one stop at most.
    most: usize,
    completion: Option<Completion>,
    /// Rounds that cost this or more are of no interest.
    limit: i64,
}

/// The answer to a pricing.
pub(super) struct Answer {
    /// No round costs less, after prices, and this is not above 0; in units.
    pub least: i64,
    /// The cheapest rounds found, the cheapest first.
    pub rounds: Vec<Priced>,
    /// There is a round that costs `least`, or none below nothing.
    pub exact: bool,
}

impl<'a> Pricing<'a> {
    pub fn new(task: &'a Task<'a>, network: &'a Network<'a>, prices: &Prices) -> Self {
        let group = &task.groups[network.group];
        let crew = &task.model.crews[group.crew];
        let mut pricing = Self {
            crew,
            network,
            task,
            balance: prices.balance[network.group],
            worth: network
                .nodes
                .iter()
                .map(|n| prices.visits[n.visit])
                .collect(),
            watched: Vec::new(),
            tools: Vec::new(),
            limited: false,
            loaded: false,
            deadline: deadlines(network, crew),
            labels: Vec::new(),
            gone: Vec::new(),
            marks: Vec::new(),
            open: BinaryHeap::new(),
            best: vec![(0, u32::MAX); network.nodes.len()],
            far: false,
            most: usize::MAX,
            completion: None,
            limit: 0,
        };
        pricing.watch(prices);
        let loads = network
            .nodes
            .iter()
            .map(|n| task.model.visits[n.visit].load);
        pricing.loaded = network.loaded && loads.fold(0, i64::saturating_add) > crew.load_limit;
        let spots = network.nodes.len() * (network.breaks.len() + 1);
        pricing.marks.resize_with(spots, Vec::new);
        pricing
    }

    /// Chooses the classes to watch: with a price, or all where they are too many for one kit.
    fn watch(&mut self, prices: &Prices) {
        let (nodes, model) = (&self.network.nodes, self.task.model);
        if self.crew.given.is_none() {
            let mut used: Vec<usize> = nodes
                .iter()
                .flat_map(|n| n.offers.iter().flat_map(|o| o.tools(model).iter().copied()))
                .collect();
            used.sort_unstable();
            used.dedup();
            self.limited = self.network.limited && used.len() > self.crew.kit_limit;
            let of = |class| prices.kit(self.network.group, class);
            used.retain(|&class| self.limited || of(class) > 0);
            used.truncate(64);
            self.watched = used
                .into_iter()
                .map(|class| Watched {
                    class,
                    price: of(class),
                })
                .collect();
        }
        let bits = |tools: &[usize]| {
            let at = |t: &usize| self.watched.iter().position(|w| w.class == *t);
            tools.iter().filter_map(at).fold(0, |bits, k| bits | 1 << k)
        };
        self.tools = nodes
            .iter()
            .map(|n| n.offers.iter().map(|o| bits(o.tools(model))).collect())
            .collect();
    }

    fn kit_price(&self, mut kit: u64) -> i64 {
        let mut price = 0;
        while kit != 0 {
            price += self.watched[kit.trailing_zeros() as usize].price;
            kit &= kit - 1;
        }
        price
    }

    /// Guesses cheap rounds with so many labels at a stop.
    pub fn guess(
        mut self,
        most: usize,
        go_on: &mut dyn FnMut() -> bool,
    ) -> Result<Vec<Priced>, Halt> {
        self.most = most;
        self.go(usize::MAX, go_on)?;
        Ok(self.rounds())
    }

    /// Finds the cheapest round with at most so many labels. Where these do not do, no round that is not found
    /// costs less than a label still open and the least that may follow it.
    pub fn find(mut self, labels: usize, go_on: &mut dyn FnMut() -> bool) -> Result<Answer, Halt> {
        let pace = self.crew.rate + self.balance;
        self.completion = Completion::new(self.task, self.network, self.crew, pace, &self.worth);
        let labels = if self.completion.is_some() {
            labels
        } else {
            usize::MAX
        };
        self.most = FIRST;
        self.go(usize::MAX, go_on)?;
        let first = self.rounds();
        self.limit = first.first().map_or(0, |r| r.reduced);
        self.most = usize::MAX;
        self.clear();
        self.go(labels, go_on)?;
        let mut open = 0;
        while let Some(Reverse((_, at))) = self.open.pop() {
            let label = &self.labels[at as usize];
            if !self.gone[at as usize] {
                open = open.min(label.cost.saturating_add(self.completed(label)));
            }
        }
        let mut rounds = self.rounds();
        rounds.extend(first);
        rounds.sort_by_key(|r| r.reduced);
        rounds.dedup_by(|a, b| a.visits == b.visits && a.reduced == b.reduced);
        let found = rounds.first().map_or(0, |r| r.reduced);
        Ok(Answer {
            least: found.min(open),
            rounds,
            exact: open >= found,
        })
    }

    fn clear(&mut self) {
        self.labels.clear();
        self.gone.clear();
        self.open.clear();
        self.marks.iter_mut().for_each(Vec::clear);
        self.best.fill((0, u32::MAX));
    }

    fn completed(&self, label: &Label) -> i64 {
        let of = |c: &Completion| {
            c.at(
                label.node as usize,
                label.rested as usize,
                label.time,
                label.seen,
            )
        };
        self.completion.as_ref().map_or(i64::MIN / 4, of)
    }

    /// Extends labels until none is open, or there are so many.
    fn go(&mut self, labels: usize, go_on: &mut dyn FnMut() -> bool) -> Result<(), Halt> {
        let start = Label {
            cost: -self.balance * self.task.groups[self.network.group].fair_s,
            time: self.crew.from,
            load: 0,
            seen: 0,
            kit: 0,
            work: 0,
            node: u32::MAX,
            offer: 0,
            rested: 0,
            from: u32::MAX,
        };
        let network = self.network;
        self.extend(&start, u32::MAX, &network.starts);
        let mut turn = 0;
        while self.labels.len() < labels
            && let Some(Reverse((_, at))) = self.open.pop()
        {
            if self.gone[at as usize] {
                continue;
            }
            turn += 1;
            if turn % STRIDE == 0 && !go_on() {
                return Err(Halt::Stopped);
            }
            if self.far || self.labels.len() > MOST_LABELS {
                return Err(Halt::TooFar);
            }
            let label = self.labels[at as usize];
            let node = &network.nodes[label.node as usize];
            self.close(&label, at, node);
            self.extend(&label, at, &node.legs);
        }
        if self.far { Err(Halt::TooFar) } else { Ok(()) }
    }

    /// Goes home.
    fn close(&mut self, label: &Label, at: u32, node: &Node) {
        let c = self.crew;
        let breaks = &self.network.breaks[label.rested as usize..];
        let Some((done, _)) = cross(label.time, node.home, breaks) else {
            return;
        };
        if done <= c.until {
            let cost = label.cost + (c.rate + self.balance) * node.home + c.overtime(done);
            self.limit = self.limit.min(cost);
            let best = &mut self.best[label.node as usize];
            *best = (*best).min((cost, at));
        }
    }

    fn extend(&mut self, label: &Label, at: u32, legs: &[Leg]) {
        let (c, nodes) = (self.crew, &self.network.nodes);
        let breaks = &self.network.breaks;
        let rested = label.rested as usize;
        for leg in legs {
            let node = &nodes[leg.to];
            if label.seen & leg.barred != 0 || label.time + leg.way > node.latest_start {
                continue;
            }
            let v = &self.task.model.visits[node.visit];
            let load = label.load + if self.loaded { v.load } else { 0 };
            if load > c.load_limit {
                continue;
            }
            let seen = label.seen & leg.keep | leg.bit;
            let gone = label.cost + (c.rate + self.balance) * leg.way - self.worth[leg.to];
            for then in rested..=breaks.len() {
                let Some((ready, _)) = cross(label.time, leg.way, &breaks[rested..then]) else {
                    continue;
                };
                if ready > node.latest_start {
                    continue;
                }
                for (k, offer) in node.offers.iter().enumerate() {
                    let time = ready.max(offer.lo()) + offer.dur();
                    if time > offer.hi() || time > self.deadline[then] {
                        continue;
                    }
                    let tools = self.tools[leg.to][k];
                    let kit = label.kit | tools;
                    if self.limited && kit.count_ones() as usize > c.kit_limit {
                        continue;
                    }
                    let cost = gone
                        + offer.cost()
                        + self.balance * offer.dur()
                        + offer.late(time)
                        + self.kit_price(tools & !label.kit);
                    let new = Label {
                        cost,
                        time,
                        load,
                        seen,
                        kit,
                        work: label.work + leg.way + offer.dur(),
                        node: u32::try_from(leg.to).unwrap_or(u32::MAX),
                        offer: u32::try_from(k).unwrap_or(u32::MAX),
                        rested: u32::try_from(then).unwrap_or(u32::MAX),
                        from: at,
                    };
                    if self.completion.is_none()
                        || self.most < usize::MAX
                        || cost.saturating_add(self.completed(&new)) < self.limit
                    {
                        self.add(new);
                    }
                }
            }
        }
    }

    /// Takes in a label unless another is as good; those it is as good as go.
    fn add(&mut self, mut new: Label) {
        new.cost = new.cost.min(HIGH);
        if new.cost < FAR {
            self.far = true;
            return;
        }
        let spot = new.node as usize * (self.network.breaks.len() + 1) + new.rested as usize;
        let mut marks = std::mem::take(&mut self.marks[spot]);
        let mark = Mark {
            cost: new.cost,
            time: new.time,
            load: new.load,
            seen: new.seen,
            kit: new.kit,
            label: u32::try_from(self.labels.len()).unwrap_or(u32::MAX),
        };
        let full = marks.len() >= self.most;
        if full {
            let worst = (0..marks.len()).max_by_key(|&i| marks[i].cost).unwrap_or(0);
            if marks[worst].cost <= mark.cost {
                self.marks[spot] = marks;
                return;
            }
            let out = marks.swap_remove(worst);
            self.gone[out.label as usize] = true;
        }
        if !marks.iter().any(|m| self.as_good(m, &mark)) {
            marks.retain(|m| {
                let worse = self.as_good(&mark, m);
                if worse {
                    self.gone[m.label as usize] = true;
                }
                !worse
            });
            marks.push(mark);
            self.open.push(Reverse((new.time, mark.label)));
            self.labels.push(new);
            self.gone.push(false);
        }
        self.marks[spot] = marks;
    }

    fn as_good(&self, a: &Mark, b: &Mark) -> bool {
        a.cost <= b.cost
            && a.time <= b.time
            && a.load <= b.load
            && a.seen & !b.seen == 0
            && (!self.limited || a.kit & !b.kit == 0)
            && (a.kit == b.kit || a.cost + self.kit_price(b.kit & !a.kit) <= b.cost)
    }

    /// The cheapest rounds, one for each last stop, the cheapest first.
    fn rounds(&self) -> Vec<Priced> {
        let mut ends: Vec<(i64, u32)> = self.best.iter().copied().filter(|b| b.0 < 0).collect();
        ends.sort_unstable();
        ends.truncate(MOST_ROUNDS);
        ends.into_iter()
            .map(|(cost, at)| self.trace(cost, at))
            .collect()
    }

    fn trace(&self, cost: i64, last: u32) -> Priced {
        let group = &self.task.groups[self.network.group];
        let end = &self.labels[last as usize];
        let mut out = Priced {
            reduced: cost,
            load: 0,
            visits: Vec::new(),
            kit: Vec::new(),
            work: end.work + self.network.nodes[end.node as usize].home,
            cost: cost - self.kit_price(end.kit),
        };
        out.cost -= self.balance * (out.work - group.fair_s);
        let mut at = last;
        while let Some(label) = self.labels.get(at as usize) {
            let node = &self.network.nodes[label.node as usize];
            out.cost += self.worth[label.node as usize];
            out.load = out
                .load
                .saturating_add(self.task.model.visits[node.visit].load);
            out.visits.push(node.visit);
            let offer = node.offers[label.offer as usize];
            out.kit.extend(offer.tools(self.task.model));
            at = label.from;
        }
        out.visits.reverse();
        out.kit.sort_unstable();
        out.kit.dedup();
        out
    }
}

/// For each number of breaks taken, the latest end of a stop that leaves the rest of them possible.
fn deadlines(network: &Network, crew: &Crew) -> Vec<i64> {
    let mut by = vec![crew.until; network.breaks.len() + 1];
    for (i, b) in network.breaks.iter().enumerate().rev() {
        by[i] = b.close.min(by[i + 1] - b.len);
    }
    by
}
