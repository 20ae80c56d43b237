//! Mail about somebody's account: an invitation, a new password, what was changed. What such a mail says is made when it
//! goes out; until then the outbox holds neither a secret nor a text.

use chrono::TimeDelta;
use serde::{Deserialize, Serialize};
use uuid::Uuid;

use super::tokens::digest;
use super::{Office, Result};
use crate::mail::sheet::{Part, Section, Sheet, Tone};
use crate::store::jobs::{JobKind, NewJob, job_add};
use crate::store::single_use::{NewSecret, SecretKind, secret_add, secret_by_digest};
use crate::store::sites::site_name;
use crate::store::users::{UserRow, user_active, user_by_email};
use crate::store::{self, Conn, Instant};
use crate::words::{say, say_with};

/// How long an invitation holds.
const INVITATION_LIFE: TimeDelta = TimeDelta::days(7);
/// How long a link to a new password holds.
const NEW_PASSWORD_LIFE: TimeDelta = TimeDelta::hours(1);

/// What a mail is about.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum What {
    /// Somebody new may sign in to a site, once they have set a password.
    Invitation,
    /// Somebody who signs in already belongs to one more site.
    Joined,
    /// A link to set a new password.
    NewPassword,
    /// The password was changed.
    PasswordChanged,
    /// A second factor was set up.
    SecondFactorOn,
    /// The second factor was taken away.
    SecondFactorOff,
}

/// Whom a mail goes to.
#[derive(Clone, Debug, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Reader {
    /// A user.
    User(i64),
    /// Whoever has this address, if anybody does.
    Email(String),
}

/// A mail that waits in the outbox.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub struct AccountMail {
    what: What,
    reader: Reader,
    site_id: Option<i64>,
    /// Names the message for good, and is what its secret is made from.
    key: Uuid,
    /// The key its secret is made under.
    made_under: String,
}

/// A mail as it goes out.
#[derive(Clone, Debug)]
pub struct Written {
    /// Names the message.
    pub key: Uuid,
    /// The reader's name.
    pub name: String,
    /// The reader's address.
    pub email: String,
    /// What it says.
    pub sheet: Sheet,
}

impl AccountMail {
    /// A mail of the installation.
    pub fn new(office: &Office, what: What, reader: Reader) -> Self {
        Self {
            what,
            reader,
            site_id: None,
            key: Uuid::new_v4(),
            made_under: office.tokens.newest().to_owned(),
        }
    }

    /// A mail about a site.
    #[must_use]
    pub fn about_site(mut self, site_id: i64) -> Self {
        self.site_id = Some(site_id);
        self
    }

    /// Puts it into the outbox, in the transaction of its cause.
    pub fn put_out(&self, conn: &mut Conn, now: Instant) -> Result<()> {
        let job = NewJob {
            site_id: self.site_id,
            kind: JobKind::AccountMail,
            unique_key: &format!("account-mail:{}", self.key),
            payload: self,
            run_at: now,
        };
        job_add(conn, &job, now)?;
        Ok(())
    }

    /// The mail as it goes out now; none where nobody is to be written to. A secret in it holds from its first attempt on;
    /// every further attempt says the same.
    pub fn write(&self, office: &Office) -> Result<Option<Written>> {
        let now = office.now();
        let found = office.db.write_shared(|conn| -> Result<_> {
            let Some(user) = self.user(conn)? else {
                return Ok(None);
            };
            let site = self.site_id.map(|id| site_name(conn, id)).transpose()?;
            let secret = self.secret(office, conn, &user, now)?;
            Ok(Some((user, site.unwrap_or_default(), secret)))
        })?;
        Ok(found.map(|(user, site, secret)| Written {
            key: self.key,
            sheet: self.sheet(office, &user, &site, secret.as_deref()),
            name: user.name,
            email: user.email,
        }))
    }

    /// The secret of an invitation for who hands it over by hand, where there is no mail.
    pub fn secret_by_hand(
        &self,
        office: &Office,
        conn: &mut Conn,
        user: &UserRow,
    ) -> Result<Option<String>> {
        self.secret(office, conn, user, office.now())
    }

    fn user(&self, conn: &mut Conn) -> Result<Option<UserRow>> {
        let user = match &self.reader {
            Reader::User(id) => user_active(conn, *id)?,
            Reader::Email(email) => user_by_email(conn, email)?,
        };
        Ok(user.filter(|user| user.disabled_at.is_none()))
    }

    fn secret(
        &self,
        office: &Office,
        conn: &mut Conn,
        user: &UserRow,
        now: Instant,
    ) -> Result<Option<String>> {
        let (kind, life) = match self.what {
            What::Invitation => (SecretKind::Invitation, INVITATION_LIFE),
            What::NewPassword => (SecretKind::NewPassword, NEW_PASSWORD_LIFE),
            _ => return Ok(None),
        };
        let nonce = self.key.to_string();
        let secret = office.tokens.single_use_secret(&self.made_under, &nonce);
        let secret = secret.ok_or_else(|| {
            store::Error::Unreadable(
                "the key of a mail's secret is gone: ask for the mail again".into(),
            )
        })?;
        let digest = digest(&secret);
        if secret_by_digest(conn, &[kind], &digest)?.is_none() {
            let new = NewSecret {
                user_id: Some(user.id),
                kind,
                digest: &digest,
                expires_at: (now.utc() + life).into(),
            };
            secret_add(conn, &new, now)?;
        }
        Ok(Some(secret))
    }

    fn sheet(&self, office: &Office, user: &UserRow, site: &str, secret: Option<&str>) -> Sheet {
        let word = match self.what {
            What::Invitation => "invitation",
            What::Joined => "joined",
            What::NewPassword => "new-password",
            What::PasswordChanged => "password-changed",
            What::SecondFactorOn => "second-factor-on",
            What::SecondFactorOff => "second-factor-off",
        };
        let values = [
            ("name", user.name.as_str().into()),
            ("email", user.email.as_str().into()),
            ("site", site.into()),
        ];
        let text = |part: &str| say_with(&format!("account-mail-{word}-{part}"), &values);
        let path = secret.map_or_else(|| "/sign-in".to_owned(), password_path);
        let base = office.mail.public_url();
        let link = base.map(|base| {
            (
                text("link"),
                format!("{}{path}", base.trim_end_matches('/')),
            )
        });
        let mut parts = vec![Part::Words(text("text"))];
        if let (None, Some(secret)) = (&link, secret) {
            let by_hand = say_with("account-mail-by-hand", &[("secret", secret.into())]);
            parts.push(Part::Words(by_hand));
        }
        Sheet {
            language: "en-US",
            subject: text("subject"),
            lead: text("lead"),
            tone: Tone::Plain,
            about: vec![if site.is_empty() {
                say("product")
            } else {
                site.to_owned()
            }],
            remark: None,
            sections: vec![Section {
                title: text("title"),
                parts,
            }],
            footer: say_with("account-mail-footer", &values),
            link,
        }
    }
}

/// Where a password is set by a secret. The secret stands after the `#`: that part of an address is sent to no server and
/// stands in no log.
pub fn password_path(secret: &str) -> String {
    format!("/password#{secret}")
}
