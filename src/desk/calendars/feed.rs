//! A calendar that is fetched: what to ask, and what came of it.

use chrono::TimeDelta;

use super::import::{Source, take};
use crate::desk::access::{EditCalendars, Permit};
use crate::desk::error::Named;
use crate::desk::{Office, Result};
use crate::store::calendars::{self as rows, Validators};
use crate::store::{self, Tx};

/// So long a copy is enough. Then it is taken anew though it is the same: a rule without an end reaches a day further
/// each day, and what was in the way before may be out of it.
const WHOLE_AGAIN: TimeDelta = TimeDelta::days(1);

/// What to ask.
#[derive(Clone, Debug)]
pub struct Feed {
    /// Where.
    pub address: String,
    /// Whether it may lie in a private network.
    pub allow_private: bool,
    /// What the server said of the copy that was taken last.
    pub known: Validators,
}

/// What to ask of a calendar; none where it has no address.
pub fn feed_read(office: &Office, permit: &Permit<EditCalendars>, id: i64) -> Result<Option<Feed>> {
    let row = office
        .db
        .read(|conn| rows::calendar_read(conn, permit, id).named("calendar"))?;
    let known = Validators {
        etag: row.etag,
        last_modified: row.last_modified,
    };
    let since = row
        .imported_at
        .map(|at| office.now().utc() - at.utc())
        .filter(|since| *since < WHOLE_AGAIN);
    Ok(row.address.map(|address| Feed {
        address,
        allow_private: row.allow_private,
        known: since.map_or_else(Validators::default, |_| known),
    }))
}

/// Takes a fetched file; `done` ends the job in the same transaction.
pub fn feed_take(
    office: &Office,
    permit: &Permit<EditCalendars>,
    id: i64,
    text: &str,
    said: &Validators,
    done: impl FnOnce(&mut Tx<'_>) -> store::Result<()>,
) -> Result<()> {
    take(office, permit, id, text, Source::Fetched, |tx| {
        rows::calendar_asked(tx, permit, id, Ok(Some(said)))?;
        Ok(done(tx)?)
    })?;
    Ok(())
}

/// Notes that the address was asked and nothing new came, or why nothing came at all.
pub fn feed_looked(
    office: &Office,
    permit: &Permit<EditCalendars>,
    id: i64,
    outcome: Result<(), &str>,
    done: impl FnOnce(&mut Tx<'_>) -> store::Result<()>,
) -> Result<()> {
    office.db.write(permit, |tx| {
        rows::calendar_asked(tx, permit, id, outcome.map(|()| None))?;
        Ok(done(tx)?)
    })
}
