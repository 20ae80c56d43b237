//! The day: planned, taken, read, issued.

mod planned;
mod runs;
pub mod yard;
