//! The day: planned, taken, read, issued.

mod ahead;
mod as_it_comes;
mod care;
mod grooming;
mod heat;
mod planned;
mod rain;
mod resort;
mod runs;
mod week;
pub mod yard;
