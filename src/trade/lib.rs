//! What a groundskeeper knows, as pure functions: no I/O, no clock, no database types.
//!
//! Facts that no book stands behind are marked "common practice, no source"; facts read in a public
//! club's maintenance page are marked so, and standards are named where they are used.

#[macro_use]
mod words;
#[macro_use]
mod whole;

mod chance;

pub mod calendar;
pub mod care;
pub mod costing;
pub mod court;
pub mod grooming;
pub mod heat;
pub mod labour;
pub mod life;
pub mod money;
pub mod spares;
pub mod stock;
pub mod units;
pub mod watering;
pub mod wear;
pub mod weather;

pub use whole::Overflow;
pub use words::UnknownWord;
