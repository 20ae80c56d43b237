//! The day: planned, taken, read, issued.

mod planned;
mod resort;
mod runs;
pub mod yard;
