//! Mail to a site's managers about what cannot wait. It says that there is something, where and when, and of no person
//! anything: whoever reads it over a shoulder learns no more. It is written when it goes out, so that the outbox holds no text.

use serde::{Deserialize, Serialize};
use trade::units::UnitSystem;
use uuid::Uuid;

use super::account_mail::Written;
use super::alone::still_missed;
use super::{Office, Result};
use crate::mail::sheet::{Part, Section, Sheet, Tone};
use crate::store::incidents::incident_read;
use crate::store::jobs::{JobKind, NewJob, job_add, job_known};
use crate::store::members::managers;
use crate::store::sites::site_read;
use crate::store::users::user_active;
use crate::store::{self, Conn, Instant, Scope, Tx};
use crate::words::shown::Shown;
use crate::words::{say, say_with};

/// What a notice is about.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Notice {
    /// An incident or near miss was told.
    Incident(i64),
    /// Somebody who works alone gave no sign that was due.
    Missed {
        /// The watch.
        watch: i64,
        /// When there was a sign last.
        last_sign_at: Instant,
    },
}

/// A notice to one manager that waits in the outbox.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub struct NoticeMail {
    notice: Notice,
    user_id: i64,
    /// Names the message for good.
    key: Uuid,
}

/// Puts a notice to every manager of the site into the outbox, in the transaction of its cause. One that was ever put
/// there is not put there again.
pub(super) fn notify_managers(tx: &mut Tx<'_>, scope: &Scope, notice: Notice) -> Result<()> {
    let now = tx.now();
    for user_id in managers(tx.conn(), scope)? {
        let mail = NoticeMail {
            notice,
            user_id,
            key: Uuid::new_v4(),
        };
        let job = NewJob {
            site_id: Some(scope.site_id()),
            kind: JobKind::NoticeMail,
            unique_key: &notice.key(scope.site_id(), user_id),
            payload: &mail,
            run_at: now,
        };
        job_add(tx.conn(), &job, now)?;
    }
    Ok(())
}

/// Whether a notice was ever put out to every manager there is.
pub(super) fn is_notified(conn: &mut Conn, scope: &Scope, notice: Notice) -> store::Result<bool> {
    for user_id in managers(conn, scope)? {
        if !job_known(conn, &notice.key(scope.site_id(), user_id))? {
            return Ok(false);
        }
    }
    Ok(true)
}

impl Notice {
    fn key(self, site_id: i64, user_id: i64) -> String {
        match self {
            Self::Incident(id) => format!("notice:incident:{site_id}:{id}:{user_id}"),
            Self::Missed {
                watch,
                last_sign_at,
            } => format!("notice:missed:{site_id}:{watch}:{last_sign_at}:{user_id}"),
        }
    }
}

impl NoticeMail {
    /// The mail as it goes out now; none where the manager may not sign in any more.
    pub fn write(&self, office: &Office, scope: &Scope) -> Result<Option<Written>> {
        office.db.read(|conn| {
            let Some(user) = user_active(conn, self.user_id)? else {
                return Ok(None);
            };
            let sheet = self.sheet(office, conn, scope)?;
            Ok(sheet.map(|sheet| Written {
                key: self.key,
                sheet,
                name: user.name,
                email: user.email,
            }))
        })
    }

    /// What it says; nothing where it holds no more.
    fn sheet(
        &self,
        office: &Office,
        conn: &mut Conn,
        scope: &Scope,
    ) -> store::Result<Option<Sheet>> {
        let site = site_read(conn, scope)?;
        let show = Shown {
            zone: site.zone()?,
            // Times alone are shown.
            units: UnitSystem::UsCustomary,
            currency: site.currency.clone(),
        };
        let (word, page, values) = match self.notice {
            Notice::Incident(id) => {
                let incident = incident_read(conn, scope, id)?;
                let place = incident.court.or(incident.place).unwrap_or_default();
                let at = show.date_time(incident.happened_at);
                let word = match incident.kind {
                    store::incidents::IncidentKind::Incident => "incident",
                    store::incidents::IncidentKind::NearMiss => "near-miss",
                };
                (
                    word,
                    "incidents",
                    [("place", place.into()), ("at", at.into())],
                )
            }
            Notice::Missed {
                watch,
                last_sign_at,
            } => {
                // Whoever was heard of meanwhile is not called missed any more.
                let missed = still_missed(conn, scope, watch, last_sign_at, office.now())?;
                let Some(missed) = missed else {
                    return Ok(None);
                };
                let place = missed.court.unwrap_or_else(|| say("notice-missed-nowhere"));
                let at = show.date_time(last_sign_at);
                (
                    "missed",
                    "today",
                    [("place", place.into()), ("at", at.into())],
                )
            }
        };
        let values = [&values[..], &[("site", site.name.as_str().into())]].concat();
        let text = |part: &str| say_with(&format!("notice-{word}-{part}"), &values);
        let link = office.mail.public_url().map(|base| {
            let base = base.trim_end_matches('/');
            (
                say("notice-link"),
                format!("{base}/sites/{}/{page}", site.id),
            )
        });
        Ok(Some(Sheet {
            language: "en-US",
            subject: text("subject"),
            lead: text("lead"),
            tone: Tone::Bad,
            about: vec![site.name.clone()],
            remark: None,
            sections: vec![Section {
                title: say("notice-title"),
                parts: vec![Part::Words(text("text"))],
            }],
            footer: say_with("notice-footer", &values),
            link,
        }))
    }
}
