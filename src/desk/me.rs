//! What somebody who signs in sees of their own account.

use serde::Serialize;
use utoipa::ToSchema;

use super::{Error, Office, Result};
use crate::store::second_factors::{recovery_codes_left, second_factor_read};
use crate::store::users::{UserKind, UserRow, user_active};
use crate::store::{Actor, Conn};

/// One's own account.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct MeView {
    /// Id.
    pub id: i64,
    /// The address one signs in with.
    pub email: String,
    /// What the pages greet with.
    pub name: String,
    /// Whether the whole installation is theirs.
    pub is_owner: bool,
    /// Whether signing in asks for a second factor.
    pub has_second_factor: bool,
    /// How many codes for the day the phone is lost are left.
    pub recovery_codes_left: i64,
}

/// One's own account.
pub fn me_read(office: &Office, actor: Actor) -> Result<MeView> {
    office.db.read(|conn| {
        let user = person(conn, actor.user_id)?;
        let factor = second_factor_read(conn, user.id)?;
        Ok(MeView {
            id: user.id,
            email: user.email,
            name: user.name,
            is_owner: user.is_owner,
            has_second_factor: factor.is_some_and(|factor| factor.confirmed_at.is_some()),
            recovery_codes_left: recovery_codes_left(conn, user.id)?,
        })
    })
}

/// The person behind a user: neither a tablet nor a key has an account of its own.
pub fn person(conn: &mut Conn, user_id: i64) -> Result<UserRow> {
    let user = user_active(conn, user_id)?.ok_or(Error::NotSignedIn("the user is switched off"))?;
    if user.kind == UserKind::Person {
        Ok(user)
    } else {
        Err(Error::NotAllowed("a person who signed in".into()))
    }
}
