//! Calendars that are fetched: each is asked every few minutes for what is new.

mod fetch;
mod reach;

use chrono::TimeDelta;
use serde::{Deserialize, Serialize};

use self::fetch::{Answer, fetch};
use super::Failure;
use crate::desk::access::{EditCalendars, Permit};
use crate::desk::settings::Settings;
use crate::desk::settings::known::CALENDAR_EVERY_S;
use crate::desk::{Error, Office, calendars};
use crate::store::calendars::feeds;
use crate::store::jobs::{JobKind, JobRow, NewJob, job_add, job_done, job_known, jobs_forget};
use crate::store::{self, Scope, Tx};

/// What a job of this kind works on.
#[derive(Serialize, Deserialize)]
struct Payload {
    calendar_id: i64,
}

/// Adds a job for every calendar whose time has come.
pub(super) fn add_due(office: &Office) -> store::Result<()> {
    let now = office.now();
    let due = office.db.read(|conn| -> store::Result<_> {
        let mut due = Vec::new();
        for feed in feeds(conn)? {
            // Most looks find nothing due: a site's settings are read only where something may be.
            let since = feed.asked_at.map(|at| now.utc() - at.utc());
            if since.is_some_and(|since| since < TimeDelta::seconds(CALENDAR_EVERY_S.least)) {
                continue;
            }
            let scope = Scope::of_the_service(feed.site_id);
            let every = Settings::read(conn, &scope)?.number(CALENDAR_EVERY_S);
            let last = feed.asked_at.map_or(0, |at| at.utc().timestamp());
            let key = format!("{}{last}", prefix(feed.site_id, feed.id));
            if since.is_none_or(|since| since >= TimeDelta::seconds(every))
                && !job_known(conn, &key)?
            {
                due.push((feed, key));
            }
        }
        Ok(due)
    })?;
    for (feed, key) in due {
        office.db.write_shared(|conn| {
            let job = NewJob {
                site_id: Some(feed.site_id),
                kind: JobKind::CalendarFetch,
                unique_key: &key,
                payload: &Payload {
                    calendar_id: feed.id,
                },
                run_at: now,
            };
            job_add(conn, &job, now)
        })?;
    }
    Ok(())
}

fn prefix(site_id: i64, calendar_id: i64) -> String {
    format!("calendar-fetch:{site_id}:{calendar_id}:")
}

/// Asks one calendar's address and takes what it sends. Whatever comes of it is noted on the calendar; the next look
/// comes at its time.
pub(super) fn look(office: &Office, job: &JobRow) -> Result<(), Failure> {
    let Payload { calendar_id } = job.payload()?;
    let Some(site_id) = job.site_id else {
        return Err(store::Error::Unreadable(format!("job {} names no site", job.id)).into());
    };
    let permit = Permit::<EditCalendars>::of_the_service(site_id);
    let done = |tx: &mut Tx<'_>| {
        let now = tx.now();
        job_done(tx.conn(), job, now)?;
        jobs_forget(tx.conn(), &prefix(site_id, calendar_id), job.id)
    };
    let feed = match calendars::feed::feed_read(office, &permit, calendar_id) {
        Ok(Some(feed)) => feed,
        // It was removed or lost its address meanwhile.
        Ok(None) | Err(Error::NotFound(_)) => return Ok(office.db.write(&permit, done)?),
        Err(why) => return Err(why.into()),
    };
    // The server is spoken to outside any transaction: it may take its time.
    let taken = match fetch(&feed.address, feed.allow_private, &feed.known) {
        Ok(Answer::Calendar(text, said)) => {
            calendars::feed::feed_take(office, &permit, calendar_id, &text, &said, done)
        }
        Ok(Answer::Unchanged) => {
            calendars::feed::feed_looked(office, &permit, calendar_id, Ok(()), done)
        }
        Err(why) => calendars::feed::feed_looked(office, &permit, calendar_id, Err(&why), done),
    };
    match taken {
        // What cannot be read is told on the calendar, and the job is done.
        Err(Error::Refused(faults)) => {
            let why = faults
                .first()
                .map_or_else(String::new, |fault| fault.detail.clone());
            Ok(calendars::feed::feed_looked(
                office,
                &permit,
                calendar_id,
                Err(&why),
                done,
            )?)
        }
        other => Ok(other?),
    }
}
