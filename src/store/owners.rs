//! The proof that somebody owns the installation.

use diesel::prelude::*;

use super::Result;
use super::db::Conn;
use super::schema::users;

/// Proof that a user owns the installation. Only this file can make one, from the stored user.
#[derive(Clone, Copy, Debug)]
pub struct OwnerProof(());

impl OwnerProof {
    /// Proves it; none where the user is no owner or is switched off.
    pub fn prove(conn: &mut Conn, user_id: i64) -> Result<Option<Self>> {
        let is_owner: Option<bool> = users::table
            .find(user_id)
            .filter(users::disabled_at.is_null())
            .select(users::is_owner)
            .first(conn)
            .optional()?;
        Ok((is_owner == Some(true)).then_some(Self(())))
    }
}
