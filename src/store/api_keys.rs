//! Keys for pulls: read-only, of some sites, hashed, with an end.

use diesel::prelude::*;
use serde::{Deserialize, Serialize};

use super::db::Conn;
use super::schema::{api_key_sites, api_keys, users};
use super::{Error, Instant, Page, Paged, Result, Scope};

/// A key for pulls, without the key itself.
#[derive(Clone, Debug, Queryable, Selectable, Serialize, Deserialize, utoipa::ToSchema)]
#[diesel(table_name = api_keys)]
#[schema(as = ApiKey)]
pub struct ApiKeyRow {
    /// Id.
    pub id: i64,
    /// What it is for.
    pub name: String,
    /// How the key begins, to know it again.
    pub hint: String,
    /// Whether it sees what courts cost, with the lines behind it.
    pub sees_cost: bool,
    /// Whether it sees the week reports.
    pub sees_reports: bool,
    /// The user who made it: it reaches no further than they do.
    pub made_by: i64,
    /// When it was made.
    pub created_at: Instant,
    /// When it ends by itself.
    pub expires_at: Instant,
    /// When it was last used, to some minutes.
    pub last_used_at: Option<Instant>,
    /// The user as which it acts.
    #[serde(skip)]
    pub user_id: i64,
}

/// A key to be kept.
#[derive(Clone, Debug)]
pub struct NewKey<'a> {
    /// The user as which it acts.
    pub user_id: i64,
    /// What it is for.
    pub name: &'a str,
    /// SHA-256 of it.
    pub digest: &'a [u8],
    /// How it begins.
    pub hint: &'a str,
    /// Whether it sees what courts cost.
    pub sees_cost: bool,
    /// Whether it sees the week reports.
    pub sees_reports: bool,
    /// The user who makes it.
    pub made_by: i64,
    /// When it ends.
    pub expires_at: Instant,
}

/// Keeps a key that reaches no site yet; gives its row.
pub fn key_add(conn: &mut Conn, new: &NewKey<'_>, now: Instant) -> Result<ApiKeyRow> {
    let id: i64 = diesel::insert_into(api_keys::table)
        .values((
            api_keys::user_id.eq(new.user_id),
            api_keys::name.eq(new.name),
            api_keys::digest.eq(new.digest),
            api_keys::hint.eq(new.hint),
            api_keys::sees_cost.eq(new.sees_cost),
            api_keys::sees_reports.eq(new.sees_reports),
            api_keys::made_by.eq(new.made_by),
            api_keys::created_at.eq(now),
            api_keys::expires_at.eq(new.expires_at),
        ))
        .returning(api_keys::id)
        .get_result(conn)?;
    key_read(conn, id)?.ok_or(Error::NotFound)
}

/// Lets a key reach a site; false where it does already.
pub fn key_reach(conn: &mut Conn, scope: &Scope, id: i64) -> Result<bool> {
    let reach = api_key_sites::table.filter(
        api_key_sites::site_id
            .eq(scope.site_id())
            .and(api_key_sites::api_key_id.eq(id)),
    );
    if diesel::select(diesel::dsl::exists(reach)).get_result(conn)? {
        return Ok(false);
    }
    diesel::insert_into(api_key_sites::table)
        .values((
            api_key_sites::site_id.eq(scope.site_id()),
            api_key_sites::api_key_id.eq(id),
        ))
        .execute(conn)?;
    Ok(true)
}

/// The key with this id, whatever it reaches.
pub fn key_read(conn: &mut Conn, id: i64) -> Result<Option<ApiKeyRow>> {
    Ok(api_keys::table
        .find(id)
        .select(ApiKeyRow::as_select())
        .first(conn)
        .optional()?)
}

/// Takes a site away from a key; [`Error::NotFound`] where it does not reach it.
pub fn key_withdraw(conn: &mut Conn, scope: &Scope, id: i64) -> Result<()> {
    let reach = api_key_sites::table.filter(
        api_key_sites::site_id
            .eq(scope.site_id())
            .and(api_key_sites::api_key_id.eq(id)),
    );
    let rows = diesel::delete(reach).execute(conn)?;
    if rows == 1 {
        Ok(())
    } else {
        Err(Error::NotFound)
    }
}

/// The keys that reach the site, with the ids of the sites each reaches kept to itself.
pub fn key_list(conn: &mut Conn, scope: &Scope, page: Page) -> Result<Paged<ApiKeyRow>> {
    let rows = api_keys::table
        .inner_join(api_key_sites::table)
        .filter(
            api_key_sites::site_id
                .eq(scope.site_id())
                .and(api_keys::id.gt(page.after)),
        )
        .order(api_keys::id)
        .limit(page.fetch())
        .select(ApiKeyRow::as_select())
        .load(conn)?;
    Ok(page.of(rows, |key| key.id))
}

/// The key with this digest, where it holds at `now`.
pub fn key_by_digest(conn: &mut Conn, digest: &[u8], now: Instant) -> Result<Option<ApiKeyRow>> {
    Ok(api_keys::table
        .inner_join(users::table)
        .filter(
            api_keys::digest
                .eq(digest)
                .and(api_keys::expires_at.gt(now))
                .and(users::disabled_at.is_null()),
        )
        .select(ApiKeyRow::as_select())
        .first(conn)
        .optional()?)
}

/// Notes when a key was last used.
pub fn key_used(conn: &mut Conn, id: i64, now: Instant) -> Result<()> {
    diesel::update(api_keys::table.find(id))
        .set(api_keys::last_used_at.eq(now))
        .execute(conn)?;
    Ok(())
}
