//! Roundhand: the grounds office of a resort with clay tennis courts, in one program.
//!
//! The rooms, top floor first; a floor uses only the floors below it. `planner` and `trade`, the
//! ground floor, are packages of their own.

pub mod cli; // one file a command
pub mod clock; // the one place that reads the machine's time
pub mod desk; // what the office does: one use case, one function, one transaction
pub mod http; // HTTP and nothing else: the API and the pages
pub mod jobs; // what runs by itself
pub mod mail; // from a report to a message on the wire
pub mod sight; // what the process counts of itself
pub mod store; // Diesel lives here and nowhere else
pub mod words; // all text a person sees
