//! The backup of every night: once a night for all services that share a database, at the hour that
//! is set, by the clock of the first site. A service that stood still takes it when it is back.

use chrono::NaiveDate;
use chrono_tz::Tz;
use trade::calendar::{local_to_instant, work_date};

use super::Failure;
use crate::desk::Office;
use crate::desk::backups::{Job, take_and_note};
use crate::store;
use crate::store::backups::BackupWhy;
use crate::store::jobs::{JobKind, JobRow, NewJob, job_add, job_done, job_known};
use crate::store::reports::reported_sites;

/// Adds the job of the night where its hour has come.
pub(super) fn add_due(office: &Office) -> store::Result<()> {
    if office.backups.folder.is_none() {
        return Ok(());
    }
    let now = office.now();
    let first = office.db.read(reported_sites)?.into_iter().next();
    let zone = first
        .and_then(|site| site.zone.parse::<Tz>().ok())
        .unwrap_or(Tz::UTC);
    let night = work_date(zone, now.utc());
    let at = local_to_instant(zone, night, office.backups.at);
    let key = key(night);
    if now.utc() < at || office.db.read(|conn| job_known(conn, &key))? {
        return Ok(());
    }
    office.db.write_shared(|conn| {
        let job = NewJob {
            site_id: None,
            kind: JobKind::Backup,
            unique_key: &key,
            payload: &Job {
                why: BackupWhy::Nightly,
            },
            run_at: at.into(),
        };
        job_add(conn, &job, now)
    })?;
    Ok(())
}

fn key(night: NaiveDate) -> String {
    format!("backup:night:{night}")
}

/// Takes it, proves it, and removes what is no longer kept.
pub(super) fn take(office: &Office, job: &JobRow) -> Result<(), Failure> {
    let Job { why } = job.payload()?;
    take_and_note(office, why).map_err(|fault| Failure {
        why: fault.to_string(),
        may_pass: true,
    })?;
    Ok(office
        .db
        .write_shared(|conn| job_done(conn, job, office.now()))?)
}
