//! Simulated annealing over ruin and recreate.

use crate::day::Day;
use crate::rng::Rng;
use crate::search::recreate::{Ranks, recreate};
use crate::search::{near, ruin};
use crate::{Control, Progress};

/// First temperature, as a share of the mean cost of a visit in the first day.
const HOT: f64 = 0.1;
/// Last temperature, as a share of the first.
const COLD: f64 = 0.01;

/// Improves a day until the iterations are done or the caller says stop; returns the best seen.
#[expect(clippy::cast_precision_loss, reason = "temperatures need no exactness")]
pub(crate) fn search<'m>(
    mut day: Day<'m>,
    ranks: &Ranks,
    rng: &mut Rng,
    iterations: Option<u64>,
    report: &mut dyn FnMut(&Progress) -> Control,
) -> Day<'m> {
    let can = |i: &usize| day.model.visits[*i].never.is_none();
    let open: Vec<usize> = (0..day.model.visits.len()).filter(can).collect();
    if open.is_empty() {
        return day;
    }
    let near = near::neighbours(day.model);
    let mut bank: Vec<usize> = Vec::with_capacity(open.len());
    let (mut best, mut trial) = (day.clone(), day.clone());
    let (mut best_cost, mut cost) = (day.cost(), day.cost());
    let hot =
        HOT * (day.rounds.iter().map(|r| r.cost).sum::<i64>() as f64 / open.len() as f64).max(1.0);
    for iteration in 0.. {
        let progress = Progress::of(&best, iteration);
        let Control::Continue { spent } = report(&progress) else {
            break;
        };
        let spent = match iterations {
            Some(n) if iteration >= n => break,
            Some(n) => iteration as f64 / n as f64,
            None => spent.clamp(0.0, 1.0),
        };
        let temperature = hot * COLD.powf(spent);
        bank.clear();
        bank.extend(open.iter().filter(|&&i| trial.served[i].is_none()));
        let out = ruin::strings(&trial, &near, rng);
        trial.remove(&out, &mut bank);
        recreate(&mut trial, &mut bank, ranks, rng);
        let new = trial.cost();
        let bar = cost as f64 - temperature * (1.0 - rng.unit()).ln();
        if (new as f64) < bar {
            day.clone_from(&trial);
            cost = new;
            if new < best_cost {
                best.clone_from(&trial);
                best_cost = new;
            }
        } else {
            trial.clone_from(&day);
        }
    }
    best
}
