//! The day: planned, taken, read, issued.

mod planned;
mod runs;
mod yard;
