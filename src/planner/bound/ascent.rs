//! The search for the best prices: column generation with smoothed prices (Wentges 1997; Pessoa, Sadykov,
//! Uchoa & Vanderbeck 2018).

use super::mix::Mix;
use super::network::Network;
use super::prices::{Limit, Prices};
use super::pricing::{Halt, Priced, Pricing};
use super::task::Task;

/// Labels kept at one stop while rounds are only guessed, one after the other.
const GUESSES: [usize; 2] = [5, 15];
/// Labels of one pricing, to begin with.
const LABELS: usize = 300_000;
/// Turns of guessing without much gain.
const PATIENCE: usize = 3;
/// Turns of a loop at most: far more than any takes.
const MOST_TURNS: usize = 3000;
/// How much of the best prices so far is in the next ones.
const SMOOTH: f64 = 0.6;

/// Prices on the way up.
pub(super) struct Ascent<'t> {
    task: &'t Task<'t>,
    limits: &'t [Limit],
    networks: Vec<Network<'t>>,
    mix: Mix<'t>,
    /// The best prices so far.
    center: Vec<f64>,
    /// What they come to, in units.
    best: i64,
    /// Labels of one pricing at most.
    labels: usize,
    /// They did at the last prices.
    exact: bool,
}

impl<'t> Ascent<'t> {
    /// Begins with these worths of visits.
    pub fn new(
        task: &'t Task,
        limits: &'t [Limit],
        networks: Vec<Network<'t>>,
        worths: &[i64],
    ) -> Self {
        let mix = Mix::new(task, limits);
        Self {
            task,
            limits,
            networks,
            center: mix.point_of(worths),
            mix,
            best: 0,
            labels: LABELS,
            exact: true,
        }
    }

    /// Raises the prices for as long as it may, and gives the best bound, in units.
    pub fn run(mut self, go_on: &mut dyn FnMut() -> bool) -> i64 {
        // Whether it may go on or not, the best so far holds.
        let _ = self.climb(go_on);
        self.best
    }

    fn climb(&mut self, go_on: &mut dyn FnMut() -> bool) -> Result<(), Halt> {
        self.look(&self.center.clone(), go_on)?;
        self.guess(go_on)?;
        let mut smooth = SMOOTH;
        for _ in 0..MOST_TURNS {
            let point = self.between(smooth);
            if self.look(&point, go_on)? > 0 {
                self.mix.solve(go_on)?;
                smooth = SMOOTH;
            } else if smooth > 0.01 {
                smooth = f64::max(smooth - 0.2, 0.0);
            } else if !self.exact {
                self.labels = self.labels.saturating_mul(4);
            } else if !self.tighten(go_on)? {
                break;
            }
            if self.near(0.004) && self.tighten(go_on)? {
                smooth = SMOOTH;
            }
        }
        Ok(())
    }

    /// The bound is within this share of what the mix costs.
    #[expect(clippy::cast_precision_loss, reason = "only an estimate")]
    fn near(&self, share: f64) -> bool {
        self.best as f64 >= self.mix.cost() * (1.0 - share)
    }

    /// Looks for rounds with few labels, for a mix to begin with.
    fn guess(&mut self, go_on: &mut dyn FnMut() -> bool) -> Result<(), Halt> {
        for most in GUESSES {
            let mut smooth = SMOOTH;
            let (mut still, mut cost) = (0, self.mix.cost());
            while smooth >= 0.0 && still < PATIENCE {
                let prices = self.mix.prices(&self.between(smooth));
                let mut added = 0;
                for network in &self.networks {
                    let rounds = Pricing::new(self.task, network, &prices).guess(most, go_on)?;
                    added += self.mix.add(network.group, rounds);
                }
                if added == 0 {
                    smooth -= 0.3;
                    continue;
                }
                self.mix.solve(go_on)?;
                still += 1;
                if self.mix.cost() < cost * 0.995 {
                    (still, cost) = (0, self.mix.cost());
                }
            }
        }
        Ok(())
    }

    fn between(&self, smooth: f64) -> Vec<f64> {
        let both = self.center.iter().zip(self.mix.point());
        both.map(|(c, p)| smooth * c + (1.0 - smooth) * p).collect()
    }

    /// Finds the bound at these prices and takes in the rounds found; gives how many.
    fn look(&mut self, point: &[f64], go_on: &mut dyn FnMut() -> bool) -> Result<usize, Halt> {
        let prices = self.mix.prices(point);
        let (bound, rounds) = self.value(&prices, go_on)?;
        if bound > self.best {
            self.best = bound;
            self.center = point.to_vec();
        }
        let all = self.networks.iter().zip(rounds);
        Ok(all.map(|(n, rounds)| self.mix.add(n.group, rounds)).sum())
    }

    /// The bound at these prices, in units, and the cheapest rounds of each group.
    fn value(
        &mut self,
        prices: &Prices,
        go_on: &mut dyn FnMut() -> bool,
    ) -> Result<(i64, Vec<Vec<Priced>>), Halt> {
        let mut bound = prices.fixed(self.limits);
        let mut exact = true;
        let mut all = Vec::with_capacity(self.networks.len());
        for network in &self.networks {
            let copies = self.task.groups[network.group].copies;
            let answer = Pricing::new(self.task, network, prices).find(self.labels, go_on)?;
            bound += i128::from(copies) * i128::from(answer.least);
            exact &= answer.exact;
            all.push(answer.rounds);
        }
        let bound = i64::try_from(bound.clamp(0, i128::from(i64::MAX)));
        self.exact = exact;
        Ok((bound.unwrap_or(0), all))
    }

    /// Has the networks forbid what the rounds in the mix should not do; false where they do nothing such.
    fn tighten(&mut self, go_on: &mut dyn FnMut() -> bool) -> Result<bool, Halt> {
        let mut changed = false;
        for network in &mut self.networks {
            let of_group = self.mix.used().filter(|r| r.0 == network.group);
            let rounds: Vec<&Priced> = of_group.map(|r| r.1).collect();
            if !network.tighten(self.task, &rounds) {
                continue;
            }
            changed = true;
            self.mix.leave_out(network);
        }
        if changed {
            self.mix.solve(go_on)?;
        }
        Ok(changed)
    }
}
