//! The search for a cheap day: ruin and recreate under simulated annealing.
//!
//! Christiaens & Vanden Berghe, "Slack Induction by String Removals for Vehicle Routing Problems",
//! Transportation Science 54(2), 2020: take out strings of neighbouring stops from a few neighbouring
//! rounds, put everything unserved back greedily, keep the result by the annealing rule.
//!
//! A step works on one day and takes it back by a journal where it is not kept: against a copy of the day at every
//! step this makes 2.5 times the steps on the open routing instances and 1.5 to 1.9 times on days with kits and
//! water. Strings of up to 10 stops, 10 visits a step in the mean, are the cited paper's: 7 made the routing
//! instances 0.3 % dearer at 2 s, 15 a day of 99 visits 0.5 %.

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
