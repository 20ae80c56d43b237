//! Who acts: people who sign in, crews' tablets, keys for pulls.

use diesel::prelude::*;

use super::columns::words;
use super::db::Conn;
use super::schema::users;
use super::{Instant, Result};

words! {
    /// What a user is.
    UserKind {
        /// Somebody who signs in with an address and a password.
        Person = "person",
        /// A crew's tablet.
        Device = "device",
        /// A key for pulls.
        Key = "key",
    }
}

/// A user as sign-in needs it.
#[derive(Clone, Debug, Queryable, Selectable)]
#[diesel(table_name = users)]
pub struct UserRow {
    /// Id.
    pub id: i64,
    /// What they are.
    pub kind: UserKind,
    /// Their address; of a tablet or a key one that nobody is at.
    pub email: String,
    /// What the pages greet with.
    pub name: String,
    /// Argon2id, PHC string; none where the user has not set a password yet.
    pub password_hash: Option<String>,
    /// Whether the whole installation is theirs.
    pub is_owner: bool,
    /// Since when the user may not sign in any more.
    pub disabled_at: Option<Instant>,
    /// Version.
    pub version: i64,
}

/// A user to be added.
#[derive(Clone, Copy, Debug)]
pub struct NewUser<'a> {
    /// What they are.
    pub kind: UserKind,
    /// Their address; of a tablet or a key one that nobody is at.
    pub email: &'a str,
    /// What the pages greet with.
    pub name: &'a str,
    /// Argon2id, PHC string.
    pub password_hash: Option<&'a str>,
    /// Whether the whole installation is theirs.
    pub is_owner: bool,
}

/// The person with this address, however its letters are cased.
pub fn user_by_email(conn: &mut Conn, email: &str) -> Result<Option<UserRow>> {
    Ok(users::table
        .filter(
            users::email
                .eq(email.to_lowercase())
                .and(users::kind.eq(UserKind::Person)),
        )
        .select(UserRow::as_select())
        .first(conn)
        .optional()?)
}

/// The user with this id who may still act.
pub fn user_active(conn: &mut Conn, id: i64) -> Result<Option<UserRow>> {
    Ok(users::table
        .find(id)
        .filter(users::disabled_at.is_null())
        .select(UserRow::as_select())
        .first(conn)
        .optional()?)
}

/// Whether the installation has an owner who may sign in.
pub fn owner_known(conn: &mut Conn) -> Result<bool> {
    let owners = users::table.filter(users::is_owner.and(users::disabled_at.is_null()));
    Ok(diesel::select(diesel::dsl::exists(owners)).get_result(conn)?)
}

/// Adds a user; gives the id.
pub fn user_add(conn: &mut Conn, user: &NewUser<'_>, now: Instant) -> Result<i64> {
    Ok(diesel::insert_into(users::table)
        .values((
            users::kind.eq(user.kind),
            users::email.eq(user.email.to_lowercase()),
            users::name.eq(user.name),
            users::password_hash.eq(user.password_hash),
            users::is_owner.eq(user.is_owner),
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

/// Sets the name a user is greeted with.
pub fn user_set_name(conn: &mut Conn, id: i64, name: &str) -> Result<()> {
    diesel::update(users::table.find(id))
        .set((users::name.eq(name), users::version.eq(users::version + 1)))
        .execute(conn)?;
    Ok(())
}
