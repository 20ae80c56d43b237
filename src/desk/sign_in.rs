//! Signing in and out: passwords (Argon2id), access tokens, rotating refresh tokens, page sessions.

use std::sync::LazyLock;

use argon2::password_hash::{PasswordHasher, PasswordVerifier, phc::PasswordHash};
use argon2::{Algorithm, Argon2, Params, Version};
use chrono::TimeDelta;

use super::tokens::{ACCESS_LIFE, digest, random_secret};
use super::{Error, Office, Result};
use crate::store::sessions::{
    SessionKind, SessionRow, session_add, session_by_digest, session_replace, session_revoke_family,
};
use crate::store::users::{user_active, user_by_email};
use crate::store::{self, Conn, Instant};

/// How long a refresh token may lie unused.
const REFRESH_LIFE: TimeDelta = TimeDelta::days(30);
/// How long a page session lasts.
pub const PAGE_LIFE: TimeDelta = TimeDelta::hours(12);

/// What a client gets when it signs in or refreshes.
#[derive(Debug, serde::Serialize, utoipa::ToSchema)]
pub struct TokenPair {
    /// For the `Authorization: Bearer` header.
    pub access_token: String,
    /// Good once, for the next pair.
    pub refresh_token: String,
    /// How long the access token holds, s.
    pub expires_in: i64,
}

/// Argon2id with the parameters OWASP's password storage cheat sheet gives first:
/// 19 MiB, two passes, one lane.
static ARGON: LazyLock<Argon2<'static>> = LazyLock::new(|| {
    let params = Params::new(19 * 1024, 2, 1, None).unwrap_or_default();
    Argon2::new(Algorithm::Argon2id, Version::V0x13, params)
});

/// Checked in place of an unknown user's hash, so that both answers take the same time.
static NOBODYS_HASH: LazyLock<String> =
    LazyLock::new(|| hash_password("nobody has this password").unwrap_or_default());

/// The PHC string of a password.
pub fn hash_password(password: &str) -> Result<String> {
    ARGON
        .hash_password(password.as_bytes())
        .map(|hash| hash.to_string())
        .map_err(|e| Error::Failed(store::Error::Unreadable(format!("password hash: {e}"))))
}

fn password_fits(password: &str, hash: &str) -> bool {
    PasswordHash::new(hash)
        .is_ok_and(|hash| ARGON.verify_password(password.as_bytes(), &hash).is_ok())
}

/// The user behind an address and a password. The same answer, in the same time, whether the
/// address or the password is wrong.
fn known_user(office: &Office, email: &str, password: &str) -> Result<i64> {
    let user = office.db.read(|conn| user_by_email(conn, email))?;
    let usable = user.filter(|user| user.disabled_at.is_none());
    let hash = usable
        .as_ref()
        .and_then(|user| user.password_hash.as_deref());
    let fits = password_fits(password, hash.unwrap_or(&NOBODYS_HASH));
    match usable {
        Some(user) if fits && user.password_hash.is_some() => Ok(user.id),
        _ => Err(Error::NotSignedIn("the address or the password is wrong")),
    }
}

/// Signs a client of the API in.
pub fn sign_in(office: &Office, email: &str, password: &str) -> Result<TokenPair> {
    let user_id = known_user(office, email, password)?;
    let family = uuid::Uuid::new_v4().to_string();
    office
        .db
        .write_shared(|conn| pair(office, conn, user_id, family, 0))
}

/// A new pair for a refresh token. A token used twice revokes its whole family: somebody else may
/// hold a copy.
pub fn refresh(office: &Office, refresh_token: &str) -> Result<TokenPair> {
    let now = office.now();
    let row = live_session(office, SessionKind::Api, refresh_token)?;
    let digest = row.token_digest.clone();
    let next = office.db.write_shared(|conn| -> Result<_> {
        if user_active(conn, row.user_id)?.is_none() || !session_replace(conn, &digest, now)? {
            session_revoke_family(conn, &row.family, now)?;
            return Ok(None);
        }
        pair(
            office,
            conn,
            row.user_id,
            row.family.clone(),
            row.generation + 1,
        )
        .map(Some)
    })?;
    next.ok_or(Error::NotSignedIn(
        "the refresh token was used before: sign in again",
    ))
}

/// Ends the session of a refresh token. Nothing happens where it is not known.
pub fn sign_out(office: &Office, refresh_token: &str) -> Result<()> {
    end(office, SessionKind::Api, refresh_token)
}

/// Signs somebody in on the pages; gives the cookie's secret.
pub fn page_sign_in(office: &Office, email: &str, password: &str) -> Result<String> {
    let user_id = known_user(office, email, password)?;
    let secret = secret()?;
    let row = session(office.now(), SessionKind::Page, user_id, &secret, PAGE_LIFE);
    office.db.write_shared(|conn| session_add(conn, &row))?;
    Ok(secret)
}

/// Who is signed in on the pages.
#[derive(Clone, Debug)]
pub struct PageUser {
    /// The user's id.
    pub id: i64,
    /// The name the pages show.
    pub name: String,
}

/// The user of a page session.
pub fn page_user(office: &Office, secret: &str) -> Result<PageUser> {
    let row = live_session(office, SessionKind::Page, secret)?;
    let user = office.db.read(|conn| user_active(conn, row.user_id))?;
    user.map(|user| PageUser {
        id: user.id,
        name: user.name,
    })
    .ok_or(Error::NotSignedIn("the user is switched off"))
}

/// Ends a page session.
pub fn page_sign_out(office: &Office, secret: &str) -> Result<()> {
    end(office, SessionKind::Page, secret)
}

fn live_session(office: &Office, kind: SessionKind, secret: &str) -> Result<SessionRow> {
    let row = office
        .db
        .read(|conn| session_by_digest(conn, kind, &digest(secret)))?;
    row.filter(|row| row.revoked_at.is_none() && row.expires_at > office.now())
        .ok_or(Error::NotSignedIn("the session has ended: sign in again"))
}

fn end(office: &Office, kind: SessionKind, secret: &str) -> Result<()> {
    let now = office.now();
    office.db.write_shared(|conn| {
        if let Some(row) = session_by_digest(conn, kind, &digest(secret))? {
            session_revoke_family(conn, &row.family, now)?;
        }
        Ok(())
    })
}

fn pair(
    office: &Office,
    conn: &mut Conn,
    user_id: i64,
    family: String,
    generation: i64,
) -> Result<TokenPair> {
    let refresh_token = secret()?;
    let mut row = session(
        office.now(),
        SessionKind::Api,
        user_id,
        &refresh_token,
        REFRESH_LIFE,
    );
    row.family = family;
    row.generation = generation;
    session_add(conn, &row)?;
    let access_token = office
        .tokens
        .issue(user_id, office.clock.now())
        .ok_or_else(|| store::Error::Unreadable("a token could not be signed".into()))?;
    Ok(TokenPair {
        access_token,
        refresh_token,
        expires_in: ACCESS_LIFE.num_seconds(),
    })
}

fn session(
    now: Instant,
    kind: SessionKind,
    user_id: i64,
    secret: &str,
    life: TimeDelta,
) -> SessionRow {
    SessionRow {
        user_id,
        kind,
        family: uuid::Uuid::new_v4().to_string(),
        generation: 0,
        token_digest: digest(secret),
        created_at: now,
        expires_at: (now.utc() + life).into(),
        replaced_at: None,
        revoked_at: None,
    }
}

fn secret() -> Result<String> {
    random_secret().map_err(|e| store::Error::Unreadable(format!("random bytes: {e}")).into())
}
