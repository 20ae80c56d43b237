//! Hours entries, which are appended and never changed, and what an hour costs.

use chrono::NaiveDate;
use diesel::prelude::*;
use serde::Serialize;

use super::columns::words;
use super::db::{Conn, Tx};
use super::dialect::each_backend;
use super::schema::{hours_entries, pay_rates};
use super::{Instant, Page, Paged, Result, Scope};

words! {
    /// What a person's time went into.
    HoursKind {
        /// A work order.
        Order = "order",
        /// The way between courts.
        Walk = "walk",
        /// Waiting for rain to pass.
        RainWait = "rain_wait",
        /// Training.
        Training = "training",
        /// Work in the shed.
        Shed = "shed",
        /// Something else.
        Other = "other",
    }
}

/// A stretch of a person's time.
#[derive(Clone, Debug, Queryable, Selectable, Serialize, utoipa::ToSchema)]
#[diesel(table_name = hours_entries)]
#[schema(as = HoursEntry)]
pub struct HoursRow {
    /// Id.
    pub id: i64,
    /// Its number in the site's sequence.
    pub seq: i64,
    /// Who.
    pub person_id: i64,
    /// On which order; null for other work.
    pub order_id: Option<i64>,
    /// What the time went into.
    pub kind: HoursKind,
    /// From when.
    pub starts_at: Instant,
    /// Until when.
    pub ends_at: Instant,
    /// The site's own date it is paid for.
    pub work_date: NaiveDate,
    /// When it was booked.
    pub booked_at: Instant,
    /// The entry it takes back, where it takes one back.
    pub reverses_id: Option<i64>,
}

/// An entry as it is booked.
#[derive(Clone, Debug, Insertable)]
#[diesel(table_name = hours_entries, treat_none_as_default_value = false)]
pub struct NewHours {
    /// The site.
    pub site_id: i64,
    /// Its number in the site's sequence.
    pub seq: i64,
    /// Who.
    pub person_id: i64,
    /// On which order.
    pub order_id: Option<i64>,
    /// What the time went into.
    pub kind: HoursKind,
    /// From when.
    pub starts_at: Instant,
    /// Until when.
    pub ends_at: Instant,
    /// The site's own date it is paid for.
    pub work_date: NaiveDate,
    /// When it is booked.
    pub booked_at: Instant,
    /// What it was told with: `work_order`.
    pub source_kind: &'static str,
    /// The id of that.
    pub source_id: i64,
    /// The entry it takes back.
    pub reverses_id: Option<i64>,
}

/// Appends entries.
pub fn hours_add(tx: &mut Tx<'_>, entries: &[NewHours]) -> Result<()> {
    each_backend!(tx.conn(), conn => {
        diesel::insert_into(hours_entries::table).values(entries).execute(conn)
    })?;
    Ok(())
}

/// The entries of these people that share an instant with the stretch from `from` to `to` and
/// were not taken back, in order of time.
pub fn hours_between(
    conn: &mut Conn,
    scope: &Scope,
    people: &[i64],
    from: Instant,
    to: Instant,
) -> Result<Vec<HoursRow>> {
    let taken_back = diesel::alias!(hours_entries as taken_back);
    let (of_site, which) = (
        taken_back.field(hours_entries::site_id),
        taken_back.field(hours_entries::reverses_id),
    );
    Ok(hours_entries::table
        .filter(
            hours_entries::site_id
                .eq(scope.site_id())
                .and(hours_entries::person_id.eq_any(people))
                .and(hours_entries::starts_at.lt(to))
                .and(hours_entries::ends_at.gt(from))
                .and(hours_entries::reverses_id.is_null()),
        )
        .filter(diesel::dsl::not(diesel::dsl::exists(
            taken_back
                .filter(of_site.eq(hours_entries::site_id))
                .filter(which.eq(hours_entries::id.nullable())),
        )))
        .order((hours_entries::starts_at, hours_entries::id))
        .select(HoursRow::as_select())
        .load(conn)?)
}

/// The entries of an order that were not taken back, in order of id.
pub fn hours_standing(conn: &mut Conn, scope: &Scope, order_id: i64) -> Result<Vec<HoursRow>> {
    let back = diesel::alias!(hours_entries as back);
    let taken_back = back
        .filter(back.field(hours_entries::site_id).eq(scope.site_id()))
        .filter(
            back.field(hours_entries::reverses_id)
                .eq(hours_entries::id.nullable()),
        );
    Ok(hours_entries::table
        .filter(
            hours_entries::site_id
                .eq(scope.site_id())
                .and(hours_entries::order_id.eq(order_id))
                .and(hours_entries::reverses_id.is_null()),
        )
        .filter(diesel::dsl::not(diesel::dsl::exists(taken_back)))
        .order(hours_entries::id)
        .select(HoursRow::as_select())
        .load(conn)?)
}

/// The entries of the site's dates `from` to `to`, both included, of one person or of all, in
/// order of id.
pub fn hours_list(
    conn: &mut Conn,
    scope: &Scope,
    (from, to): (NaiveDate, NaiveDate),
    person_id: Option<i64>,
    page: Page,
) -> Result<Paged<HoursRow>> {
    let mut query = hours_entries::table
        .filter(
            hours_entries::site_id
                .eq(scope.site_id())
                .and(hours_entries::id.gt(page.after))
                .and(hours_entries::work_date.between(from, to)),
        )
        .into_boxed();
    if let Some(person) = person_id {
        query = query.filter(hours_entries::person_id.eq(person));
    }
    let rows = query
        .order(hours_entries::id)
        .limit(page.fetch())
        .select(HoursRow::as_select())
        .load(conn)?;
    Ok(page.of(rows, |entry| entry.id))
}

/// What an hour of a person costs from a date on.
#[derive(Clone, Copy, Debug, Queryable)]
pub struct PayRateFrom {
    /// Who.
    pub person_id: i64,
    /// From which date of the site on.
    pub from_date: NaiveDate,
    /// Cents an hour.
    pub cents_per_h: i64,
}

/// Every pay rate of the site, by person and date.
pub fn pay_rates_all(conn: &mut Conn, scope: &Scope) -> Result<Vec<PayRateFrom>> {
    Ok(pay_rates::table
        .filter(pay_rates::site_id.eq(scope.site_id()))
        .order((pay_rates::person_id, pay_rates::from_date))
        .select((
            pay_rates::person_id,
            pay_rates::from_date,
            pay_rates::cents_per_h,
        ))
        .load(conn)?)
}
