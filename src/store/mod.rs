//! Diesel lives here and nowhere else: the schema, rows and queries, one file a subject.
//!
//! A query of a site's rows takes a [`Scope`], the proof that somebody may see that site, and
//! filters by it: a query without a proof does not compile, and another site's row is not found.
//! `db` holds the two doors to a transaction, `dialect` what the engines do differently.

pub mod alone;
pub mod api_keys;
pub mod attendance;
pub mod audit;
pub mod backups;
pub mod calendars;
pub mod care;
pub mod columns;
pub mod copies;
pub mod cost;
pub mod courts;
pub mod crews;
pub mod day_changes;
pub mod day_news;
pub mod day_plans;
pub mod day_replans;
pub mod db;
pub mod defects;
pub mod demo_file;
pub mod devices;
pub mod dialect;
pub mod files;
pub mod history;
pub mod holds;
pub mod hours;
pub mod idempotency;
pub mod incidents;
pub mod inspections;
pub mod jobs;
pub mod members;
pub mod net_checks;
pub mod orders;
pub mod owners;
pub mod paging;
pub mod pictures;
pub mod play;
pub mod play_changes;
pub mod privacy;
pub mod proofs;
pub mod reports;
pub mod rests;
pub mod schema;
pub mod scope;
pub mod second_factors;
pub mod sessions;
pub mod set_up;
pub mod settings;
pub mod sign_in_tries;
pub mod single_use;
pub mod site_words;
pub mod sites;
pub mod skills;
pub mod stock_moves;
pub mod stops;
pub mod stores;
pub mod tablet_events;
pub mod times;
pub mod tool_checks;
pub mod tools;
pub mod tournaments;
pub mod treatments;
pub mod users;
pub mod water;
pub mod wear;
pub mod weather;

pub use columns::Instant;
pub use db::{Conn, Db, Tx};
pub use dialect::Error;
pub use paging::{Page, Paged};
pub use scope::{Actor, Role, Scope, Standing};

/// What a query gives.
pub type Result<T, E = Error> = std::result::Result<T, E>;
