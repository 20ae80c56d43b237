//! The demo: an invented resort with its last weeks, its day planned.

mod command;
mod outlook;
mod past;
