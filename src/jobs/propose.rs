//! The next day, proposed by the office itself: once for a site and date, at the hour that the site
//! sets, whatever happens to the server in between. Nothing is issued by it.

use chrono::{NaiveDate, TimeDelta};
use chrono_tz::Tz;
use serde::{Deserialize, Serialize};
use trade::calendar::work_date;

use super::Failure;
use crate::desk::access::{Permit, PlanDay};
use crate::desk::plan_runs::{Due, Limit, day_propose, is_open, proposal_due};
use crate::desk::{self, Office};
use crate::store::jobs::{JobKind, JobRow, NewJob, job_add, job_done, job_known};
use crate::store::reports::{ReportedSite, reported_sites};
use crate::store::{self, Conn, Instant, Tx};

/// How long a plan is searched for, s. After that little is gained.
const SEARCH_S: i64 = 10;
/// A day that began so long ago is proposed no more.
const OVER: TimeDelta = TimeDelta::days(2);

/// What a job of this kind works on.
#[derive(Serialize, Deserialize)]
struct Payload {
    date: NaiveDate,
}

/// Adds the job of every site whose next day is due to be proposed, was not yet, and has nobody's
/// plan. A server that stood still does it when it is back.
pub(super) fn add_due(office: &Office) -> store::Result<()> {
    let now = office.now();
    let due: Vec<(i64, Due)> = office.db.read(|conn| -> store::Result<_> {
        let mut due = Vec::new();
        for site in reported_sites(conn)? {
            if let Some(one) = due_at(conn, &site, now)? {
                due.push((site.id, one));
            }
        }
        Ok(due)
    })?;
    for (site_id, Due { date, at }) in due {
        office.db.write_shared(|conn| {
            let job = NewJob {
                site_id: Some(site_id),
                kind: JobKind::ProposeDay,
                unique_key: &key(site_id, date),
                payload: &Payload { date },
                run_at: at.into(),
            };
            job_add(conn, &job, now)
        })?;
    }
    Ok(())
}

fn due_at(conn: &mut Conn, site: &ReportedSite, now: Instant) -> store::Result<Option<Due>> {
    // The weekly report says in the log that a zone is unknown.
    let Ok(zone) = site.zone.parse::<Tz>() else {
        return Ok(None);
    };
    let permit = Permit::<PlanDay>::of_the_service(site.id);
    let Some(due) = proposal_due(conn, &permit, zone, now)? else {
        return Ok(None);
    };
    // What fell due before the site was kept here is nobody's to catch up.
    let is_wanted = site.created_at.utc() < due.at
        && !job_known(conn, &key(site.id, due.date))?
        && is_open(conn, &permit, due.date)?;
    Ok(Some(due).filter(|_| is_wanted))
}

fn key(site_id: i64, date: NaiveDate) -> String {
    format!("propose-day:{site_id}:{date}")
}

/// Plans the day, unless somebody has meanwhile.
pub(super) fn propose(office: &Office, job: &JobRow) -> Result<(), Failure> {
    let Payload { date } = job.payload()?;
    let Some(site_id) = job.site_id else {
        return Err(store::Error::Unreadable(format!("job {} names no site", job.id)).into());
    };
    let permit = Permit::<PlanDay>::of_the_service(site_id);
    let done = |tx: &mut Tx<'_>| {
        let now = tx.now();
        job_done(tx.conn(), job, now)
    };
    let is_over = work_date(chrono_tz::UTC, office.clock.now() - OVER) >= date;
    if is_over {
        return Ok(office.db.write(&permit, done)?);
    }
    match day_propose(office, &permit, date, Limit::seconds(SEARCH_S), done) {
        Ok(_) => Ok(()),
        // What the day rests on may be mended or may have changed during the search: once more later.
        Err(desk::Error::State(why, _)) => Err(Failure {
            why,
            may_pass: true,
        }),
        Err(why) => Err(why.into()),
    }
}
