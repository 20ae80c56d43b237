//! Keys for pulls: finance's programs read what courts cost without anybody's password.

use chrono::TimeDelta;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::access::{EditKeys, Permit, SeeKeys};
use super::error::Named;
use super::line::plain_name;
use super::me::person;
use super::once::Once;
use super::tokens::{digest, random_secret};
use super::{Error, Office, Result};
use crate::store::api_keys::{
    ApiKeyRow, NewKey, key_add as row_add, key_by_digest, key_list as rows, key_reach, key_read,
    key_used, key_withdraw,
};
use crate::store::audit::{Deed, audit_append};
use crate::store::users::{NewUser, UserKind, user_add};
use crate::store::{Page, Paged, Tx};

/// What a key begins with: whoever looks through texts for keys knows one by it.
pub const PREFIX: &str = "rhk_";
/// How much of a key is kept, to know it again.
const HINT_CHARS: usize = 10;
/// The longest a key holds, days.
const LONGEST_DAYS: i64 = 366;
/// When a key was last used is kept to so many minutes: a pull must not write each time.
const USED_TO: TimeDelta = TimeDelta::minutes(5);

/// What a key may see.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum KeySees {
    /// What courts cost, and the lines it is made of.
    Cost,
    /// The week reports.
    Reports,
}

/// A key that is to be made.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct NewApiKey {
    /// What it is for, 1 to 120 characters.
    #[schema(example = "Monthly pull of the ledger")]
    pub name: String,
    /// What it may see, at least one thing.
    pub sees: Vec<KeySees>,
    /// For how many days it holds, 1 to 366.
    pub days: i64,
}

/// A key that was made.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
pub struct MadeKey {
    /// What is kept of it.
    #[serde(flatten)]
    pub row: ApiKeyRow,
    /// The key itself, for the `Authorization: Bearer` header. Null where the request came before: it is shown once.
    pub key: Option<String>,
}

/// The keys that reach the site.
pub fn key_list(office: &Office, permit: &Permit<SeeKeys>, page: Page) -> Result<Paged<ApiKeyRow>> {
    Ok(office.db.read(|conn| rows(conn, permit, page))?)
}

/// Makes a key that reaches the site. It is read-only, and reaches no further than who made it.
pub fn key_make(
    office: &Office,
    permit: &Permit<EditKeys>,
    new: &NewApiKey,
    client_key: String,
) -> Result<MadeKey> {
    let once = Once::new(client_key, "make key".into(), new)?;
    let name = new.name.trim();
    plain_name("/name", name)?;
    if new.sees.is_empty() {
        return Err(Error::refused(
            "/sees",
            "give at least one of cost, reports",
        ));
    }
    if !(1..=LONGEST_DAYS).contains(&new.days) {
        return Err(Error::refused("/days", "let it hold for 1 to 366 days"));
    }
    let made_by = permit
        .user_id()
        .ok_or(Error::NotSignedIn("a key is made by somebody"))?;
    let key = format!("{PREFIX}{}", random_secret()?);
    let mut shown = None;
    let row = office.db.write(permit, |tx| {
        once.run(tx, permit, |tx| {
            let now = tx.now();
            person(tx.conn(), made_by)?;
            // Nobody is at an address that ends so (RFC 2606 section 2).
            let email = format!("key-{}@keys.invalid", uuid::Uuid::new_v4());
            let user = NewUser {
                kind: UserKind::Key,
                email: &email,
                name,
                password_hash: None,
                is_owner: false,
            };
            let user_id = user_add(tx.conn(), &user, now)?;
            let new = NewKey {
                user_id,
                name,
                digest: &digest(&key),
                hint: &key[..HINT_CHARS],
                sees_cost: new.sees.contains(&KeySees::Cost),
                sees_reports: new.sees.contains(&KeySees::Reports),
                made_by,
                expires_at: (now.utc() + TimeDelta::days(new.days)).into(),
            };
            let row = row_add(tx.conn(), &new, now)?;
            key_reach(tx.conn(), permit, row.id)?;
            audit(tx, permit, "made", row.id)?;
            shown = Some(key.clone());
            Ok(row)
        })
    })?;
    Ok(MadeKey { row, key: shown })
}

/// Lets a key that the actor made reach this site too. Nothing happens where it does.
pub fn key_extend(office: &Office, permit: &Permit<EditKeys>, id: i64) -> Result<ApiKeyRow> {
    office.db.write(permit, |tx| {
        // Another's key is not there: ids tell nothing.
        let row = key_read(tx.conn(), id)?
            .filter(|key| Some(key.made_by) == permit.user_id())
            .ok_or(Error::NotFound("key"))?;
        if key_reach(tx.conn(), permit, id)? {
            audit(tx, permit, "extended", id)?;
        }
        Ok(row)
    })
}

/// Takes the site away from a key, at once. One that reaches no site any more is good for nothing.
pub fn key_remove(office: &Office, permit: &Permit<EditKeys>, id: i64) -> Result<()> {
    office.db.write(permit, |tx| {
        key_withdraw(tx.conn(), permit, id).named("key")?;
        audit(tx, permit, "withdrawn", id)
    })
}

/// The user as which a key acts, where it holds.
pub fn key_bearer(office: &Office, key: &str) -> Result<i64> {
    let now = office.now();
    let row = office
        .db
        .read(|conn| key_by_digest(conn, &digest(key), now))?;
    let row = row.ok_or(Error::NotSignedIn(
        "the key is not known, was taken away, or has ended",
    ))?;
    let noted = row.last_used_at;
    if noted.is_none_or(|noted| noted.utc() + USED_TO <= now.utc()) {
        office.db.write_shared(|conn| key_used(conn, row.id, now))?;
    }
    Ok(row.user_id)
}

fn audit(tx: &mut Tx<'_>, permit: &Permit<EditKeys>, verb: &str, id: i64) -> Result<()> {
    let deed = Deed::plain(verb, "api_key", id);
    Ok(audit_append(tx, permit, &deed)?)
}
