//! Cost lines, which are appended and never changed, and the running totals they are booked
//! against.

use chrono::NaiveDate;
use diesel::dsl::sql;
use diesel::prelude::*;
use diesel::sql_types::BigInt;
use serde::{Deserialize, Serialize};

use super::columns::words;
use super::db::{Conn, Tx};
use super::dialect::each_backend;
use super::schema::{cost_lines, running_totals};
use super::{Instant, Page, Paged, Result, Scope};

words! {
    /// What a line of cost is for.
    CostKind {
        /// A person's time.
        Labour = "labour",
        /// Material from the stores.
        Material = "material",
        /// Water.
        Water = "water",
        /// The wear of a tool.
        ToolWear = "tool_wear",
        /// Machines.
        Equipment = "equipment",
        /// Work by others.
        ContractWork = "contract_work",
        /// Power and fuel.
        Energy = "energy",
        /// What no court causes alone.
        Overhead = "overhead",
    }
}

/// Cents on a court, a day and a kind.
#[derive(Clone, Debug, Queryable, Selectable, Serialize, utoipa::ToSchema)]
#[diesel(table_name = cost_lines)]
#[schema(as = CostLine)]
pub struct CostLineRow {
    /// Id.
    pub id: i64,
    /// Its number in the site's sequence.
    pub seq: i64,
    /// The court that bears it.
    pub court_id: i64,
    /// The work order it comes from.
    pub order_id: Option<i64>,
    /// What it is for.
    pub kind: CostKind,
    /// How much, cents.
    pub cents: i64,
    /// Whose time it was.
    pub person_id: Option<i64>,
    /// Which material it was.
    pub material_id: Option<i64>,
    /// Which tool it was.
    pub tool_id: Option<i64>,
    /// Which part of a tool or court it was, where a cost is carried for it.
    pub wear_part_id: Option<i64>,
    /// First day of the pay week the time counts in.
    pub pay_week: Option<NaiveDate>,
    /// The site's own date it belongs to.
    pub work_date: NaiveDate,
    /// When it was booked.
    pub booked_at: Instant,
    /// What it was booked with: `work_order`, `wear_part`, `watering`.
    pub source_kind: String,
    /// The id of that.
    pub source_id: i64,
    /// The line it takes back, where it takes one back.
    pub reverses_id: Option<i64>,
}

/// A line as it is booked.
#[derive(Clone, Debug, Insertable)]
#[diesel(table_name = cost_lines, treat_none_as_default_value = false)]
pub struct NewCostLine {
    /// The site.
    pub site_id: i64,
    /// Its number in the site's sequence.
    pub seq: i64,
    /// The court that bears it.
    pub court_id: i64,
    /// The work order it comes from.
    pub order_id: Option<i64>,
    /// What it is for.
    pub kind: CostKind,
    /// How much, cents.
    pub cents: i64,
    /// Whose time it was.
    pub person_id: Option<i64>,
    /// Which material it was.
    pub material_id: Option<i64>,
    /// Which tool it was.
    pub tool_id: Option<i64>,
    /// Which part of a tool or court it was, where a cost is carried for it.
    pub wear_part_id: Option<i64>,
    /// First day of the pay week the time counts in.
    pub pay_week: Option<NaiveDate>,
    /// The site's own date it belongs to.
    pub work_date: NaiveDate,
    /// When it is booked.
    pub booked_at: Instant,
    /// What it is booked with: `work_order`.
    pub source_kind: &'static str,
    /// The id of that.
    pub source_id: i64,
    /// The line it takes back.
    pub reverses_id: Option<i64>,
}

/// Appends lines.
pub fn cost_lines_add(tx: &mut Tx<'_>, lines: &[NewCostLine]) -> Result<()> {
    each_backend!(tx.conn(), conn => {
        diesel::insert_into(cost_lines::table).values(lines).execute(conn)
    })?;
    Ok(())
}

/// The lines of an order that were not taken back, in order of id.
pub fn cost_lines_standing(
    conn: &mut Conn,
    scope: &Scope,
    order_id: i64,
) -> Result<Vec<CostLineRow>> {
    let back = diesel::alias!(cost_lines as back);
    let taken_back = back
        .filter(back.field(cost_lines::site_id).eq(scope.site_id()))
        .filter(
            back.field(cost_lines::reverses_id)
                .eq(cost_lines::id.nullable()),
        );
    Ok(cost_lines::table
        .filter(
            cost_lines::site_id
                .eq(scope.site_id())
                .and(cost_lines::order_id.eq(order_id))
                .and(cost_lines::reverses_id.is_null()),
        )
        .filter(diesel::dsl::not(diesel::dsl::exists(taken_back)))
        .order(cost_lines::id)
        .select(CostLineRow::as_select())
        .load(conn)?)
}

/// Which lines a list shows.
#[derive(Clone, Debug)]
pub struct CostFilter {
    /// From this date of the site on.
    pub from: NaiveDate,
    /// Up to this one, itself included.
    pub to: NaiveDate,
    /// Of this court only.
    pub court_id: Option<i64>,
    /// Of this order only.
    pub order_id: Option<i64>,
    /// Of this kind only.
    pub kind: Option<CostKind>,
}

/// The lines that pass the filter, in order of id.
pub fn cost_line_list(
    conn: &mut Conn,
    scope: &Scope,
    filter: &CostFilter,
    page: Page,
) -> Result<Paged<CostLineRow>> {
    let mut query = cost_lines::table
        .filter(
            cost_lines::site_id
                .eq(scope.site_id())
                .and(cost_lines::id.gt(page.after))
                .and(cost_lines::work_date.between(filter.from, filter.to)),
        )
        .into_boxed();
    if let Some(court) = filter.court_id {
        query = query.filter(cost_lines::court_id.eq(court));
    }
    if let Some(order) = filter.order_id {
        query = query.filter(cost_lines::order_id.eq(order));
    }
    if let Some(kind) = filter.kind {
        query = query.filter(cost_lines::kind.eq(kind));
    }
    let rows = query
        .order(cost_lines::id)
        .limit(page.fetch())
        .select(CostLineRow::as_select())
        .load(conn)?;
    Ok(page.of(rows, |line| line.id))
}

/// What the lines of one court and kind sum to.
#[derive(Clone, Copy, Debug, Queryable)]
pub struct CostSum {
    /// The court.
    pub court_id: i64,
    /// What for.
    pub kind: CostKind,
    /// How much, cents.
    pub cents: i64,
}

/// The sums of the site's dates `from` to `to`, both included, by court and kind; what has no line
/// has no sum.
pub fn cost_sums(
    conn: &mut Conn,
    scope: &Scope,
    from: NaiveDate,
    to: NaiveDate,
) -> Result<Vec<CostSum>> {
    Ok(cost_lines::table
        .filter(
            cost_lines::site_id
                .eq(scope.site_id())
                .and(cost_lines::work_date.between(from, to)),
        )
        .group_by((cost_lines::court_id, cost_lines::kind))
        .select((
            cost_lines::court_id,
            cost_lines::kind,
            // diesel's own SUM of 64-bit numbers is NUMERIC, which the common connection has not.
            sql::<BigInt>("CAST(SUM(cents) AS BIGINT)"),
        ))
        .load(conn)?)
}

words! {
    /// What a running total is kept of.
    TotalKind {
        /// A person's time in one pay week, cent-seconds.
        Labour = "labour",
        /// A bank's water, cents × millilitres a cubic metre.
        Water = "water",
        /// A tool's uses, cents × uses of the life its class says.
        ToolWear = "tool_wear",
    }
}

/// A running total: what was used so far, weighed with its price, and what was booked of it.
#[derive(Clone, Debug, PartialEq, Eq, Queryable, Selectable, Serialize, Deserialize)]
#[diesel(table_name = running_totals)]
pub struct TotalRow {
    /// What it is kept of.
    pub kind: TotalKind,
    /// The person, bank or tool.
    pub subject_id: i64,
    /// The stretch it is kept over; empty where it runs for ever.
    pub period: String,
    /// Sum of price × use.
    pub used: i64,
    /// Sum of the lines booked, cents.
    pub booked_cents: i64,
}

/// A running total; at nothing where none was kept yet.
pub fn running_total(
    conn: &mut Conn,
    scope: &Scope,
    kind: TotalKind,
    subject_id: i64,
    period: &str,
) -> Result<TotalRow> {
    let kept = running_totals::table
        .filter(
            running_totals::site_id
                .eq(scope.site_id())
                .and(running_totals::kind.eq(kind))
                .and(running_totals::subject_id.eq(subject_id))
                .and(running_totals::period.eq(period)),
        )
        .select(TotalRow::as_select())
        .first(conn)
        .optional()?;
    Ok(kept.unwrap_or_else(|| TotalRow {
        kind,
        subject_id,
        period: period.to_owned(),
        used: 0,
        booked_cents: 0,
    }))
}

/// Keeps a running total.
pub fn running_total_keep(tx: &mut Tx<'_>, scope: &Scope, total: &TotalRow) -> Result<()> {
    let values = (
        running_totals::site_id.eq(scope.site_id()),
        running_totals::kind.eq(total.kind),
        running_totals::subject_id.eq(total.subject_id),
        running_totals::period.eq(&total.period),
        running_totals::used.eq(total.used),
        running_totals::booked_cents.eq(total.booked_cents),
    );
    each_backend!(tx.conn(), conn => {
        diesel::insert_into(running_totals::table)
            .values(values)
            .on_conflict((
                running_totals::site_id,
                running_totals::kind,
                running_totals::subject_id,
                running_totals::period,
            ))
            .do_update()
            .set((
                running_totals::used.eq(total.used),
                running_totals::booked_cents.eq(total.booked_cents),
            ))
            .execute(conn)
    })?;
    Ok(())
}
