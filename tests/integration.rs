//! What users and outsiders would check, through the public door, on both engines.
//!
//! One test binary; one folder or file a subject. `support` gives every test a house of its own:
//! a database, a set-up site and a running service.
#![allow(clippy::unwrap_used, reason = "a test that cannot go on fails")]

mod support;

mod access;
mod accounts;
mod alone;
mod attendance;
mod audit;
mod backups;
mod calendars;
mod check;
mod conventions;
mod cost;
mod courts;
mod days;
mod demo;
mod incidents;
mod mail;
mod nets;
mod orders;
mod pages;
mod pictures;
mod planner;
mod play;
mod resources;
mod schema;
mod security;
mod settings;
mod site_words;
mod stops;
mod story;
mod tablet;
mod tidy;
mod tool_checks;
mod water;
mod wear;
