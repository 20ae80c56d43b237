//! Who belongs to a site, and as what.

use std::collections::BTreeMap;

use diesel::prelude::*;

use super::db::{Conn, Tx};
use super::schema::{memberships, second_factors, users};
use super::{Error, Instant, Page, Paged, Result, Role, Scope};

/// Somebody who belongs to a site.
#[derive(Clone, Debug)]
pub struct MemberRow {
    /// The user.
    pub user_id: i64,
    /// Their address.
    pub email: String,
    /// Their name.
    pub name: String,
    /// Whether they have set a password yet.
    pub has_password: bool,
    /// Whether they sign in with a second factor.
    pub has_second_factor: bool,
    /// Since when they may not sign in any more.
    pub disabled_at: Option<Instant>,
    /// Their roles at the site.
    pub roles: Vec<Role>,
    /// Changes whenever the roles do, for `If-Match`.
    pub version: i64,
}

#[derive(Queryable)]
struct Joined {
    user_id: i64,
    email: String,
    name: String,
    has_password: bool,
    has_second_factor: bool,
    disabled_at: Option<Instant>,
    membership_id: i64,
    role: Role,
}

/// Who belongs to the site, in order of their ids.
pub fn member_list(conn: &mut Conn, scope: &Scope, page: Page) -> Result<Paged<MemberRow>> {
    let ids: Vec<i64> = memberships::table
        .filter(
            memberships::site_id
                .eq(scope.site_id())
                .and(memberships::user_id.gt(page.after)),
        )
        .select(memberships::user_id)
        .distinct()
        .order(memberships::user_id)
        .limit(page.fetch())
        .load(conn)?;
    let rows = members(conn, scope, &ids)?;
    Ok(page.of(rows, |member| member.user_id))
}

/// Somebody who belongs to the site.
pub fn member_read(conn: &mut Conn, scope: &Scope, user_id: i64) -> Result<MemberRow> {
    members(conn, scope, &[user_id])?
        .pop()
        .ok_or(Error::NotFound)
}

fn members(conn: &mut Conn, scope: &Scope, user_ids: &[i64]) -> Result<Vec<MemberRow>> {
    let rows: Vec<Joined> = memberships::table
        .inner_join(users::table.left_join(second_factors::table))
        .filter(
            memberships::site_id
                .eq(scope.site_id())
                .and(memberships::user_id.eq_any(user_ids)),
        )
        .order((memberships::user_id, memberships::id))
        .select((
            users::id,
            users::email,
            users::name,
            users::password_hash.is_not_null(),
            second_factors::confirmed_at.nullable().is_not_null(),
            users::disabled_at,
            memberships::id,
            memberships::role,
        ))
        .load(conn)?;
    let mut all: BTreeMap<i64, MemberRow> = BTreeMap::new();
    for row in rows {
        let member = all.entry(row.user_id).or_insert_with(|| MemberRow {
            user_id: row.user_id,
            email: row.email,
            name: row.name,
            has_password: row.has_password,
            has_second_factor: row.has_second_factor,
            disabled_at: row.disabled_at,
            roles: Vec::new(),
            version: 0,
        });
        member.roles.push(row.role);
        member.version = member.version.max(row.membership_id);
    }
    Ok(all.into_values().collect())
}

/// Sets the roles of a user at the site, in place of those they had. Every row is written anew, so that the version of the
/// membership changes.
pub fn member_set(tx: &mut Tx<'_>, scope: &Scope, user_id: i64, roles: &[Role]) -> Result<()> {
    member_remove(tx, scope, user_id)?;
    let now = tx.now();
    for role in roles {
        diesel::insert_into(memberships::table)
            .values((
                memberships::site_id.eq(scope.site_id()),
                memberships::user_id.eq(user_id),
                memberships::role.eq(role),
                memberships::created_at.eq(now),
            ))
            .execute(tx.conn())?;
    }
    Ok(())
}

/// Takes every role of a user at the site away.
pub fn member_remove(tx: &mut Tx<'_>, scope: &Scope, user_id: i64) -> Result<()> {
    let theirs = memberships::table.filter(
        memberships::site_id
            .eq(scope.site_id())
            .and(memberships::user_id.eq(user_id)),
    );
    diesel::delete(theirs).execute(tx.conn())?;
    Ok(())
}

/// Whether a user belongs to a site other than this one.
pub fn member_elsewhere(conn: &mut Conn, scope: &Scope, user_id: i64) -> Result<bool> {
    let theirs = memberships::table.filter(
        memberships::user_id
            .eq(user_id)
            .and(memberships::site_id.ne(scope.site_id())),
    );
    Ok(diesel::select(diesel::dsl::exists(theirs)).get_result(conn)?)
}

/// Whether somebody who may still sign in manages the site.
pub fn has_manager(conn: &mut Conn, scope: &Scope) -> Result<bool> {
    let managers = memberships::table.inner_join(users::table).filter(
        memberships::site_id
            .eq(scope.site_id())
            .and(memberships::role.eq(Role::Manager))
            .and(users::disabled_at.is_null()),
    );
    Ok(diesel::select(diesel::dsl::exists(managers)).get_result(conn)?)
}

/// The users who manage the site and may sign in.
pub fn managers(conn: &mut Conn, scope: &Scope) -> Result<Vec<i64>> {
    Ok(memberships::table
        .inner_join(users::table)
        .filter(
            memberships::site_id
                .eq(scope.site_id())
                .and(memberships::role.eq(Role::Manager))
                .and(users::disabled_at.is_null()),
        )
        .order(users::id)
        .select(users::id)
        .load(conn)?)
}
