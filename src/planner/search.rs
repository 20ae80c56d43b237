//! The search for a cheap day: ruin and recreate under simulated annealing.
//!
//! Christiaens & Vanden Berghe, "Slack Induction by String Removals for Vehicle Routing Problems",
//! Transportation Science 54(2), 2020: take out strings of neighbouring stops from a few neighbouring
//! rounds, put everything unserved back greedily, keep the result by the annealing rule.

mod anneal;
mod legs;
mod mixed;
mod near;
mod recreate;
mod ruin;
mod team;
mod walk;
mod watch;

pub(crate) use legs::{Effort, search};
pub(crate) use recreate::{Ranks, construct};
