//! The first owner of an installation: made by whoever stands at the console of a service that has none.

use chrono::TimeDelta;
use serde::Deserialize;
use utoipa::ToSchema;

use super::line::plain_name;
use super::passwords::{hash_password, take_password};
use super::tokens::{digest, random_secret};
use super::{Error, Office, Result};
use crate::mail;
use crate::store;
use crate::store::single_use::{NewSecret, SecretKind, secret_add, secret_by_digest, secret_use};
use crate::store::users::{NewUser, UserKind, owner_known, user_add, user_by_email};

/// How long the token of a start holds.
const TOKEN_LIFE: TimeDelta = TimeDelta::hours(24);

/// The first owner.
#[derive(Clone, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct FirstOwner {
    /// The token that the service printed when it started.
    pub token: String,
    /// Their name, 1 to 120 characters.
    pub name: String,
    /// The address they sign in with.
    pub email: String,
    /// Their password: 8 to 128 characters, none that is among the first to be tried.
    pub password: String,
}

/// A token by which the first owner is made, to be printed on the console; none where the installation has an owner. Each
/// instance prints its own.
pub fn token_for_console(office: &Office) -> Result<Option<String>> {
    if office.db.read(owner_known)? {
        return Ok(None);
    }
    let token = random_secret()?;
    let now = office.now();
    let new = NewSecret {
        user_id: None,
        kind: SecretKind::FirstOwner,
        digest: &digest(&token),
        expires_at: (now.utc() + TOKEN_LIFE).into(),
    };
    office.db.write_shared(|conn| secret_add(conn, &new, now))?;
    Ok(Some(token))
}

/// Whether the installation waits for its first owner.
pub fn is_awaited(office: &Office) -> Result<bool> {
    Ok(!office.db.read(owner_known)?)
}

/// Makes the first owner. [`Error::State`] where there is one.
pub fn first_owner_make(office: &Office, sent: &FirstOwner) -> Result<i64> {
    let name = sent.name.trim();
    plain_name("/name", name)?;
    let email = sent.email.trim().to_lowercase();
    if !mail::is_address(&email) {
        return Err(Error::refused(
            "/email",
            "give one address, like owner@example.org",
        ));
    }
    let now = office.now();
    let token = digest(sent.token.trim());
    // Who cannot have seen the console is told nothing else.
    let secret = office.db.read(|conn| -> Result<_> {
        if owner_known(conn)? {
            return Err(Error::state("this installation has an owner".into()));
        }
        let row = secret_by_digest(conn, &[SecretKind::FirstOwner], &token)?;
        let row = row.filter(|row| row.used_at.is_none() && row.expires_at > now);
        row.ok_or_else(|| {
            Error::refused(
                "/token",
                "this is not the token that the service printed when it started: start it again for a new one",
            )
        })
    })?;
    take_password("/password", &sent.password, &[&email, name])?;
    let hash = hash_password(&sent.password)?;
    let id = office.db.write_shared(|conn| -> Result<i64> {
        if owner_known(conn)? || !secret_use(conn, secret.id, now)? {
            return Err(Error::state("this installation has an owner".into()));
        }
        if user_by_email(conn, &email)?.is_some() {
            return Err(Error::refused(
                "/email",
                "somebody has this address already: give another",
            ));
        }
        let new = NewUser {
            kind: UserKind::Person,
            email: &email,
            name,
            password_hash: Some(&hash),
            is_owner: true,
        };
        user_add(conn, &new, now).map_err(|error| match error {
            store::Error::Taken(_) => {
                Error::refused("/email", "somebody has this address already: give another")
            }
            other => other.into(),
        })
    })?;
    tracing::info!(user = id, "the first owner was made");
    Ok(id)
}
