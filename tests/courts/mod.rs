//! The courts as they are, and the weather over them.

mod inspected;
mod weather;
