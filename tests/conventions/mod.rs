//! The conventions every endpoint keeps.

mod answers;
mod bodies;
mod document;
mod edits;
mod hardy;
mod lists;
mod parameters;
mod paths;
mod queries;
mod signing_in;
mod throttle;
