//! A lower bound: no plan of the problem costs less.
//!
//! **Method.** Every visit gets a worth, every tool that more crews want than there are a price, and every
//! crew with a fair share of the day a price for each second of work. Given these, the crews have nothing more
//! to do with each other, and the cheapest round of each is found alone (`pricing`). Column generation
//! (`ascent`, `mix`, `master`) looks for the worths and prices at which the bound is greatest. It begins with
//! the cheapest leg and service of each visit (`legs`), which is a bound by itself, at once.
//!
//! **Proof.** Let w(v) from 0 to the skip cost be the worth of visit v, m(k) from 0 up the price of limit k (of
//! a class at a moment, with r(k) tools left for the crews that may choose), b(c) from 0 to the crew's rate
//! above its fair share f(c) the price of its work. Take any plan. It leaves out some visits, each for its
//! skip cost, which is w(v) at least. Of each limit its rounds use r(k) tools at most, so it costs no less
//! than the sum of m(k) (used - r(k)) more than nothing: this is 0 at most and may be added. The balance
//! cost of a round of s seconds of work is b(c) (s - f(c)) at least. So the plan costs, at least, the sum of
//! all w(v), less the sum of all m(k) r(k), and for each crew with a round that round's own cost, and m(k) for
//! each tool in its kit, and b(c) (s - f(c)), less the worth of its visits. Of this last part a crew adds no
//! less than its cheapest round, and no less than 0 where no round is below that. A round is priced here over
//! more than the rounds there are: it may come back to a visit that it has forgotten, and its kit may at first
//! be too large; rounds do not wait for each other, for water or for a place. So it is cheapest at most.
//! Within this a round's travel, breaks, overtime, late work and load are those of the contract, each stop as
//! early as it can be, since a later one is never cheaper and leaves no more possible. What is left out by
//! the problem alone (`task`) is in no plan at all.
//!
//! **Numbers.** Worths and prices are rounded to whole units before rounds are priced, and all sums from there
//! on are of whole units. Whatever the master computes in floating point only suggests them.
//!
//! **Measured** (`cargo bench --bench planner`), in cents and seconds on one core, against the own cost of 10 s:
//!
//! | day | cost | bound | below | seconds |
//! |---|---|---|---|---|
//! | tiny-1 | 10118.67 | 10118.66 | 0.0 % | 0.0 |
//! | tiny-2 | 3451.00 | 3451.00 | 0.0 % | 0.0 |
//! | tiny-3 | 18757.00 | 18708.07 | 0.3 % | 0.0 |
//! | small-1 | 30896.00 | 30896.00 | 0.0 % | 0.1 |
//! | small-2 | 31163.25 | 31122.98 | 0.1 % | 1.5 |
//! | small-3 | 54921.07 | 54779.26 | 0.3 % | 4.1 |
//! | medium-1 | 88549.93 | 87957.35 | 0.7 % | 30 |
//! | medium-2 | 121003.03 | 110371.47 | 8.8 % | 30 |
//! | medium-3 | 116471.87 | 109705.45 | 5.8 % | 30 |
//! | large-1 | 246796.67 | 197636.40 | 19.9 % | 30, and no better than at once |
//!
//! Tiny and small days end there by themselves; what is left on them is what a mix of rounds may do and a plan may
//! not. Of the published instances with time windows C101, C201 and R102 meet the optimum, R101 comes to 0.4 % and
//! RC101 to 2.2 % below it in a tenth of a second.

mod ascent;
mod completion;
mod legs;
mod master;
mod mix;
mod network;
mod prices;
mod pricing;
mod task;

use crate::model::Model;
use crate::problem::Problem;
use ascent::Ascent;
use network::Network;
use task::Task;

/// Visits that a round remembers around each visit, to begin with.
const NEAR: usize = 5;

/// The floor in units, at once.
pub(crate) fn floor(problem: &Problem, model: &Model) -> i64 {
    legs::sum(&legs::floor(&Task::new(problem, model)))
}

/// The bound in units, the better the longer `go_on` says so, which is asked several times a millisecond, but for
/// some tens of milliseconds now and then on a day of a hundred visits.
pub(crate) fn lower_bound(
    problem: &Problem,
    model: &Model,
    go_on: &mut dyn FnMut() -> bool,
) -> i64 {
    let task = Task::new(problem, model);
    let worths = legs::floor(&task);
    let floor = legs::sum(&worths);
    let networks = (0..task.groups.len()).map(|g| Network::new(&task, g, NEAR));
    let Some(networks) = networks.collect::<Option<Vec<Network>>>() else {
        return floor;
    };
    let limits = prices::limits(&task);
    let ascent = Ascent::new(&task, &limits, networks, &worths);
    floor.max(ascent.run(go_on))
}
