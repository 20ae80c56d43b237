//! Who signs in.

use diesel::prelude::*;

use super::db::Conn;
use super::schema::users;
use super::{Instant, Result};

/// A user as sign-in needs it.
#[derive(Clone, Debug, Queryable, Selectable)]
#[diesel(table_name = users)]
pub struct UserRow {
    /// Id.
    pub id: i64,
    /// What the pages greet with.
    pub name: String,
    /// Argon2id, PHC string; none where the user has not set a password yet.
    pub password_hash: Option<String>,
    /// Since when the user may not sign in any more.
    pub disabled_at: Option<Instant>,
}

/// The user with this address, however its letters are cased.
pub fn user_by_email(conn: &mut Conn, email: &str) -> Result<Option<UserRow>> {
    Ok(users::table
        .filter(users::email.eq(email.to_lowercase()))
        .select((
            users::id,
            users::name,
            users::password_hash,
            users::disabled_at,
        ))
        .first(conn)
        .optional()?)
}

/// The user with this id who may still sign in.
pub fn user_active(conn: &mut Conn, id: i64) -> Result<Option<UserRow>> {
    Ok(users::table
        .find(id)
        .filter(users::disabled_at.is_null())
        .select((
            users::id,
            users::name,
            users::password_hash,
            users::disabled_at,
        ))
        .first(conn)
        .optional()?)
}

/// Adds a user; gives the id.
pub fn user_add(
    conn: &mut Conn,
    email: &str,
    name: &str,
    password_hash: Option<&str>,
    is_owner: bool,
    now: Instant,
) -> Result<i64> {
    Ok(diesel::insert_into(users::table)
        .values((
            users::email.eq(email.to_lowercase()),
            users::name.eq(name),
            users::password_hash.eq(password_hash),
            users::is_owner.eq(is_owner),
            users::created_at.eq(now),
            users::version.eq(1),
        ))
        .returning(users::id)
        .get_result(conn)?)
}

/// Sets a user's password.
pub fn user_set_password(conn: &mut Conn, id: i64, password_hash: &str) -> Result<()> {
    diesel::update(users::table.find(id))
        .set((
            users::password_hash.eq(password_hash),
            users::version.eq(users::version + 1),
        ))
        .execute(conn)?;
    Ok(())
}
