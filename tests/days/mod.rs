//! The day: planned, taken, read, issued.

mod ahead;
mod by_hand;
mod grooming;
mod planned;
mod resort;
mod runs;
pub mod yard;
