//! The courts as they are, and the weather over them.

mod defects;
mod edited;
mod inspected;
mod weather;
