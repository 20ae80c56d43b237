//! The jobs table: what is to be done by itself, once. A job is added in the transaction of its
//! cause; whoever takes it holds it for a lease, and others take it over when the lease lapses.

use diesel::prelude::*;
use serde::Serialize;
use serde::de::DeserializeOwned;

use super::columns::{json, words};
use super::db::Conn;
use super::dialect::each_backend;
use super::schema::jobs;
use super::{Error, Instant, Result, Scope};

words! {
    /// What a job does.
    JobKind {
        /// Hands one mail to the mail server: the outbox.
        Mail = "mail",
        /// Hands one mail about somebody's account to the mail server.
        AccountMail = "account_mail",
        /// Hands one mail to a manager about what cannot wait to the mail server.
        NoticeMail = "notice_mail",
        /// Asks a calendar's address for what is new.
        CalendarFetch = "calendar_fetch",
        /// Makes the week report of a site and puts its mails into the outbox.
        WeekReport = "week_report",
        /// Plans the next day of a site where nobody has.
        ProposeDay = "propose_day",
        /// Copies the whole installation into the backup folder.
        Backup = "backup",
    }
}

words! {
    /// Where a job stands.
    JobState {
        /// To be done, or under way while somebody holds its lease.
        Waiting = "waiting",
        /// Done.
        Done = "done",
        /// Given up: it stays, with the last error.
        Failed = "failed",
    }
}

/// Longest error text that is kept, characters.
const ERROR_CHARS: usize = 500;

/// A job.
#[derive(Clone, Debug, Queryable, Selectable)]
#[diesel(table_name = jobs)]
pub struct JobRow {
    /// Id.
    pub id: i64,
    /// The site it works for, if it works for one.
    pub site_id: Option<i64>,
    /// What it does.
    pub kind: JobKind,
    /// What is done once only, however often it is added.
    pub unique_key: Option<String>,
    /// What it works on, as JSON; read with [`JobRow::payload`].
    payload: String,
    /// Where it stands.
    pub state: JobState,
    /// Not before this.
    pub run_at: Instant,
    /// Until when somebody holds it.
    pub lease_until: Option<Instant>,
    /// How often it was taken. Whoever took it last holds it: an earlier holder whose lease lapsed
    /// can no longer end it.
    pub attempts: i64,
    /// Why the last attempt failed.
    pub last_error: Option<String>,
    /// When it was added.
    pub created_at: Instant,
    /// When it was done or given up.
    pub ended_at: Option<Instant>,
}

impl JobRow {
    /// What it works on.
    pub fn payload<T: DeserializeOwned>(&self) -> Result<T> {
        serde_json::from_str(&self.payload)
            .map_err(|e| Error::Unreadable(format!("payload of job {}: {e}", self.id)))
    }
}

/// A job to be added.
#[derive(Clone, Debug)]
pub struct NewJob<'a, T> {
    /// The site it works for, if it works for one.
    pub site_id: Option<i64>,
    /// What it does.
    pub kind: JobKind,
    /// What is done once only.
    pub unique_key: &'a str,
    /// What it works on.
    pub payload: &'a T,
    /// Not before this.
    pub run_at: Instant,
}

/// Adds a job, unless one with its key was ever added; says whether it did.
pub fn job_add<T: Serialize>(conn: &mut Conn, job: &NewJob<'_, T>, now: Instant) -> Result<bool> {
    let payload = json(job.payload)?;
    let values = (
        jobs::site_id.eq(job.site_id),
        jobs::kind.eq(job.kind),
        jobs::unique_key.eq(job.unique_key),
        jobs::payload.eq(&payload),
        jobs::state.eq(JobState::Waiting),
        jobs::run_at.eq(job.run_at),
        jobs::attempts.eq(0),
        jobs::created_at.eq(now),
    );
    // A refused insert would end the whole transaction on PostgreSQL: the key is asked for there.
    let added = each_backend!(conn, inner => diesel::insert_into(jobs::table)
        .values(values)
        .on_conflict(jobs::unique_key)
        .do_nothing()
        .execute(inner))?;
    Ok(added == 1)
}

/// Whether a job with this key was ever added.
pub fn job_known(conn: &mut Conn, unique_key: &str) -> Result<bool> {
    let query = jobs::table.filter(jobs::unique_key.eq(unique_key));
    Ok(diesel::select(diesel::dsl::exists(query)).get_result(conn)?)
}

/// Where the job with this key stands, if one was ever added.
pub fn job_standing(conn: &mut Conn, unique_key: &str) -> Result<Option<JobState>> {
    Ok(jobs::table
        .filter(jobs::unique_key.eq(unique_key))
        .select(jobs::state)
        .first(conn)
        .optional()?)
}

/// Where a job stands, of those that are looked up by their keys.
#[derive(Clone, Debug, Queryable)]
pub struct JobStanding {
    /// Its key.
    pub unique_key: String,
    /// Where it stands.
    pub state: JobState,
    /// Why its last attempt failed.
    pub last_error: Option<String>,
}

/// Where each job of a site stands whose key begins so.
pub fn jobs_standing(conn: &mut Conn, scope: &Scope, key_prefix: &str) -> Result<Vec<JobStanding>> {
    Ok(jobs::table
        .filter(
            jobs::site_id
                .eq(scope.site_id())
                .and(jobs::unique_key.like(format!("{key_prefix}%"))),
        )
        .order(jobs::id)
        .select((
            jobs::unique_key.assume_not_null(),
            jobs::state,
            jobs::last_error,
        ))
        .load(conn)?)
}

/// The mail that waits to be sent.
#[derive(Clone, Copy, Debug, Default)]
pub struct MailWaiting {
    /// How many.
    pub count: i64,
    /// Since when the oldest waits.
    pub oldest: Option<Instant>,
}

/// The mail that waits to be sent, of every site.
pub fn mail_waiting(conn: &mut Conn) -> Result<MailWaiting> {
    let waiting = jobs::state
        .eq(JobState::Waiting)
        .and(jobs::kind.eq(JobKind::Mail));
    let (count, oldest) = jobs::table
        .filter(waiting)
        .select((
            diesel::dsl::count_star(),
            diesel::dsl::min(jobs::created_at),
        ))
        .first(conn)?;
    Ok(MailWaiting { count, oldest })
}

/// Whether a job of these kinds is due and held by nobody.
pub fn job_is_due(conn: &mut Conn, kinds: &[JobKind], now: Instant) -> Result<bool> {
    let query = jobs::table.filter(
        jobs::state
            .eq(JobState::Waiting)
            .and(jobs::kind.eq_any(kinds))
            .and(jobs::run_at.le(now))
            .and(jobs::lease_until.is_null().or(jobs::lease_until.le(now))),
    );
    Ok(diesel::select(diesel::dsl::exists(query)).get_result(conn)?)
}

/// Takes the job of these kinds that is due longest, and holds it until `lease_until`.
pub fn job_take(
    conn: &mut Conn,
    kinds: &[JobKind],
    now: Instant,
    lease_until: Instant,
) -> Result<Option<JobRow>> {
    let due = diesel::alias!(jobs as due);
    // The outer condition is not idle: of two who chose the same row on PostgreSQL, the second waits
    // for the first, finds the row held by then and takes nothing. It then looks again.
    while job_is_due(conn, kinds, now)? {
        let first = due
            .filter(
                due.field(jobs::state)
                    .eq(JobState::Waiting)
                    .and(due.field(jobs::kind).eq_any(kinds))
                    .and(due.field(jobs::run_at).le(now))
                    .and(
                        due.field(jobs::lease_until)
                            .is_null()
                            .or(due.field(jobs::lease_until).le(now)),
                    ),
            )
            .order((due.field(jobs::run_at), due.field(jobs::id)))
            .limit(1)
            .select(due.field(jobs::id));
        let taken = diesel::update(
            jobs::table.filter(
                jobs::id
                    .eq_any(first)
                    .and(jobs::state.eq(JobState::Waiting))
                    .and(jobs::lease_until.is_null().or(jobs::lease_until.le(now))),
            ),
        )
        .set((
            jobs::lease_until.eq(lease_until),
            jobs::attempts.eq(jobs::attempts + 1),
        ))
        .returning(jobs::all_columns)
        .get_result(conn)
        .optional()?;
        if taken.is_some() {
            return Ok(taken);
        }
    }
    Ok(None)
}

/// Ends a job as done; [`Error::Stale`] where somebody else holds it by now, so that the whole
/// transaction is given up with it.
pub fn job_done(conn: &mut Conn, job: &JobRow, now: Instant) -> Result<()> {
    end(conn, job, JobState::Done, None, now)
}

/// Forgets the jobs whose keys begin so that were done before this one: what is done every few minutes would fill the
/// table.
pub fn jobs_forget(conn: &mut Conn, key_prefix: &str, before: i64) -> Result<()> {
    diesel::delete(
        jobs::table.filter(
            jobs::unique_key
                .like(format!("{key_prefix}%"))
                .and(jobs::state.eq(JobState::Done))
                .and(jobs::id.lt(before)),
        ),
    )
    .execute(conn)?;
    Ok(())
}

/// Forgets a job.
pub fn job_forget(conn: &mut Conn, id: i64) -> Result<()> {
    diesel::delete(jobs::table.find(id)).execute(conn)?;
    Ok(())
}

/// Gives a job up: it stays as failed, with the error.
pub fn job_give_up(conn: &mut Conn, job: &JobRow, error: &str, now: Instant) -> Result<()> {
    end(conn, job, JobState::Failed, Some(error), now)
}

fn end(
    conn: &mut Conn,
    job: &JobRow,
    state: JobState,
    error: Option<&str>,
    now: Instant,
) -> Result<()> {
    let rows = diesel::update(held(job))
        .set((
            jobs::state.eq(state),
            jobs::lease_until.eq(None::<Instant>),
            jobs::last_error.eq(error.map(shortened).or_else(|| job.last_error.clone())),
            jobs::ended_at.eq(now),
        ))
        .execute(conn)?;
    if rows == 1 { Ok(()) } else { Err(Error::Stale) }
}

/// Lets a job wait until `run_at`, with the error of this attempt.
pub fn job_retry(conn: &mut Conn, job: &JobRow, error: &str, run_at: Instant) -> Result<()> {
    let rows = diesel::update(held(job))
        .set((
            jobs::run_at.eq(run_at),
            jobs::lease_until.eq(None::<Instant>),
            jobs::last_error.eq(shortened(error)),
        ))
        .execute(conn)?;
    if rows == 1 { Ok(()) } else { Err(Error::Stale) }
}

/// The job as long as whoever holds this row holds it.
#[diesel::dsl::auto_type(no_type_alias)]
fn held<'a>(job: &'a JobRow) -> _ {
    let id: i64 = job.id;
    let attempts: i64 = job.attempts;
    let waiting: JobState = JobState::Waiting;
    jobs::table.filter(
        jobs::id
            .eq(id)
            .and(jobs::state.eq(waiting))
            .and(jobs::attempts.eq(attempts)),
    )
}

fn shortened(error: &str) -> String {
    error.chars().take(ERROR_CHARS).collect()
}
