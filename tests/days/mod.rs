//! The day: planned, taken, read, issued.

mod ahead;
mod as_it_comes;
mod by_hand;
mod care;
mod grooming;
mod heat;
mod planned;
mod replan;
mod replan_pages;
mod resort;
mod runs;
pub mod yard;
