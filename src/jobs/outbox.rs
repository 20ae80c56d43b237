//! The outbox: a job a mail.

use super::Failure;
use crate::desk::access::{Permit, SendReport};
use crate::desk::account_mail::{AccountMail, Written};
use crate::desk::notices::NoticeMail;
use crate::desk::reports::{self, MailJob};
use crate::desk::{self, Office};
use crate::mail::{self, Letter};
use crate::store::jobs::{JobRow, job_done, job_forget};
use crate::store::{self, Tx};

impl From<mail::Error> for Failure {
    fn from(error: mail::Error) -> Self {
        Self {
            may_pass: error.may_pass(),
            why: error.to_string(),
        }
    }
}

/// Hands one mail to the mail server. The server is spoken to outside any transaction: it may take
/// its time.
pub(super) fn deliver(office: &Office, job: &JobRow) -> Result<(), Failure> {
    let mail: MailJob = job.payload()?;
    let Some(site_id) = job.site_id else {
        return Err(store::Error::Unreadable(format!("job {} names no site", job.id)).into());
    };
    let permit = Permit::<SendReport>::of_the_service(site_id);
    let done = |tx: &mut Tx<'_>| {
        let now = tx.now();
        job_done(tx.conn(), job, now)
    };
    let (report, reader) = match reports::mail_read(office, &permit, &mail) {
        Ok(found) => found,
        // Whoever took the subscription back is not written to.
        Err(desk::Error::NotFound("subscriber")) => {
            return Ok(office.db.write(&permit, done)?);
        }
        Err(why) => return Err(why.into()),
    };
    office.mail.send(&Letter {
        key: mail.message_key,
        name: &reader.name,
        email: &reader.email,
        written_at: report.created_at.utc(),
        subject: &report.subject,
        text: &report.text_body,
        html: &report.html_body,
    })?;
    reports::mail_left(office, &permit, &mail, done)?;
    Ok(())
}

/// Hands one mail to a manager to the mail server, which is of what cannot wait.
pub(super) fn deliver_notice(office: &Office, job: &JobRow) -> Result<(), Failure> {
    let mail: NoticeMail = job.payload()?;
    let Some(site_id) = job.site_id else {
        return Err(store::Error::Unreadable(format!("job {} names no site", job.id)).into());
    };
    let permit = Permit::<SendReport>::of_the_service(site_id);
    if let Some(written) = mail.write(office, &permit)? {
        send(office, job, &written)?;
    }
    let now = office.now();
    Ok(office.db.write_shared(|conn| job_done(conn, job, now))?)
}

fn send(office: &Office, job: &JobRow, written: &Written) -> Result<(), mail::Error> {
    office.mail.send(&Letter {
        key: written.key,
        name: &written.name,
        email: &written.email,
        written_at: job.created_at.utc(),
        subject: &written.sheet.subject,
        text: &written.sheet.text(),
        html: &written.sheet.html(),
    })
}

/// Hands one mail about somebody's account to the mail server. Once it is gone nothing is kept of it: what it held of an
/// address was needed no longer.
pub(super) fn deliver_account_mail(office: &Office, job: &JobRow) -> Result<(), Failure> {
    let mail: AccountMail = job.payload()?;
    if let Some(written) = mail.write(office)? {
        send(office, job, &written)?;
    }
    let now = office.now();
    office.db.write_shared(|conn| {
        job_done(conn, job, now)?;
        job_forget(conn, job.id)
    })?;
    Ok(())
}
