//! What somebody who signs in sees of their own account.

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::passwords::password_fits;
use super::throttle::Try;
use super::{Error, Office, Result};
use crate::store::second_factors::{recovery_codes_left, second_factor_read};
use crate::store::sessions::{SessionKind, session_revoke_family, sign_ins_of};
use crate::store::users::{UserKind, UserRow, user_active};
use crate::store::{Actor, Conn, Instant};

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

/// Something one is signed in with.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct SignInView {
    /// Id.
    pub id: i64,
    /// Of the API, or of the pages.
    pub kind: SessionKind,
    /// When it began.
    pub began_at: Instant,
    /// When it was last refreshed.
    pub refreshed_at: Instant,
    /// When it ends by itself, unless it is refreshed.
    pub expires_at: Instant,
}

/// What one is signed in with.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct SignInsView {
    /// All of it, the oldest first.
    pub sign_ins: Vec<SignInView>,
}

/// The password, once more.
#[derive(Clone, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct OncePassword {
    /// One's password.
    pub password: String,
}

/// What one is signed in with.
pub fn sign_ins_read(office: &Office, actor: Actor) -> Result<SignInsView> {
    let now = office.now();
    let rows = office
        .db
        .read(|conn| sign_ins_of(conn, actor.user_id, now))?;
    let sign_ins = rows.into_iter().map(|row| SignInView {
        id: row.id,
        kind: row.kind,
        began_at: row.began_at,
        refreshed_at: row.refreshed_at,
        expires_at: row.expires_at,
    });
    Ok(SignInsView {
        sign_ins: sign_ins.collect(),
    })
}

/// Ends one of one's sign-ins, at once.
pub fn sign_in_end(office: &Office, actor: Actor, id: i64, again: &OncePassword) -> Result<()> {
    proved_again(office, actor, "/password", &again.password)?;
    let now = office.now();
    office.db.write_shared(|conn| {
        let all = sign_ins_of(conn, actor.user_id, now)?;
        let one = all.iter().find(|row| row.id == id);
        let one = one.ok_or(Error::NotFound("sign-in"))?;
        Ok(session_revoke_family(conn, &one.family, now)?)
    })
}

/// The person behind an actor who types their password once more, before something of their account is changed: whoever
/// finds an open session must not take the account with it.
pub fn proved_again(office: &Office, actor: Actor, field: &str, password: &str) -> Result<UserRow> {
    let user = office.db.read(|conn| person(conn, actor.user_id))?;
    let counted = Try::count(office, &user.email, None)?;
    if !password_fits(password, user.password_hash.as_deref()) {
        return Err(Error::refused(field, "this is not your password"));
    }
    counted.succeeded(office)?;
    Ok(user)
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
