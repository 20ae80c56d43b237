//! How the service is: what it needs, and what waits.

use chrono::TimeDelta;

use super::Office;
use crate::store::jobs::{MailWaiting, mail_waiting};

/// Mail that waits longer is late: our own figure. A mail server that defers a first try wants it again within the hour
/// (RFC 5321 section 4.5.4.1 asks for 30 minutes between tries).
const LATE: TimeDelta = TimeDelta::hours(1);

/// How the service is.
#[derive(Clone, Debug)]
pub struct Health {
    /// Whether it was told to stop.
    pub stopping: bool,
    /// What the database says; none where it does not answer.
    pub database: Option<DatabaseHealth>,
    /// Searches for a plan under way in this process.
    pub searches: i64,
    /// Connections to the database in use.
    pub connections_in_use: i64,
    /// Connections to the database there can be.
    pub connections_most: i64,
    oldest_mail: Option<TimeDelta>,
}

/// What a database that answers says.
#[derive(Clone, Debug)]
pub struct DatabaseHealth {
    /// Whether its schema is this program's.
    pub migrated: bool,
    /// Mails that wait to be sent.
    pub mail_waiting: i64,
}

impl Health {
    /// Whether requests can be answered.
    pub fn can_answer(&self) -> bool {
        self.database
            .as_ref()
            .is_some_and(|database| database.migrated)
    }

    /// How long the oldest mail has waited, s.
    pub fn oldest_mail_s(&self) -> Option<i64> {
        self.oldest_mail.map(|waited| waited.num_seconds())
    }

    /// Whether mail waits longer than it should.
    pub fn mail_is_late(&self) -> bool {
        self.oldest_mail.is_some_and(|waited| waited > LATE)
    }
}

/// Looks how the service is. What cannot be looked up is told to the log, and as it is.
pub fn look(office: &Office) -> Health {
    let looked = office.db.needs_migration().and_then(|pending| {
        if pending {
            return Ok((false, MailWaiting::default()));
        }
        Ok((true, office.db.read(mail_waiting)?))
    });
    let (in_use, most) = office.db.connections();
    let now = office.now();
    let mut health = Health {
        stopping: office.at_work.stopping(),
        database: None,
        searches: i64::try_from(office.at_work.searches()).unwrap_or(i64::MAX),
        connections_in_use: i64::from(in_use),
        connections_most: i64::from(most),
        oldest_mail: None,
    };
    match looked {
        Ok((migrated, waiting)) => {
            health.oldest_mail = waiting.oldest.map(|oldest| now.utc() - oldest.utc());
            health.database = Some(DatabaseHealth {
                migrated,
                mail_waiting: waiting.count,
            });
        }
        Err(why) => tracing::error!(error = %why, "the database does not answer"),
    }
    health
}
