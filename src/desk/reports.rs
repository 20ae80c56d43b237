//! The week report: what management reads on Monday. Shown as it would be sent, sent to its
//! subscribers through the outbox, and who they are.

pub mod figures;
mod gather;
mod subscribers;
mod tell;

use serde::{Deserialize, Serialize};
use trade::calendar::{IsoWeek, work_date};
use utoipa::ToSchema;
use uuid::Uuid;

use figures::GivesOutNext;
pub use figures::WeekReport;
pub use subscribers::{NewSubscriber, subscriber_add, subscriber_list, subscriber_remove};

use super::access::{Permit, SeeReport, SendReport};
use super::error::Named;
use super::once::Once;
use super::wear::gives_out_next;
use super::{Error, Office, Result};
use crate::mail::sheet::Sheet;
use crate::store::audit::{Deed, audit_append};
use crate::store::jobs::{JobKind, JobState, NewJob, job_add, jobs_standing};
use crate::store::reports::{
    NewWeekReport, SubscriberRow, WeekReportRow, subscriber_list as subscribers_of,
    subscriber_read, week_report_add, week_report_left, week_report_read as report_read,
    week_report_revisions,
};
use crate::store::sites::site_read;
use crate::store::{self, Conn, Db, Instant, Page, Scope, Tx};

/// Most parts that give out next which a report tells of.
const MOST_NEXT: usize = 5;
/// For so many days after its Sunday a week is the newest that is over.
const NEWEST_FOR_DAYS: i64 = 7;

/// A week report as its readers get it, and its figures.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct WeekReportView {
    /// What it is written from, as the books stand now.
    pub figures: WeekReport,
    /// Subject of the mail.
    pub subject: String,
    /// Its plain text.
    pub text: String,
    /// Its HTML document.
    pub html: String,
    /// When it was sent, oldest first. What was sent stays as it was.
    pub sendings: Vec<Sending>,
}

/// One sending of a week's report.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct Sending {
    /// Its number in the week, from 1.
    pub revision: i64,
    /// When it was made.
    pub created_at: Instant,
    /// When the first of its mails left the house; null while none did.
    pub sent_at: Option<Instant>,
    /// Mails that wait in the outbox.
    pub waiting: i64,
    /// Mails the mail server took.
    pub delivered: i64,
    /// Mails that were given up.
    pub failed: i64,
    /// Why a mail still waits, or was given up.
    pub last_error: Option<String>,
}

/// A report on its way.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
pub struct SentReport {
    /// The ISO week.
    pub iso_week: String,
    /// The number of this sending in the week, from 1.
    pub revision: i64,
    /// How many mails were put into the outbox: one a subscriber.
    pub mails: i64,
}

/// What a job of the outbox works on. Who reads it is looked up when it is sent: an address stands
/// in one place, where it can be taken out.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub struct MailJob {
    /// The kept report.
    pub week_report_id: i64,
    /// Whom it goes to.
    pub subscriber_id: i64,
    /// Names the message for good.
    pub message_key: Uuid,
}

/// The report of a week as it would be sent now. [`Error::Refused`] for a week not yet begun.
pub fn week_report_read(
    office: &Office,
    permit: &Permit<SeeReport>,
    week: IsoWeek,
) -> Result<WeekReportView> {
    let now = office.now();
    let (figures, sendings) = office.db.read(|conn| -> Result<_> {
        let figures = figures_of(conn, permit, week, now)?;
        Ok((figures, sendings(conn, permit, week)?))
    })?;
    let told = tell::report(&figures, office.mail.public_url());
    Ok(WeekReportView {
        text: told.text(),
        html: told.html(),
        subject: told.subject,
        figures,
        sendings,
    })
}

/// The same for whoever stands at the machine itself, where no user asks.
pub fn week_report_sheet(
    db: &Db,
    site_id: i64,
    week: IsoWeek,
    now: Instant,
    public_url: Option<&str>,
) -> Result<Sheet> {
    let permit = Permit::<SeeReport>::of_the_service(site_id);
    let figures = db.read(|conn| figures_of(conn, &permit, week, now))?;
    Ok(tell::report(&figures, public_url))
}

fn figures_of(conn: &mut Conn, scope: &Scope, week: IsoWeek, now: Instant) -> Result<WeekReport> {
    let gathered = gather::week_report(conn, scope, week, now)?;
    let mut figures = gathered.ok_or_else(|| {
        Error::refused(
            "iso_week",
            format!("{week} has not begun at the site: ask for a week that has"),
        )
    })?;
    // What is known today of what gives out is no news of a week long past.
    let today = work_date(site_read(conn, scope)?.zone()?, now.utc());
    if today <= figures.to + chrono::TimeDelta::days(NEWEST_FOR_DAYS) {
        let parts = gives_out_next(conn, scope, today, MOST_NEXT)?.into_iter();
        figures.gives_out_next = parts.map(GivesOutNext::from).collect();
    }
    Ok(figures)
}

fn sendings(conn: &mut Conn, scope: &Scope, week: IsoWeek) -> Result<Vec<Sending>> {
    let iso_week = week.to_string();
    let mails = jobs_standing(conn, scope, &mails_key(scope, &iso_week))?;
    let of = |row: WeekReportRow| {
        let of_it = mail_key(scope, &iso_week, row.revision, "");
        let of_it = mails.iter().filter(|m| m.unique_key.starts_with(&of_it));
        let mut sending = Sending {
            revision: row.revision,
            created_at: row.created_at,
            sent_at: row.sent_at,
            waiting: 0,
            delivered: 0,
            failed: 0,
            last_error: None,
        };
        for mail in of_it {
            match mail.state {
                JobState::Waiting => sending.waiting += 1,
                JobState::Done => sending.delivered += 1,
                JobState::Failed => sending.failed += 1,
            }
            if mail.state != JobState::Done && mail.last_error.is_some() {
                sending.last_error.clone_from(&mail.last_error);
            }
        }
        sending
    };
    let rows = week_report_revisions(conn, scope, &iso_week)?;
    Ok(rows.into_iter().map(of).collect())
}

/// What the keys of a week's jobs in the outbox begin with. They end in revision and subscriber.
fn mails_key(scope: &Scope, iso_week: &str) -> String {
    format!("mail:week-report:{}:{iso_week}:", scope.site_id())
}

fn mail_key(scope: &Scope, iso_week: &str, revision: i64, subscriber: &str) -> String {
    format!("{}{revision}:{subscriber}", mails_key(scope, iso_week))
}

/// Has the report of a week mailed to the site's subscribers as the books stand now. Sent again under
/// the same key, it gives the first answer.
/// [`Error::Refused`] for a week not yet begun, [`Error::State`] where nobody is subscribed.
pub fn week_report_send(
    office: &Office,
    permit: &Permit<SendReport>,
    week: IsoWeek,
    client_key: String,
) -> Result<SentReport> {
    let once = Once::new(client_key, format!("send week report {week}"), &())?;
    let report = written(office, permit, week)?;
    office.db.write(permit, |tx| {
        once.run(tx, permit, |tx| {
            let sent = put_out(tx, permit, &report)?;
            if sent.mails == 0 {
                return Err(Error::state(
                    "nobody is subscribed to this site's week report: add a subscriber first"
                        .into(),
                ));
            }
            Ok(sent)
        })
    })
}

/// The same where no user asks; `also` happens in the same transaction. Where nobody is subscribed
/// the report is kept and nothing is mailed.
pub fn week_report_send_by_itself(
    office: &Office,
    permit: &Permit<SendReport>,
    week: IsoWeek,
    also: impl FnOnce(&mut Tx<'_>) -> store::Result<()>,
) -> Result<SentReport> {
    let report = written(office, permit, week)?;
    office.db.write(permit, |tx| {
        let sent = put_out(tx, permit, &report)?;
        also(tx)?;
        Ok(sent)
    })
}

struct Written {
    figures: WeekReport,
    subject: String,
    text: String,
    html: String,
}

/// Gathered and written before the transaction that keeps it: that one locks the site.
fn written(office: &Office, scope: &Scope, week: IsoWeek) -> Result<Written> {
    let now = office.now();
    let figures = office.db.read(|conn| figures_of(conn, scope, week, now))?;
    let told = tell::report(&figures, office.mail.public_url());
    Ok(Written {
        text: told.text(),
        html: told.html(),
        subject: told.subject,
        figures,
    })
}

fn put_out(tx: &mut Tx<'_>, scope: &Scope, report: &Written) -> Result<SentReport> {
    let iso_week = &report.figures.iso_week;
    let (week_report_id, revision) = week_report_add(
        tx,
        scope,
        &NewWeekReport {
            iso_week,
            subject: &report.subject,
            text: &report.text,
            html: &report.html,
            figures: &report.figures,
        },
    )?;
    let now = tx.now();
    let mut mails = 0;
    for subscriber in subscribers_of(tx.conn(), scope, Page::ALL)?.items {
        let mail = MailJob {
            week_report_id,
            subscriber_id: subscriber.id,
            message_key: Uuid::new_v4(),
        };
        let job = NewJob {
            site_id: Some(scope.site_id()),
            kind: JobKind::Mail,
            unique_key: &mail_key(scope, iso_week, revision, &subscriber.id.to_string()),
            payload: &mail,
            run_at: now,
        };
        mails += i64::from(job_add(tx.conn(), &job, now)?);
    }
    audit_append(
        tx,
        scope,
        &Deed {
            verb: "sent",
            subject: "week_report",
            id: week_report_id,
            data: serde_json::json!({ "iso_week": iso_week, "revision": revision, "mails": mails }),
        },
    )?;
    Ok(SentReport {
        iso_week: iso_week.clone(),
        revision,
        mails,
    })
}

/// What a mail of the outbox says, and to whom. [`Error::NotFound`] of a subscriber where that one
/// was taken off in between.
pub fn mail_read(
    office: &Office,
    permit: &Permit<SendReport>,
    mail: &MailJob,
) -> Result<(WeekReportRow, SubscriberRow)> {
    office.db.read(|conn| {
        let report = report_read(conn, permit, mail.week_report_id).named("week report")?;
        let reader = subscriber_read(conn, permit, mail.subscriber_id).named("subscriber")?;
        Ok((report, reader))
    })
}

/// Notes that a mail left the house; `also` happens in the same transaction.
pub fn mail_left(
    office: &Office,
    permit: &Permit<SendReport>,
    mail: &MailJob,
    also: impl FnOnce(&mut Tx<'_>) -> store::Result<()>,
) -> Result<()> {
    office.db.write(permit, |tx| {
        week_report_left(tx, permit, mail.week_report_id)?;
        also(tx)?;
        Ok(())
    })
}
