//! The day: planned, taken, read, issued.

mod ahead;
mod planned;
mod resort;
mod runs;
pub mod yard;
