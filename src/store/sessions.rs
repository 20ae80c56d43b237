//! Sign-in sessions: families of refresh tokens, and the pages' own. Only digests are kept.

use diesel::prelude::*;

use super::columns::words;
use super::db::Conn;
use super::schema::{sessions, users};
use super::users::UserKind;
use super::{Instant, Result};

words! {
    /// What a session's token is for.
    SessionKind {
        /// A refresh token of the API: used once, replaced by its successor.
        Api = "api",
        /// The cookie of the pages.
        Page = "page",
    }
}

/// A token of a session.
#[derive(Clone, Debug, Queryable, Selectable, Insertable)]
#[diesel(table_name = sessions)]
pub struct SessionRow {
    /// Whose it is.
    pub user_id: i64,
    /// What for.
    pub kind: SessionKind,
    /// The family: every token that descends from one sign-in.
    pub family: String,
    /// How many were before it.
    pub generation: i64,
    /// SHA-256 of the token.
    pub token_digest: Vec<u8>,
    /// When it was given.
    pub created_at: Instant,
    /// When it ends by itself.
    pub expires_at: Instant,
    /// When its successor was given.
    pub replaced_at: Option<Instant>,
    /// When the family was revoked.
    pub revoked_at: Option<Instant>,
    /// The key under which a refresh token was made.
    pub made_under: Option<String>,
}

impl SessionRow {
    /// Whether it has neither ended nor been revoked.
    pub fn is_live(&self, now: Instant) -> bool {
        self.revoked_at.is_none() && self.expires_at > now
    }
}

/// Keeps a token.
pub fn session_add(conn: &mut Conn, row: &SessionRow) -> Result<()> {
    diesel::insert_into(sessions::table)
        .values((
            sessions::user_id.eq(row.user_id),
            sessions::kind.eq(row.kind),
            sessions::family.eq(&row.family),
            sessions::generation.eq(row.generation),
            sessions::token_digest.eq(&row.token_digest),
            sessions::created_at.eq(row.created_at),
            sessions::expires_at.eq(row.expires_at),
            sessions::made_under.eq(&row.made_under),
        ))
        .execute(conn)?;
    Ok(())
}

/// The token with this digest.
pub fn session_by_digest(
    conn: &mut Conn,
    kind: SessionKind,
    digest: &[u8],
) -> Result<Option<SessionRow>> {
    Ok(sessions::table
        .filter(
            sessions::token_digest
                .eq(digest)
                .and(sessions::kind.eq(kind)),
        )
        .select(SessionRow::as_select())
        .first(conn)
        .optional()?)
}

/// The token of a generation of a family.
pub fn session_of_generation(
    conn: &mut Conn,
    family: &str,
    generation: i64,
) -> Result<Option<SessionRow>> {
    Ok(sessions::table
        .filter(
            sessions::family
                .eq(family)
                .and(sessions::generation.eq(generation)),
        )
        .select(SessionRow::as_select())
        .first(conn)
        .optional()?)
}

/// What the user of a family is, who may still act in it: it was not revoked, and the user was not switched off.
pub fn session_stands(conn: &mut Conn, user_id: i64, family: &str) -> Result<Option<UserKind>> {
    Ok(sessions::table
        .inner_join(users::table)
        .filter(
            sessions::family
                .eq(family)
                .and(sessions::user_id.eq(user_id))
                .and(sessions::generation.eq(0))
                .and(sessions::revoked_at.is_null())
                .and(users::disabled_at.is_null()),
        )
        .select(users::kind)
        .first(conn)
        .optional()?)
}

/// A sign-in that still holds.
#[derive(Clone, Debug)]
pub struct SignInRow {
    /// Id.
    pub id: i64,
    /// Of the API, or of the pages.
    pub kind: SessionKind,
    /// The family of its tokens.
    pub family: String,
    /// When it began.
    pub began_at: Instant,
    /// When it was last refreshed.
    pub refreshed_at: Instant,
    /// When it ends by itself, unless it is refreshed.
    pub expires_at: Instant,
}

/// What a user is signed in with, the oldest first.
pub fn sign_ins_of(conn: &mut Conn, user_id: i64, now: Instant) -> Result<Vec<SignInRow>> {
    let rows: Vec<(i64, SessionKind, String, Instant, Instant, Option<Instant>)> = sessions::table
        .filter(
            sessions::user_id
                .eq(user_id)
                .and(sessions::revoked_at.is_null()),
        )
        .order(sessions::id)
        .select((
            sessions::id,
            sessions::kind,
            sessions::family,
            sessions::created_at,
            sessions::expires_at,
            sessions::replaced_at,
        ))
        .load(conn)?;
    let mut all: Vec<SignInRow> = Vec::new();
    for (id, kind, family, created_at, expires_at, replaced_at) in rows {
        if let Some(known) = all.iter_mut().find(|row| row.family == family) {
            known.refreshed_at = created_at;
            known.expires_at = expires_at;
        } else if expires_at > now || replaced_at.is_some() {
            all.push(SignInRow {
                id,
                kind,
                family,
                began_at: created_at,
                refreshed_at: created_at,
                expires_at,
            });
        }
    }
    all.retain(|row| row.expires_at > now);
    Ok(all)
}

/// Marks a token as replaced; false where somebody was faster.
pub fn session_replace(conn: &mut Conn, digest: &[u8], now: Instant) -> Result<bool> {
    let rows = diesel::update(
        sessions::table.filter(
            sessions::token_digest
                .eq(digest)
                .and(sessions::replaced_at.is_null()),
        ),
    )
    .set(sessions::replaced_at.eq(now))
    .execute(conn)?;
    Ok(rows == 1)
}

/// Forgets the families that were over before `old`.
pub fn sessions_sweep(conn: &mut Conn, old: Instant) -> Result<()> {
    let later = diesel::alias!(sessions as later);
    let lives_on = later
        .filter(later.field(sessions::expires_at).ge(old))
        .select(later.field(sessions::family));
    let over = sessions::table.filter(
        sessions::expires_at
            .lt(old)
            .and(sessions::family.ne_all(lives_on)),
    );
    diesel::delete(over).execute(conn)?;
    Ok(())
}

/// Revokes every session of a user, of the API and of the pages.
pub fn session_revoke_user(conn: &mut Conn, user_id: i64, now: Instant) -> Result<usize> {
    Ok(diesel::update(
        sessions::table.filter(
            sessions::user_id
                .eq(user_id)
                .and(sessions::revoked_at.is_null()),
        ),
    )
    .set(sessions::revoked_at.eq(now))
    .execute(conn)?)
}

/// Revokes every token of a family.
pub fn session_revoke_family(conn: &mut Conn, family: &str, now: Instant) -> Result<()> {
    diesel::update(
        sessions::table.filter(
            sessions::family
                .eq(family)
                .and(sessions::revoked_at.is_null()),
        ),
    )
    .set(sessions::revoked_at.eq(now))
    .execute(conn)?;
    Ok(())
}

/// Ends every session of everybody.
pub fn sessions_end_all(conn: &mut Conn, now: Instant) -> Result<()> {
    diesel::update(sessions::table.filter(sessions::revoked_at.is_null()))
        .set(sessions::revoked_at.eq(now))
        .execute(conn)?;
    Ok(())
}
