//! Signing in and out: access tokens, refresh tokens that follow each other, page sessions.

use std::net::IpAddr;

use chrono::TimeDelta;

use super::me::person;
use super::passwords::password_fits;
use super::second_factor;
use super::throttle::Try;
use super::tokens::{ACCESS_LIFE, Holder, digest, random_secret};
use super::{Error, Office, Result};
use crate::store::devices::device_used;
use crate::store::sessions::{
    SessionKind, SessionRow, session_add, session_by_digest, session_of_generation,
    session_replace, session_revoke_family, session_revoke_user, session_stands, sessions_sweep,
};
use crate::store::sign_in_tries::tries_sweep;
use crate::store::single_use::secrets_forget;
use crate::store::users::{UserKind, UserRow, user_active, user_by_email};
use crate::store::{self, Actor, Conn, Instant};

/// How long a refresh token of a person may lie unused.
const REFRESH_LIFE: TimeDelta = TimeDelta::days(30);
/// How long tries are kept: longer than any of them makes anybody wait.
const TRIES_KEPT: TimeDelta = TimeDelta::hours(2);
/// How long a session or a secret is kept that is over.
const OVER_KEPT: TimeDelta = TimeDelta::days(30);
/// How long a person stays signed in at most, however often they refresh.
const LONGEST_LIFE: TimeDelta = TimeDelta::days(90);
/// How long a page session of a person lasts.
const PAGE_LIFE: TimeDelta = TimeDelta::hours(12);
/// How long a crew's tablet may lie in the shed: over the winter. It is let in until its access is taken away.
const DEVICE_LIFE: TimeDelta = TimeDelta::days(200);

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

/// Who tries to sign in.
#[derive(Clone)]
pub struct Credentials {
    /// The address of their account.
    pub email: String,
    /// Their password.
    pub password: String,
    /// The code of their second factor, where they have one.
    pub code: Option<String>,
    /// Where the try comes from, as far as that is known.
    pub from: Option<IpAddr>,
}

/// The user behind an address and a password. The same answer, in the same time, whether the address or the password is
/// wrong; [`Error::TooMany`] after too many tries; [`Error::NeedsCode`] where the password is right and the code of the
/// second factor is not.
fn known_user(office: &Office, who: &Credentials) -> Result<i64> {
    let counted = Try::count(office, &who.email, who.from)?;
    let user = office.db.read(|conn| user_by_email(conn, &who.email))?;
    let usable = user.filter(|user| user.disabled_at.is_none());
    let hash = usable
        .as_ref()
        .and_then(|user| user.password_hash.as_deref());
    let fits = password_fits(&who.password, hash);
    let Some(user) = usable.filter(|_| fits) else {
        tracing::info!(from = ?who.from, "sign-in refused: the address or the password is wrong");
        return Err(Error::NotSignedIn("the address or the password is wrong"));
    };
    second_factor::ask(office, user.id, who.code.as_deref()).inspect_err(|_| {
        tracing::info!(user = user.id, from = ?who.from, "sign-in waits for the second factor");
    })?;
    counted.succeeded(office)?;
    tracing::info!(user = user.id, from = ?who.from, "signed in");
    Ok(user.id)
}

/// Signs a client of the API in.
pub fn sign_in(office: &Office, who: &Credentials) -> Result<TokenPair> {
    let user_id = known_user(office, who)?;
    session_begin(office, user_id)
}

/// A new session of the API for a user who has just proved who they are.
pub fn session_begin(office: &Office, user_id: i64) -> Result<TokenPair> {
    let family = uuid::Uuid::new_v4().to_string();
    office.db.write_shared(|conn| {
        let user = user_active(conn, user_id)?.ok_or(SWITCHED_OFF)?;
        let now = office.now();
        pair(office, conn, &user, family, 0, now)
    })
}

const SWITCHED_OFF: Error = Error::NotSignedIn("the user is switched off");

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
            let Some(user) = user_active(conn, row.user_id)? else {
                session_revoke_family(conn, &row.family, now)?;
                return Ok(Err(ENDED));
            };
            let first = session_of_generation(conn, &row.family, 0)?;
            let began = first.map_or(row.created_at, |first| first.created_at);
            if session_replace(conn, &row.token_digest, now)? {
                if user.kind == UserKind::Device {
                    device_used(conn, user.id, now)?;
                }
                let next = row.generation + 1;
                return Ok(Ok(pair(office, conn, &user, row.family, next, began)?));
            }
            let next = session_of_generation(conn, &row.family, row.generation + 1)?;
            if let Some(next) = next.filter(|next| next.replaced_at.is_none()) {
                return Ok(pair_again(office, &next).ok_or(ENDED));
            }
            session_revoke_family(conn, &row.family, now)?;
            tracing::warn!(
                user = row.user_id,
                "a refresh token was used again: its session is ended"
            );
            Ok(Err(USED))
        })?
}

/// Ends the session of a refresh token. Nothing happens where it is not known.
pub fn sign_out(office: &Office, refresh_token: &str) -> Result<()> {
    end(office, SessionKind::Api, refresh_token)
}

/// Ends every session of a person, of the API and of the pages: at once, for access tokens name the session they were given
/// in. A tablet is not signed in: its access is taken away by the manager.
pub fn sign_out_everywhere(office: &Office, actor: Actor) -> Result<()> {
    let now = office.now();
    office.db.write_shared(|conn| {
        let user = person(conn, actor.user_id)?;
        session_revoke_user(conn, user.id, now)?;
        Ok(())
    })
}

/// The user whom an access token was given to, and what they are, where it holds and its session was not ended.
pub fn bearer(office: &Office, access_token: &str) -> Result<(i64, UserKind)> {
    let holder = office.tokens.holder(access_token, office.clock.now());
    let holder = holder.map_err(Error::NotSignedIn)?;
    let kind = office
        .db
        .read(|conn| session_stands(conn, holder.user_id, &holder.session))?;
    let kind = kind.ok_or(Error::NotSignedIn("the session has ended: sign in again"))?;
    Ok((holder.user_id, kind))
}

/// A session of the pages.
pub struct PageSession {
    /// The cookie's secret.
    pub secret: String,
    /// How long it lasts.
    pub life: TimeDelta,
}

/// Signs somebody in on the pages.
pub fn page_sign_in(office: &Office, who: &Credentials) -> Result<PageSession> {
    let user_id = known_user(office, who)?;
    page_session_begin(office, user_id)
}

/// A new session of the pages for a user who has just proved who they are.
pub fn page_session_begin(office: &Office, user_id: i64) -> Result<PageSession> {
    let secret = random_secret()?;
    let life = office.db.write_shared(|conn| -> Result<TimeDelta> {
        let user = user_active(conn, user_id)?.ok_or(SWITCHED_OFF)?;
        let life = match user.kind {
            UserKind::Device => DEVICE_LIFE,
            UserKind::Person | UserKind::Key => PAGE_LIFE,
        };
        session_add(
            conn,
            &session(office.now(), SessionKind::Page, user_id, &secret, life),
        )?;
        Ok(life)
    })?;
    Ok(PageSession { secret, life })
}

/// Who is signed in on the pages.
#[derive(Clone, Debug)]
pub struct PageUser {
    /// The user's id.
    pub id: i64,
    /// What they are.
    pub kind: UserKind,
    /// The name the pages show.
    pub name: String,
    /// Whether the whole installation is theirs.
    pub is_owner: bool,
}

/// The user of a page session.
pub fn page_user(office: &Office, secret: &str) -> Result<PageUser> {
    let row = live_session(office, SessionKind::Page, secret)?;
    let user = office.db.read(|conn| user_active(conn, row.user_id))?;
    user.map(|user| PageUser {
        id: user.id,
        kind: user.kind,
        name: user.name,
        is_owner: user.is_owner,
    })
    .ok_or(SWITCHED_OFF)
}

/// Forgets what is long over: tries, secrets that were good once, sessions. It is done by itself, now and then.
pub fn forget_old(office: &Office) -> store::Result<()> {
    let now = office.now().utc();
    office.db.write_shared(|conn| {
        tries_sweep(conn, (now - TRIES_KEPT).into())?;
        secrets_forget(conn, (now - OVER_KEPT).into())?;
        sessions_sweep(conn, (now - OVER_KEPT).into())
    })
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
    user: &UserRow,
    family: String,
    generation: i64,
    began: Instant,
) -> Result<TokenPair> {
    let key_id = office.tokens.newest();
    let refresh_token = office.tokens.refresh_token(key_id, &family, generation);
    let refresh_token = refresh_token.ok_or_else(not_signed)?;
    let now = office.now();
    let life = match user.kind {
        UserKind::Device => DEVICE_LIFE,
        UserKind::Person | UserKind::Key => {
            REFRESH_LIFE.min(began.utc() + LONGEST_LIFE - now.utc())
        }
    };
    let row = SessionRow {
        family,
        generation,
        made_under: Some(key_id.to_owned()),
        ..session(now, SessionKind::Api, user.id, &refresh_token, life)
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
