//! Prices of what the rounds share, and what they amount to without the rounds.

use super::legs;
use super::task::{Offer, Task};

/// No price of a tool is above this: sums of them stay exact.
const MOST: i64 = 1_000_000_000_000_000;

/// Prices, in units.
#[derive(Clone, Debug)]
pub(super) struct Prices {
    /// What each visit is worth, from 0 to its skip cost.
    pub visits: Vec<i64>,
    /// For each group its units a second of travel and service, from 0 to its rate above the fair share.
    pub balance: Vec<i64>,
    /// For each limit what a tool costs, not below 0.
    pub tools: Vec<i64>,
    /// For each group and class (`group * classes + class`) what holding the class costs.
    kits: Vec<i64>,
    classes: usize,
}

/// At one moment so many tools of a class are left for the crews that have a choice.
#[derive(Debug, PartialEq, Eq)]
pub(super) struct Limit {
    pub class: usize,
    pub room: i64,
    /// For each group whether its crews count then.
    pub counts: Vec<bool>,
}

/// The moments and classes for which more crews might hold a class than there are tools. The number of
/// holders only rises where a crew's kit hours begin.
pub(super) fn limits(task: &Task) -> Vec<Limit> {
    let model = task.model;
    let mut out: Vec<Limit> = Vec::new();
    for class in 0..model.count.len() {
        for [at, to] in model.crews.iter().map(|c| c.kit_span) {
            let then = |c: usize| {
                let [from, to] = model.crews[c].kit_span;
                from <= at && at < to
            };
            let given = model.crews.iter().enumerate().filter(|(c, crew)| {
                then(*c) && crew.given.as_ref().is_some_and(|kit| kit.contains(&class))
            });
            let room = model.count[class] - i64::try_from(given.count()).unwrap_or(i64::MAX);
            let uses = |g: usize| {
                let of = |o: &Offer| o.group() == g && o.tools(model).contains(&class);
                task.visits.iter().any(|v| v.offers.iter().any(of))
            };
            let counts: Vec<bool> = task
                .groups
                .iter()
                .enumerate()
                .map(|(g, group)| {
                    model.crews[group.crew].given.is_none() && then(group.crew) && uses(g)
                })
                .collect();
            let may = task.groups.iter().zip(&counts).filter(|(_, c)| **c);
            let may: i64 = may.map(|(g, _)| g.copies).sum();
            let limit = Limit {
                class,
                room,
                counts,
            };
            if at < to && may > room && !out.contains(&limit) {
                out.push(limit);
            }
        }
    }
    out
}

impl Prices {
    /// The nearest prices to these that are allowed.
    pub fn new(
        task: &Task,
        limits: &[Limit],
        visits: &[f64],
        balance: &[f64],
        tools: &[f64],
    ) -> Self {
        let (model, classes) = (task.model, task.model.count.len());
        let visits = visits
            .iter()
            .zip(&model.visits)
            .map(|(&p, v)| whole(p, v.skip))
            .collect();
        let balance = balance
            .iter()
            .zip(&task.groups)
            .map(|(&p, g)| whole(p, task.most_balance(g)))
            .collect();
        let tools: Vec<i64> = tools.iter().map(|&p| whole(p, MOST)).collect();
        let mut kits = vec![0; task.groups.len() * classes];
        for (limit, price) in limits.iter().zip(&tools) {
            for g in (0..task.groups.len()).filter(|&g| limit.counts[g]) {
                kits[g * classes + limit.class] += price;
            }
        }
        Self {
            visits,
            balance,
            tools,
            kits,
            classes,
        }
    }

    /// What a group pays for holding a class.
    pub fn kit(&self, group: usize, class: usize) -> i64 {
        self.kits[group * self.classes + class]
    }

    /// The worth of all visits, less the price of all tools there are.
    pub fn fixed(&self, limits: &[Limit]) -> i128 {
        let tools = self.tools.iter().zip(limits);
        let room: i128 = tools
            .map(|(&p, limit)| i128::from(p) * i128::from(limit.room))
            .sum();
        i128::from(legs::sum(&self.visits)) - room
    }
}

/// The nearest whole number from 0 to `most`.
#[expect(clippy::cast_possible_truncation, reason = "a conversion saturates")]
fn whole(x: f64, most: i64) -> i64 {
    (x.round() as i64).clamp(0, most)
}
