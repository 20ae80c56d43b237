//! What the office does, one file a subject: a use case is one function is one transaction.
//! Access is proved here ([`access`]), and what was done is written into the audit trail here.

pub mod access;
pub mod account_mail;
pub mod alone;
pub mod api_keys;
pub mod at_work;
pub mod attendance;
pub mod audit;
pub mod backups;
pub mod booking;
pub mod calendars;
pub mod care;
pub mod check;
pub mod cost;
pub mod courts;
pub mod crews;
pub mod day_build;
pub mod days;
pub mod defects;
pub mod devices;
pub mod due;
pub mod error;
pub mod first_owner;
mod happened;
pub mod health;
pub mod holds;
pub mod incidents;
pub mod inspections;
pub mod label;
pub mod line;
pub mod look_ahead;
pub mod me;
pub mod members;
pub mod nets;
pub mod notices;
pub mod once;
pub mod orders;
pub mod passwords;
pub mod pictures;
pub mod place;
pub mod plan_runs;
pub mod play;
pub mod privacy;
pub mod reports;
pub mod second_factor;
pub mod set_up;
pub mod settings;
pub mod sign_in;
pub mod site_words;
pub mod sites;
pub mod skills;
pub mod stops;
pub mod stores;
pub mod tablet;
pub mod throttle;
pub mod tokens;
pub mod tool_checks;
pub mod tools;
pub mod water;
pub mod wear;
pub mod weather;
mod word_schema;

pub use access::Permit;
pub use error::{Error, FieldFault};

use crate::clock::Clock;
use crate::store::{Db, Instant};

/// What a use case gives.
pub type Result<T, E = Error> = std::result::Result<T, E>;

/// The office: the service's state, shared by every request and job.
pub struct Office {
    /// The data.
    pub db: Db,
    /// The time.
    pub clock: Clock,
    /// The key the access tokens are signed with.
    pub tokens: tokens::Tokens,
    /// How mail leaves the house.
    pub mail: crate::mail::Settings,
    /// The planning this process is at.
    pub at_work: at_work::AtWork,
    /// Where copies of everything go, and when.
    pub backups: backups::Settings,
    /// How pictures are taken, and where they go.
    pub pictures: pictures::Settings,
}

impl Office {
    /// The time now, as it is stored.
    pub fn now(&self) -> Instant {
        self.clock.now().into()
    }
}

/// Whether a year is one that both engines keep and people mean.
const fn is_plain_year(year: i32) -> bool {
    year >= 1970 && year < 2200
}
