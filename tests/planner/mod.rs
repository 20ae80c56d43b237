//! The `plan` command from outside: problems in files, plans in files, both judged.
//!
//! The second judge is the referee that stands with the day problem's contract beside this repository, in
//! `../shared/planning`; it shares no code with the planner. Where that folder is missing, what needs it is
//! skipped loudly, and the days copied into `days/` are still planned and judged by the planner's own judge.

mod bad_input;
mod command;
mod days;
mod odd;
pub mod referee;
mod refused;
mod replan;
mod rest;
mod vrptw;
