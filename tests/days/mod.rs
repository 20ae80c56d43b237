//! The day: planned, taken, read, issued.

mod ahead;
mod by_hand;
mod care;
mod grooming;
mod heat;
mod planned;
mod replan;
mod resort;
mod runs;
pub mod yard;
