//! The day: planned, taken, read, issued.

mod ahead;
mod as_it_comes;
mod grooming;
mod planned;
mod resort;
mod runs;
pub mod yard;
