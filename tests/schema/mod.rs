//! The tables: the same on both engines, laid and taken back whole, kept apart by site.

mod append_only;
pub mod catalogue;
mod described;
mod postgres;
mod rules;
mod sqlite;
mod steps;
