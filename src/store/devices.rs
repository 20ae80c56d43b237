//! Crews' tablets.

use diesel::prelude::*;
use serde::{Deserialize, Serialize};

use super::db::{Conn, Tx};
use super::schema::devices;
use super::{Error, Instant, Page, Paged, Result, Scope};

/// A crew's tablet.
#[derive(Clone, Debug, Queryable, Selectable, Serialize, Deserialize, utoipa::ToSchema)]
#[diesel(table_name = devices)]
#[schema(as = Device)]
pub struct DeviceRow {
    /// Id.
    pub id: i64,
    /// What the site calls it.
    pub name: String,
    /// The user who gave out its code.
    pub made_by: i64,
    /// When its code was given out.
    pub created_at: Instant,
    /// When it was paired; null while its code waits.
    pub paired_at: Option<Instant>,
    /// When it last signed in or refreshed its session.
    pub last_used_at: Option<Instant>,
    /// When its access was taken away.
    pub revoked_at: Option<Instant>,
    /// The user as which it acts.
    #[serde(skip)]
    pub user_id: i64,
}

/// The site's tablets, the newest last.
pub fn device_list(conn: &mut Conn, scope: &Scope, page: Page) -> Result<Paged<DeviceRow>> {
    let rows = devices::table
        .filter(
            devices::site_id
                .eq(scope.site_id())
                .and(devices::id.gt(page.after)),
        )
        .order(devices::id)
        .limit(page.fetch())
        .select(DeviceRow::as_select())
        .load(conn)?;
    Ok(page.of(rows, |device| device.id))
}

/// One tablet of the site.
pub fn device_read(conn: &mut Conn, scope: &Scope, id: i64) -> Result<DeviceRow> {
    Ok(devices::table
        .filter(devices::site_id.eq(scope.site_id()).and(devices::id.eq(id)))
        .select(DeviceRow::as_select())
        .first(conn)?)
}

/// Adds a tablet that is to be paired; gives its row.
pub fn device_add(
    tx: &mut Tx<'_>,
    scope: &Scope,
    user_id: i64,
    name: &str,
    made_by: i64,
) -> Result<DeviceRow> {
    let now = tx.now();
    let id: i64 = diesel::insert_into(devices::table)
        .values((
            devices::site_id.eq(scope.site_id()),
            devices::user_id.eq(user_id),
            devices::name.eq(name),
            devices::made_by.eq(made_by),
            devices::created_at.eq(now),
        ))
        .returning(devices::id)
        .get_result(tx.conn())?;
    device_read(tx.conn(), scope, id)
}

/// Takes a tablet's access away; [`Error::Stale`] where it was taken before.
pub fn device_revoke(tx: &mut Tx<'_>, scope: &Scope, id: i64) -> Result<()> {
    let now = tx.now();
    let live = devices::table.filter(
        devices::site_id
            .eq(scope.site_id())
            .and(devices::id.eq(id))
            .and(devices::revoked_at.is_null()),
    );
    let rows = diesel::update(live)
        .set(devices::revoked_at.eq(now))
        .execute(tx.conn())?;
    if rows == 1 { Ok(()) } else { Err(Error::Stale) }
}

/// The site of a tablet that acts as this user, with its id, where it was not revoked.
pub fn device_site(conn: &mut Conn, user_id: i64) -> Result<Option<(i64, i64)>> {
    Ok(devices::table
        .filter(
            devices::user_id
                .eq(user_id)
                .and(devices::revoked_at.is_null()),
        )
        .select((devices::site_id, devices::id))
        .first(conn)
        .optional()?)
}

/// Notes that a tablet was paired.
pub fn device_paired(tx: &mut Tx<'_>, scope: &Scope, id: i64) -> Result<()> {
    let now = tx.now();
    let waiting = devices::table.filter(
        devices::site_id
            .eq(scope.site_id())
            .and(devices::id.eq(id))
            .and(devices::revoked_at.is_null()),
    );
    let rows = diesel::update(waiting)
        .set((devices::paired_at.eq(now), devices::last_used_at.eq(now)))
        .execute(tx.conn())?;
    if rows == 1 {
        Ok(())
    } else {
        Err(Error::NotFound)
    }
}

/// Notes that a tablet was at work.
pub fn device_used(conn: &mut Conn, user_id: i64, now: Instant) -> Result<()> {
    diesel::update(devices::table.filter(devices::user_id.eq(user_id)))
        .set(devices::last_used_at.eq(now))
        .execute(conn)?;
    Ok(())
}
