//! Sites: the properties.

use chrono_tz::Tz;
use diesel::prelude::*;
use serde::Serialize;
use trade::units::UnitSystem;

use super::columns::words;
use super::db::{Conn, Tx};
use super::schema::{devices, memberships, site_head, sites};
use super::users::UserRow;
use super::{Error, Instant, Page, Paged, Result, Scope};

words! {
    /// How a site shows quantities.
    Units {
        /// Feet, pounds, gallons, degrees Fahrenheit.
        UsCustomary = "us_customary",
        /// Metres, kilograms, litres, degrees Celsius.
        Metric = "metric",
    }
}

impl From<Units> for UnitSystem {
    fn from(units: Units) -> Self {
        match units {
            Units::UsCustomary => Self::UsCustomary,
            Units::Metric => Self::Metric,
        }
    }
}

/// A site.
#[derive(Clone, Debug, Queryable, Selectable, Serialize, utoipa::ToSchema)]
#[diesel(table_name = sites)]
#[schema(as = Site)]
pub struct SiteRow {
    /// Id.
    pub id: i64,
    /// Name.
    pub name: String,
    /// IANA time zone: days, weeks and windows are the site's own.
    #[schema(example = "America/New_York")]
    pub zone: String,
    /// How quantities are shown.
    pub units: Units,
    /// ISO 4217 code of its money; amounts are in hundredths of it.
    #[schema(example = "USD")]
    pub currency: String,
    /// Pace on foot between courts, mm/s.
    pub walk_mm_per_s: i64,
    /// Where the shed stands on the site's plan, mm east.
    pub shed_x_mm: i64,
    /// Where the shed stands on the site's plan, mm north.
    pub shed_y_mm: i64,
    /// First day of the pay week: 1 Monday to 7 Sunday.
    pub pay_week_starts_on: i64,
    /// Price of water, cents a cubic metre.
    pub water_cents_per_m3: i64,
    /// Whether managers and finance must sign in with a second factor.
    pub second_factor_required: bool,
    /// Version, for `If-Match`.
    pub version: i64,
}

impl SiteRow {
    /// The zone; [`Error::Unreadable`] where the list of zones has none of that name.
    pub fn zone(&self) -> Result<Tz> {
        let unknown = |_| Error::Unreadable(format!("the site's zone: {}", self.zone));
        self.zone.parse().map_err(unknown)
    }
}

/// The sites a person belongs to, in order of id.
pub fn site_list(conn: &mut Conn, user: &UserRow, page: Page) -> Result<Paged<SiteRow>> {
    let mut query = sites::table.filter(sites::id.gt(page.after)).into_boxed();
    if !user.is_owner {
        let mine = memberships::table
            .filter(memberships::user_id.eq(user.id))
            .select(memberships::site_id);
        query = query.filter(sites::id.eq_any(mine));
    }
    let rows = query
        .order(sites::id)
        .limit(page.fetch())
        .select(SiteRow::as_select())
        .load(conn)?;
    Ok(page.of(rows, |site| site.id))
}

/// The site of a tablet, where it was not taken off.
pub fn site_list_of_device(conn: &mut Conn, user_id: i64, page: Page) -> Result<Paged<SiteRow>> {
    let its_own = devices::table
        .filter(
            devices::user_id
                .eq(user_id)
                .and(devices::revoked_at.is_null()),
        )
        .select(devices::site_id);
    let rows = sites::table
        .filter(sites::id.gt(page.after).and(sites::id.eq_any(its_own)))
        .order(sites::id)
        .limit(page.fetch())
        .select(SiteRow::as_select())
        .load(conn)?;
    Ok(page.of(rows, |site| site.id))
}

/// The scope's site.
pub fn site_read(conn: &mut Conn, scope: &Scope) -> Result<SiteRow> {
    Ok(sites::table
        .find(scope.site_id())
        .select(SiteRow::as_select())
        .first(conn)?)
}

/// A site's name, for the service's own mail.
pub fn site_name(conn: &mut Conn, site_id: i64) -> Result<String> {
    Ok(sites::table.find(site_id).select(sites::name).first(conn)?)
}

/// Every site's id, for the service's own work.
pub fn site_ids(conn: &mut Conn) -> Result<Vec<i64>> {
    Ok(sites::table.order(sites::id).select(sites::id).load(conn)?)
}

/// Changes name, units and whether a second factor is asked for where `version` is still the site's; else [`Error::Stale`].
pub fn site_edit(
    tx: &mut Tx<'_>,
    scope: &Scope,
    version: i64,
    name: &str,
    units: Units,
    second_factor_required: Option<bool>,
) -> Result<SiteRow> {
    let rows = diesel::update(
        sites::table.filter(
            sites::id
                .eq(scope.site_id())
                .and(sites::version.eq(version)),
        ),
    )
    .set((
        sites::name.eq(name),
        sites::units.eq(units),
        second_factor_required.map(|required| sites::second_factor_required.eq(required)),
        sites::version.eq(sites::version + 1),
    ))
    .execute(tx.conn())?;
    if rows == 0 {
        return Err(Error::Stale);
    }
    site_read(tx.conn(), scope)
}

/// Founds a site: its row and its head. Gives the id.
pub fn site_found(conn: &mut Conn, site: &SiteRow, now: Instant) -> Result<i64> {
    let id = diesel::insert_into(sites::table)
        .values((
            sites::name.eq(&site.name),
            sites::zone.eq(&site.zone),
            sites::units.eq(site.units),
            sites::currency.eq(&site.currency),
            sites::walk_mm_per_s.eq(site.walk_mm_per_s),
            sites::shed_x_mm.eq(site.shed_x_mm),
            sites::shed_y_mm.eq(site.shed_y_mm),
            sites::pay_week_starts_on.eq(site.pay_week_starts_on),
            sites::water_cents_per_m3.eq(site.water_cents_per_m3),
            sites::created_at.eq(now),
            sites::version.eq(1),
        ))
        .returning(sites::id)
        .get_result(conn)?;
    diesel::insert_into(site_head::table)
        .values((
            site_head::site_id.eq(id),
            site_head::seq.eq(0),
            site_head::hash.eq(Vec::<u8>::new()),
        ))
        .execute(conn)?;
    Ok(id)
}

/// Says since when the site is kept here.
pub fn site_founded_at(tx: &mut Tx<'_>, scope: &Scope, at: Instant) -> Result<()> {
    diesel::update(sites::table.find(scope.site_id()))
        .set(sites::created_at.eq(at))
        .execute(tx.conn())?;
    Ok(())
}
