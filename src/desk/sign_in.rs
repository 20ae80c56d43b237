//! Signing in and out: passwords (Argon2id), access tokens, refresh tokens that follow each other, page sessions.

use std::net::IpAddr;
use std::sync::LazyLock;

use argon2::password_hash::{PasswordHasher, PasswordVerifier, phc::PasswordHash};
use argon2::{Algorithm, Argon2, Params, Version};
use chrono::TimeDelta;

use super::throttle::Try;
use super::tokens::{ACCESS_LIFE, Holder, digest, random_secret};
use super::{Error, Office, Result};
use crate::store::sessions::{
    SessionKind, SessionRow, session_add, session_by_digest, session_of_generation,
    session_replace, session_revoke_family, session_revoke_user, session_stands,
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

/// Who tries to sign in.
#[derive(Clone, Debug)]
pub struct Credentials {
    /// The address of their account.
    pub email: String,
    /// Their password.
    pub password: String,
    /// Where the try comes from, as far as that is known.
    pub from: Option<IpAddr>,
}

/// The user behind an address and a password. The same answer, in the same time, whether the address or the password is
/// wrong; [`Error::TooMany`] after too many tries.
fn known_user(office: &Office, who: &Credentials) -> Result<i64> {
    let counted = Try::count(office, &who.email, who.from)?;
    let user = office.db.read(|conn| user_by_email(conn, &who.email))?;
    let usable = user.filter(|user| user.disabled_at.is_none());
    let hash = usable
        .as_ref()
        .and_then(|user| user.password_hash.as_deref());
    let fits = password_fits(&who.password, hash.unwrap_or(&NOBODYS_HASH));
    match usable {
        Some(user) if fits && user.password_hash.is_some() => {
            counted.succeeded(office)?;
            Ok(user.id)
        }
        _ => Err(Error::NotSignedIn("the address or the password is wrong")),
    }
}

/// Signs a client of the API in.
pub fn sign_in(office: &Office, who: &Credentials) -> Result<TokenPair> {
    let user_id = known_user(office, who)?;
    let family = uuid::Uuid::new_v4().to_string();
    office
        .db
        .write_shared(|conn| pair(office, conn, user_id, family, 0))
}

/// A new pair for a refresh token. Until the new refresh token was used, the old one brings the same again, so that an
/// answer lost on the way signs nobody out; after that somebody else may hold a copy, and the whole family is revoked.
pub fn refresh(office: &Office, refresh_token: &str) -> Result<TokenPair> {
    const ENDED: Error = Error::NotSignedIn("the session has ended: sign in again");
    const USED: Error = Error::NotSignedIn("the refresh token was used before: sign in again");
    let now = office.now();
    // What is refused is written all the same: that a family was revoked.
    office
        .db
        .write_shared(|conn| -> Result<Result<TokenPair>> {
            let known = session_by_digest(conn, SessionKind::Api, &digest(refresh_token))?;
            let Some(row) = known.filter(|row| row.is_live(now)) else {
                return Ok(Err(ENDED));
            };
            if user_active(conn, row.user_id)?.is_none() {
                session_revoke_family(conn, &row.family, now)?;
                return Ok(Err(ENDED));
            }
            if session_replace(conn, &row.token_digest, now)? {
                let next = row.generation + 1;
                return Ok(Ok(pair(office, conn, row.user_id, row.family, next)?));
            }
            let next = session_of_generation(conn, &row.family, row.generation + 1)?;
            if let Some(next) = next.filter(|next| next.replaced_at.is_none()) {
                return Ok(pair_again(office, &next).ok_or(ENDED));
            }
            session_revoke_family(conn, &row.family, now)?;
            Ok(Err(USED))
        })?
}

/// Ends the session of a refresh token. Nothing happens where it is not known.
pub fn sign_out(office: &Office, refresh_token: &str) -> Result<()> {
    end(office, SessionKind::Api, refresh_token)
}

/// Ends every session of a user, of the API and of the pages: at once, for access tokens name the session they were given
/// in.
pub fn sign_out_everywhere(office: &Office, user_id: i64) -> Result<()> {
    let now = office.now();
    office.db.write_shared(|conn| {
        session_revoke_user(conn, user_id, now)?;
        Ok(())
    })
}

/// The user whom an access token was given to, where it holds and its session was not ended.
pub fn bearer(office: &Office, access_token: &str) -> Result<i64> {
    let holder = office.tokens.holder(access_token, office.clock.now());
    let holder = holder.map_err(Error::NotSignedIn)?;
    let stands = office
        .db
        .read(|conn| session_stands(conn, holder.user_id, &holder.session))?;
    if stands {
        Ok(holder.user_id)
    } else {
        Err(Error::NotSignedIn("the session has ended: sign in again"))
    }
}

/// Signs somebody in on the pages; gives the cookie's secret.
pub fn page_sign_in(office: &Office, who: &Credentials) -> Result<String> {
    let user_id = known_user(office, who)?;
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
    row.filter(|row| row.is_live(office.now()))
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
    let key_id = office.tokens.newest();
    let refresh_token = office.tokens.refresh_token(key_id, &family, generation);
    let refresh_token = refresh_token.ok_or_else(not_signed)?;
    let row = SessionRow {
        family,
        generation,
        made_under: Some(key_id.to_owned()),
        ..session(
            office.now(),
            SessionKind::Api,
            user_id,
            &refresh_token,
            REFRESH_LIFE,
        )
    };
    session_add(conn, &row)?;
    with_access(office, &row, refresh_token).ok_or_else(not_signed)
}

/// The pair of a generation that was given before; none where its key is gone.
fn pair_again(office: &Office, row: &SessionRow) -> Option<TokenPair> {
    let key_id = row.made_under.as_deref()?;
    let refresh_token = office
        .tokens
        .refresh_token(key_id, &row.family, row.generation)?;
    with_access(office, row, refresh_token)
}

fn with_access(office: &Office, row: &SessionRow, refresh_token: String) -> Option<TokenPair> {
    let holder = Holder {
        user_id: row.user_id,
        session: row.family.clone(),
    };
    Some(TokenPair {
        access_token: office.tokens.issue(&holder, office.clock.now())?,
        refresh_token,
        expires_in: ACCESS_LIFE.num_seconds(),
    })
}

fn not_signed() -> Error {
    store::Error::Unreadable("a token could not be signed".into()).into()
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
        made_under: None,
    }
}

fn secret() -> Result<String> {
    random_secret().map_err(|e| store::Error::Unreadable(format!("random bytes: {e}")).into())
}
