//! What runs by itself: the outbox, the weekly report and the next day's proposal. One worker a process takes what is due in
//! the jobs table; any number of processes may share one table.
//!
//! What a job writes and its being done stand in one transaction, so that it takes effect once. Only
//! what leaves the house may happen twice: a process that dies between the mail server's answer and
//! the end of the job leaves the job to the next one, which sends again. Both messages are the same
//! to the byte and carry the same Message-ID, by which a receiver can drop the double.

mod backup;
mod calendars;
mod outbox;
mod propose;
mod week;
mod worker;

use std::panic::{AssertUnwindSafe, catch_unwind};

use chrono::TimeDelta;

use crate::desk::{self, Office};
use crate::sight;
use crate::store::jobs::{JobKind, JobRow, job_give_up, job_is_due, job_retry, job_take};
use crate::store::{self, Instant};

pub use worker::Worker;

/// How long whoever takes a job holds it: longer than any job takes.
const LEASE: TimeDelta = TimeDelta::minutes(10);
/// How long a job waits after its first failure; then twice as long each time, up to
/// [`LONGEST_WAIT`].
const FIRST_WAIT: TimeDelta = TimeDelta::seconds(30);
/// Longest wait between two attempts.
const LONGEST_WAIT: TimeDelta = TimeDelta::hours(6);
/// After so many attempts, some four days, a job is given up. RFC 5321 section 4.5.4.1 wants mail
/// to be tried for at least four to five days.
const MOST_ATTEMPTS: i64 = 27;

/// Why a job was not done.
#[derive(Debug)]
struct Failure {
    why: String,
    /// Whether another attempt can help.
    may_pass: bool,
}

impl From<desk::Error> for Failure {
    fn from(error: desk::Error) -> Self {
        let may_pass = matches!(
            error,
            desk::Error::Failed(_)
                | desk::Error::Stale
                | desk::Error::TooMany(_)
                | desk::Error::Busy(..)
        );
        Self {
            why: error.to_string(),
            may_pass,
        }
    }
}

impl From<store::Error> for Failure {
    fn from(error: store::Error) -> Self {
        desk::Error::from(error).into()
    }
}

/// Does everything that is due now; gives how many jobs it took, whatever became of them. Where the
/// database cannot be reached the rest waits, and the log says why.
pub fn run_due(office: &Office) -> usize {
    run_until(office, &|| false)
}

fn run_until(office: &Office, stopped: &dyn Fn() -> bool) -> usize {
    let mut taken = 0;
    if let Err(why) = week::add_due(office) {
        tracing::error!(error = %why, "the weekly reports could not be looked up");
    }
    if let Err(why) = calendars::add_due(office) {
        tracing::error!(error = %why, "the calendars could not be looked up");
    }
    if let Err(why) = backup::add_due(office) {
        tracing::error!(error = %why, "the backups could not be looked up");
    }
    if let Err(why) = propose::add_due(office) {
        tracing::error!(error = %why, "the days to propose could not be looked up");
    }
    if let Err(why) = desk::alone::notify_of_missed(office) {
        tracing::error!(error = %why, "who works alone could not be looked up");
    }
    if let Err(why) = desk::water::book_due(office) {
        tracing::error!(error = %why, "the night's water could not be booked");
    }
    while !stopped() {
        match take(office) {
            Ok(Some(job)) => {
                taken += 1;
                run(office, &job);
            }
            Ok(None) => break,
            Err(why) => {
                tracing::error!(error = %why, "no job could be taken");
                break;
            }
        }
    }
    taken
}

/// What this service can do: without a mail server mail is not even taken, and waits, and no attempt is
/// counted; without a folder for it nor is a backup.
fn kinds(office: &Office) -> Vec<JobKind> {
    let can_do = |kind: &JobKind| match kind {
        JobKind::Mail | JobKind::AccountMail | JobKind::NoticeMail => office.mail.can_send(),
        JobKind::Backup => office.backups.folder.is_some(),
        JobKind::CalendarFetch | JobKind::WeekReport | JobKind::ProposeDay => true,
    };
    JobKind::ALL.iter().copied().filter(can_do).collect()
}

fn take(office: &Office) -> store::Result<Option<JobRow>> {
    let (kinds, now) = (kinds(office), office.now());
    // Looking is cheap and disturbs nobody; taking locks.
    if !office.db.read(|conn| job_is_due(conn, &kinds, now))? {
        return Ok(None);
    }
    let lease_until = (now.utc() + LEASE).into();
    office
        .db
        .write_shared(|conn| job_take(conn, &kinds, now, lease_until))
}

fn run(office: &Office, job: &JobRow) {
    let work = || match job.kind {
        JobKind::Backup => backup::take(office, job),
        JobKind::CalendarFetch => calendars::look(office, job),
        JobKind::Mail => outbox::deliver(office, job),
        JobKind::AccountMail => outbox::deliver_account_mail(office, job),
        JobKind::NoticeMail => outbox::deliver_notice(office, job),
        JobKind::WeekReport => week::report(office, job),
        JobKind::ProposeDay => propose::propose(office, job),
    };
    // One job's fault must not end the worker of them all.
    let done = catch_unwind(AssertUnwindSafe(work)).unwrap_or_else(|_| {
        Err(Failure {
            why: "the work broke off; see the log".into(),
            may_pass: true,
        })
    });
    let Err(failure) = done else {
        sight::job_ended(&job.kind.to_string(), "done");
        tracing::info!(job = job.id, kind = %job.kind, "job done");
        return;
    };
    let again_at = next_attempt(office.now(), job.attempts).filter(|_| failure.may_pass);
    let kept = office.db.write_shared(|conn| match again_at {
        Some(at) => job_retry(conn, job, &failure.why, at),
        None => job_give_up(conn, job, &failure.why, office.now()),
    });
    let outcome = if again_at.is_some() {
        "to_try_again"
    } else {
        "given_up"
    };
    sight::job_ended(&job.kind.to_string(), outcome);
    let (id, kind, attempt, why) = (job.id, job.kind, job.attempts, &failure.why);
    if let Some(at) = again_at {
        tracing::warn!(job = id, %kind, attempt, %why, again_at = %at, "job failed");
    } else {
        tracing::error!(job = id, %kind, attempt, %why, "job given up");
    }
    match kept {
        Ok(()) => {}
        Err(store::Error::Stale) => {
            tracing::warn!(job = id, "the lease lapsed and somebody else took the job");
        }
        Err(why) => tracing::error!(job = id, error = %why, "the failure could not be noted"),
    }
}

/// When to try again after so many attempts; none where it is to be given up.
fn next_attempt(now: Instant, attempts: i64) -> Option<Instant> {
    if attempts >= MOST_ATTEMPTS {
        return None;
    }
    let doublings = u32::try_from(attempts - 1).unwrap_or(0).min(16);
    let wait = FIRST_WAIT
        .checked_mul(1 << doublings)
        .map_or(LONGEST_WAIT, |wait| wait.min(LONGEST_WAIT));
    Some((now.utc() + wait).into())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(text: &str) -> Instant {
        text.parse::<chrono::DateTime<chrono::Utc>>()
            .unwrap()
            .into()
    }

    #[test]
    fn each_failure_doubles_the_wait_up_to_six_hours() {
        let now = at("2031-06-10T00:00:00Z");
        let waits: Vec<i64> = (1..=12)
            .map(|attempts| (next_attempt(now, attempts).unwrap().utc() - now.utc()).num_seconds())
            .collect();
        assert_eq!(waits[..4], [30, 60, 120, 240]);
        assert_eq!(waits[9..], [15_360, 21_600, 21_600]);
    }

    /// Source: RFC 5321 section 4.5.4.1: "the give-up time generally needs to be at least 4-5 days".
    #[test]
    fn a_job_is_tried_for_four_days_and_then_given_up() {
        let start = at("2031-06-10T00:00:00Z");
        let (mut now, mut attempts) = (start, 1);
        while let Some(next) = next_attempt(now, attempts) {
            (now, attempts) = (next, attempts + 1);
        }
        let days = (now.utc() - start.utc()).num_days();
        assert!((4..=5).contains(&days), "{days}");
    }
}
