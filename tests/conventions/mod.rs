//! The conventions every endpoint keeps.

mod bodies;
mod document;
mod edits;
mod lists;
mod parameters;
mod paths;
mod queries;
mod signing_in;
