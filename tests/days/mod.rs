//! The day: planned, taken, read, issued.

mod ahead;
mod grooming;
mod planned;
mod resort;
mod runs;
pub mod yard;
