//! The rounds known so far in the master, and the prices that follow from the best mix of them.

use super::master::{Column, Master};
use super::network::Network;
use super::prices::{Limit, Prices};
use super::pricing::{Halt, Priced};
use super::task::Task;
use crate::money::CENT;

/// Seconds to a unit of a row of seconds, so that its numbers are like the other rows'.
const PACE: f64 = 1000.0;
/// Pivots of one solution at most.
const PIVOTS: usize = 2000;

/// The rounds and their master. Rows: visits, groups, limits, seconds of each group above its fair share.
pub(super) struct Mix<'t> {
    task: &'t Task<'t>,
    limits: &'t [Limit],
    master: Master,
    /// With its group and its column.
    rounds: Vec<(usize, usize, Priced)>,
}

impl<'t> Mix<'t> {
    /// No rounds: everything is left out.
    pub fn new(task: &'t Task, limits: &'t [Limit]) -> Self {
        let groups = &task.groups;
        let mut side = vec![1.0; task.visits.len()];
        side.extend(groups.iter().map(|g| real(g.copies)));
        side.extend(limits.iter().map(|l| real(l.room)));
        side.extend(groups.iter().map(|_| 0.0));
        // A little more of everything, and of each a different little: fewer ties.
        for (i, side) in side.iter_mut().enumerate() {
            *side += 1e-7 * (1.0 + f64::from(u16::try_from(i * 7919 % 1009).unwrap_or(0)) / 1009.0);
        }
        let mut costs: Vec<f64> = task.model.visits.iter().map(|v| cents(v.skip)).collect();
        costs.resize(side.len(), 0.0);
        let seconds = side.len() - groups.len();
        let mut master = Master::new(side, &costs);
        for visit in 0..task.visits.len() {
            let rows = vec![(visit, -1.0)];
            master.add(Column { cost: 0.0, rows });
        }
        for (g, group) in groups.iter().enumerate() {
            let cost = cents(task.most_balance(group)) * PACE;
            let rows = vec![(seconds + g, -1.0)];
            master.add(Column { cost, rows });
        }
        Self {
            task,
            limits,
            master,
            rounds: Vec::new(),
        }
    }

    /// The prices of the best mix in cents, by row.
    pub fn point(&self) -> &[f64] {
        &self.master.prices
    }

    /// What the best mix costs, in units.
    pub fn cost(&self) -> f64 {
        self.master.cost() * real(CENT)
    }

    /// These prices, as near as they are allowed.
    pub fn prices(&self, point: &[f64]) -> Prices {
        let (n, groups) = (self.task.visits.len(), self.task.groups.len());
        let units =
            |p: &[f64], by: f64| -> Vec<f64> { p.iter().map(|p| p * by * real(CENT)).collect() };
        let seconds = point.len() - groups;
        Prices::new(
            self.task,
            self.limits,
            &units(&point[..n], 1.0),
            &units(&point[seconds..], -1.0 / PACE),
            &units(&point[n + groups..seconds], -1.0),
        )
    }

    /// A point with these worths of visits and no other prices.
    pub fn point_of(&self, worths: &[i64]) -> Vec<f64> {
        let mut point: Vec<f64> = worths.iter().map(|&p| cents(p)).collect();
        point.resize(self.master.prices.len(), 0.0);
        point
    }

    /// Takes in the rounds that would make the mix cheaper; gives how many.
    pub fn add(&mut self, group: usize, rounds: Vec<Priced>) -> usize {
        let mut added = 0;
        for round in rounds {
            let column = self.column(group, &round);
            if self.master.reduced(&column) < -1e-6 {
                self.rounds.push((group, self.master.add(column), round));
                added += 1;
            }
        }
        added
    }

    /// Finds the best mix.
    pub fn solve(&mut self, go_on: &mut dyn FnMut() -> bool) -> Result<(), Halt> {
        self.master.solve(PIVOTS, go_on)
    }

    /// The rounds in use, with their group.
    pub fn used(&self) -> impl Iterator<Item = (usize, &Priced)> {
        let used: Vec<usize> = self.master.used().collect();
        let rounds = self.rounds.iter();
        rounds
            .filter(move |r| used.contains(&r.1))
            .map(|(group, _, round)| (*group, round))
    }

    /// Takes out the rounds of a group that are no rounds of its network any more.
    pub fn leave_out(&mut self, network: &Network) {
        let master = &mut self.master;
        self.rounds.retain(|(group, column, round)| {
            let keep = *group != network.group || network.allows(round);
            if !keep {
                master.forbid(*column);
            }
            keep
        });
    }

    fn column(&self, group: usize, round: &Priced) -> Column {
        let (n, groups) = (self.task.visits.len(), self.task.groups.len());
        let mut visits = round.visits.clone();
        visits.sort_unstable();
        let mut rows: Vec<(usize, f64)> = Vec::with_capacity(visits.len() + 4);
        for visit in visits {
            match rows.last_mut() {
                Some(last) if last.0 == visit => last.1 += 1.0,
                _ => rows.push((visit, 1.0)),
            }
        }
        rows.push((n + group, 1.0));
        for (k, limit) in self.limits.iter().enumerate() {
            if limit.counts[group] && round.kit.contains(&limit.class) {
                rows.push((n + groups + k, 1.0));
            }
        }
        let above = round.work - self.task.groups[group].fair_s;
        rows.push((n + groups + self.limits.len() + group, real(above) / PACE));
        Column {
            cost: cents(round.cost),
            rows,
        }
    }
}

fn cents(units: i64) -> f64 {
    real(units) / real(CENT)
}

#[expect(
    clippy::cast_precision_loss,
    reason = "prices need not be exact, the bound is"
)]
fn real(x: i64) -> f64 {
    x as f64
}
