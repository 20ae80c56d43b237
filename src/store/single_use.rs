//! Secrets that are good once: mailed, shown on the console, or read off a screen. Only digests are kept.

use diesel::prelude::*;

use super::columns::words;
use super::db::Conn;
use super::schema::single_use_secrets as table;
use super::{Instant, Result};

words! {
    /// What a single-use secret is for.
    SecretKind {
        /// Sets the first password of somebody who was invited.
        Invitation = "invitation",
        /// Sets a new password in place of a forgotten one.
        NewPassword = "new_password",
        /// Makes the first owner of the installation.
        FirstOwner = "first_owner",
        /// Pairs a crew's tablet.
        DeviceCode = "device_code",
    }
}

/// A single-use secret.
#[derive(Clone, Debug, Queryable, Selectable)]
#[diesel(table_name = table)]
pub struct SecretRow {
    /// Id.
    pub id: i64,
    /// Whose it is; nobody's yet, of a first owner's.
    pub user_id: Option<i64>,
    /// What for.
    pub kind: SecretKind,
    /// When it ends by itself.
    pub expires_at: Instant,
    /// When it was used, or made void.
    pub used_at: Option<Instant>,
}

/// A secret to be kept.
#[derive(Clone, Debug)]
pub struct NewSecret<'a> {
    /// Whose it is.
    pub user_id: Option<i64>,
    /// What for.
    pub kind: SecretKind,
    /// SHA-256 of it.
    pub digest: &'a [u8],
    /// When it ends by itself.
    pub expires_at: Instant,
}

/// Keeps a secret; whatever the same user had of the kind is void. Gives its id.
pub fn secret_add(conn: &mut Conn, new: &NewSecret<'_>, now: Instant) -> Result<i64> {
    if let Some(user_id) = new.user_id {
        secrets_void(conn, user_id, new.kind, now)?;
    }
    Ok(diesel::insert_into(table::table)
        .values((
            table::user_id.eq(new.user_id),
            table::kind.eq(new.kind),
            table::digest.eq(new.digest),
            table::created_at.eq(now),
            table::expires_at.eq(new.expires_at),
        ))
        .returning(table::id)
        .get_result(conn)?)
}

/// The secret with this digest, used or not.
pub fn secret_by_digest(
    conn: &mut Conn,
    kinds: &[SecretKind],
    digest: &[u8],
) -> Result<Option<SecretRow>> {
    Ok(table::table
        .filter(table::digest.eq(digest).and(table::kind.eq_any(kinds)))
        .select(SecretRow::as_select())
        .first(conn)
        .optional()?)
}

/// Uses a secret; false where it was used, or is over.
pub fn secret_use(conn: &mut Conn, id: i64, now: Instant) -> Result<bool> {
    let usable = table::table.filter(
        table::id
            .eq(id)
            .and(table::used_at.is_null())
            .and(table::expires_at.gt(now)),
    );
    let rows = diesel::update(usable)
        .set(table::used_at.eq(now))
        .execute(conn)?;
    Ok(rows == 1)
}

/// Makes void what a user has of a kind.
pub fn secrets_void(conn: &mut Conn, user_id: i64, kind: SecretKind, now: Instant) -> Result<()> {
    let open = table::table.filter(
        table::user_id
            .eq(user_id)
            .and(table::kind.eq(kind))
            .and(table::used_at.is_null()),
    );
    diesel::update(open)
        .set(table::used_at.eq(now))
        .execute(conn)?;
    Ok(())
}

/// Forgets what was over before `old`.
pub fn secrets_forget(conn: &mut Conn, old: Instant) -> Result<()> {
    diesel::delete(table::table.filter(table::expires_at.lt(old))).execute(conn)?;
    Ok(())
}
