//! What is looked at before play is set: every fault is told at once, with its field and mend.

use std::collections::HashSet;

use chrono::{Datelike, TimeDelta};

use super::told::Play;
use crate::desk::error::FieldFault;
use crate::desk::{Error, Result};
use crate::store::courts::court_read;
use crate::store::play::sessions_between;
use crate::store::play_changes::session_starting;
use crate::store::{self, Conn, Instant, Scope};

/// The longest session: so far the day's plan looks around its date.
const LONGEST: TimeDelta = TimeDelta::hours(36);

/// Most courts set at once.
const MOST_COURTS: usize = 100;

/// The faults found so far.
#[derive(Debug, Default)]
pub struct Check {
    faults: Vec<FieldFault>,
}

impl Check {
    /// Notes a fault.
    pub fn fault(&mut self, field: impl Into<String>, mend: impl Into<String>) {
        self.faults.push(FieldFault::new(field, mend));
    }

    /// Refused where anything was found.
    pub fn end(self) -> Result<()> {
        if self.faults.is_empty() {
            return Ok(());
        }
        Err(Error::Refused(self.faults))
    }

    /// A session begins before it ends, and does not last for ever.
    pub fn play_span(&mut self, play: &Play) {
        self.order("/play", play.starts_at, play.ends_at);
        if play.ends_at.utc() - play.starts_at.utc() > LONGEST {
            self.fault(
                "/play/ends_at",
                "a session lasts at most 36 hours: end it earlier",
            );
        }
    }

    /// The start is before the end, both in years that the office keeps; they stand `under` this.
    pub fn order(&mut self, under: &str, starts_at: Instant, ends_at: Instant) {
        if ends_at <= starts_at {
            self.fault(format!("{under}/ends_at"), "end it after it starts");
        }
        for (name, at) in [("starts_at", starts_at), ("ends_at", ends_at)] {
            if !(2000..=2199).contains(&at.utc().year()) {
                self.fault(format!("{under}/{name}"), "give a year from 2000 to 2199");
            }
        }
    }

    /// A session has a name.
    pub fn name(&mut self, field: &str, name: &str) {
        if !(1..=80).contains(&name.trim().chars().count()) {
            self.fault(field, "name the session in 1 to 80 characters");
        }
    }

    /// The courts are there, each once.
    pub fn courts(&mut self, conn: &mut Conn, scope: &Scope, courts: &[i64]) -> Result<()> {
        if !(1..=MOST_COURTS).contains(&courts.len()) {
            self.fault("/court_ids", "name 1 to 100 courts");
            return Ok(());
        }
        let mut seen = HashSet::new();
        for (nth, court) in courts.iter().enumerate() {
            let field = format!("/court_ids/{nth}");
            if seen.insert(*court) {
                self.court(conn, scope, &field, *court)?;
            } else {
                self.fault(field, "name each court once");
            }
        }
        Ok(())
    }

    /// The court is there.
    pub fn court(&mut self, conn: &mut Conn, scope: &Scope, field: &str, court: i64) -> Result<()> {
        match court_read(conn, scope, court) {
            Ok(_) => Ok(()),
            Err(store::Error::NotFound) => {
                self.fault(field, format!("no court {court} here: see GET courts"));
                Ok(())
            }
            Err(other) => Err(other.into()),
        }
    }

    /// Nobody else plays on the court meanwhile; `own` is the session that is changed.
    pub fn free(
        &mut self,
        conn: &mut Conn,
        scope: &Scope,
        field: &str,
        court: i64,
        play: &Play,
        own: Option<i64>,
    ) -> Result<()> {
        // What is refused already is not looked up.
        if !self.faults.is_empty() {
            return Ok(());
        }
        let there = sessions_between(conn, scope, play.starts_at, play.ends_at)?;
        let other = there.iter().find(|session| {
            session.court_id == court && Some(session.id) != own && session.end() > play.starts_at
        });
        if let Some(other) = other {
            let mend = format!(
                "the court is in play then: {} from {} to {}; move one of them",
                other.name,
                other.starts_at,
                other.end()
            );
            self.fault(field, mend);
            return Ok(());
        }
        // Two never begin together on a court, though one was called off or ended early.
        let twin = session_starting(conn, scope, court, play.starts_at)?;
        let in_the_way = twin
            .filter(|twin| Some(twin.id) != own && (own.is_some() || twin.cancelled_at.is_none()));
        if in_the_way.is_some() {
            self.fault(
                field,
                "a session that was called off or is over begins then: start a minute later, or add \
                 it anew",
            );
        }
        Ok(())
    }
}

/// Whether this says why a court is shut.
pub fn is_a_reason(text: &str) -> bool {
    (1..=200).contains(&text.trim().chars().count())
}
