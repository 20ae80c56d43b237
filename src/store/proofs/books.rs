//! What was booked, summed in the ways in which it must tie.

use chrono::NaiveDate;
use diesel::QueryableByName;
use diesel::prelude::*;
use diesel::sql_types::{BigInt, Text};

use super::{rows, told};
use crate::store::cost::{CostKind, TotalRow};
use crate::store::db::Conn;
use crate::store::hours::HoursKind;
use crate::store::schema::{audit_events, hours_entries, running_totals};
use crate::store::{Instant, Result, Scope};

/// The subject of what is summed over the whole site.
pub const WHOLE_SITE: i64 = 0;

/// A sum of cost lines.
#[derive(QueryableByName)]
pub struct Sum {
    /// The person, tool or order, or [`WHOLE_SITE`].
    #[diesel(sql_type = BigInt)]
    pub subject: i64,
    /// First day of the pay week; empty where there is none.
    #[diesel(sql_type = Text)]
    pub period: String,
    /// Cents.
    #[diesel(sql_type = BigInt)]
    pub cents: i64,
}

/// Every running total of the site.
pub fn running_totals_all(conn: &mut Conn, scope: &Scope) -> Result<Vec<TotalRow>> {
    Ok(running_totals::table
        .filter(running_totals::site_id.eq(scope.site_id()))
        .order((
            running_totals::kind,
            running_totals::subject_id,
            running_totals::period,
        ))
        .select(TotalRow::as_select())
        .load(conn)?)
}

/// The lines of a kind, summed as their running totals are kept: labour by person and pay week,
/// the wear of tools by tool, water over the site. What parts cost that a cost is carried for is kept with them.
pub fn lines_by_subject(conn: &mut Conn, scope: &Scope, kind: CostKind) -> Result<Vec<Sum>> {
    let (subject, period) = match kind {
        CostKind::Labour => (
            "COALESCE(person_id, 0)",
            "COALESCE(CAST(pay_week AS TEXT), '')",
        ),
        CostKind::ToolWear => ("COALESCE(tool_id, 0)", "''"),
        _ => ("CAST(0 AS BIGINT)", "''"),
    };
    rows(
        conn,
        &format!(
            "SELECT subject, period, CAST(SUM(cents) AS BIGINT) AS cents FROM (
                SELECT {subject} AS subject, {period} AS period, cents FROM cost_lines
                WHERE site_id = {} AND kind = '{kind}' AND wear_part_id IS NULL) AS lines
             GROUP BY subject, period ORDER BY subject, period",
            scope.site_id()
        ),
    )
}

/// A stretch of time on an order.
#[derive(Clone, Copy, Debug, Queryable)]
pub struct BookedHours {
    /// Id.
    pub id: i64,
    /// Who.
    pub person_id: i64,
    /// From when.
    pub starts_at: Instant,
    /// Until when.
    pub ends_at: Instant,
    /// The date it is paid for.
    pub work_date: NaiveDate,
}

/// So many hours entries on orders above `after`, by id. Neither an entry that was taken back nor
/// the one that takes it back is among them.
pub fn booked_hours(
    conn: &mut Conn,
    scope: &Scope,
    after: i64,
    limit: i64,
) -> Result<Vec<BookedHours>> {
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
                .and(hours_entries::id.gt(after))
                .and(hours_entries::kind.eq(HoursKind::Order))
                .and(hours_entries::reverses_id.is_null()),
        )
        .filter(diesel::dsl::not(diesel::dsl::exists(taken_back)))
        .order(hours_entries::id)
        .limit(limit)
        .select((
            hours_entries::id,
            hours_entries::person_id,
            hours_entries::starts_at,
            hours_entries::ends_at,
            hours_entries::work_date,
        ))
        .load(conn)?)
}

/// What the audit trail says a closing, or a day of the past, cost.
#[derive(Clone, Debug, Queryable)]
pub struct ClosingTold {
    /// Number of the event.
    pub seq: i64,
    /// `work_order` or `day_plan`.
    pub subject: String,
    /// Its id.
    pub id: i64,
    /// The event's data, JSON.
    pub data: String,
}

/// The verbs by which an order books, or takes back what it booked.
const CLOSINGS: [&str; 3] = ["finished", "left_undone", "taken_back"];

/// What the trail says of these orders: each closing of them, and each that was taken back.
pub fn closings_of(conn: &mut Conn, scope: &Scope, orders: &[i64]) -> Result<Vec<ClosingTold>> {
    Ok(audit_events::table
        .filter(
            audit_events::site_id
                .eq(scope.site_id())
                .and(audit_events::subject_kind.eq("work_order"))
                .and(audit_events::verb.eq_any(CLOSINGS))
                .and(audit_events::subject_id.eq_any(orders)),
        )
        .order(audit_events::seq)
        .select((
            audit_events::seq,
            audit_events::subject_kind,
            audit_events::subject_id,
            audit_events::data,
        ))
        .load(conn)?)
}

/// So many events above `after` that say what something cost: orders given back, days laid whole.
pub fn closings_told(
    conn: &mut Conn,
    scope: &Scope,
    after: i64,
    limit: i64,
) -> Result<Vec<ClosingTold>> {
    let closing = audit_events::subject_kind
        .eq("work_order")
        .and(audit_events::verb.eq_any(CLOSINGS));
    let laid = audit_events::subject_kind
        .eq("day_plan")
        .and(audit_events::verb.eq("laid"));
    Ok(audit_events::table
        .filter(
            audit_events::site_id
                .eq(scope.site_id())
                .and(audit_events::seq.gt(after))
                .and(closing.or(laid)),
        )
        .order(audit_events::seq)
        .limit(limit)
        .select((
            audit_events::seq,
            audit_events::subject_kind,
            audit_events::subject_id,
            audit_events::data,
        ))
        .load(conn)?)
}

/// What the lines of these orders sum to; those of a day that was laid whole are told with their day.
pub fn lines_by_order(conn: &mut Conn, scope: &Scope, orders: &[i64]) -> Result<Vec<Sum>> {
    if orders.is_empty() {
        return Ok(Vec::new());
    }
    let ids: Vec<String> = orders.iter().map(ToString::to_string).collect();
    rows(
        conn,
        &format!(
            "SELECT l.order_id AS subject, '' AS period, CAST(SUM(l.cents) AS BIGINT) AS cents
             FROM cost_lines l JOIN work_orders o ON o.site_id = l.site_id AND o.id = l.order_id
             WHERE l.site_id = {site} AND l.order_id IN ({ids}) AND NOT EXISTS (
                SELECT 1 FROM audit_touches t
                JOIN audit_events e ON e.site_id = t.site_id AND e.id = t.audit_event_id
                WHERE t.site_id = {site} AND t.subject_kind = 'day_plan'
                    AND t.subject_id = o.day_plan_id AND t.seq > l.seq AND e.verb = 'laid')
             GROUP BY l.order_id",
            site = scope.site_id(),
            ids = ids.join(", ")
        ),
    )
}

/// What the lines of all orders of a day plan that were booked before number `before` sum to.
pub fn lines_by_plan(conn: &mut Conn, scope: &Scope, plan: i64, before: i64) -> Result<i64> {
    let sums: Vec<Sum> = rows(
        conn,
        &format!(
            "SELECT CAST({plan} AS BIGINT) AS subject, '' AS period,
                COALESCE(CAST(SUM(l.cents) AS BIGINT), 0) AS cents
             FROM cost_lines l JOIN work_orders o ON o.site_id = l.site_id AND o.id = l.order_id
             WHERE l.site_id = {} AND l.seq < {before} AND o.day_plan_id = {plan}",
            scope.site_id()
        ),
    )?;
    Ok(sums.first().map_or(0, |sum| sum.cents))
}

/// Orders whose lines of a material do not sum to what its moves took out of the stores.
pub fn material_lines_untied(conn: &mut Conn, scope: &Scope, limit: i64) -> Result<Vec<String>> {
    let site = scope.site_id();
    told(
        conn,
        &format!(
            "SELECT 'order ' || CAST(order_id AS TEXT) || ', material ' || CAST(material_id AS TEXT)
                || ': its lines and its moves are ' || CAST(SUM(cents) AS TEXT) || ' cents apart' AS told
             FROM (
                SELECT order_id, material_id, cents FROM cost_lines
                WHERE site_id = {site} AND kind = 'material' AND order_id IS NOT NULL
                UNION ALL
                SELECT order_id, material_id, value_cents AS cents FROM stock_moves
                WHERE site_id = {site} AND order_id IS NOT NULL
             ) AS both_books
             GROUP BY order_id, material_id HAVING SUM(cents) <> 0
             ORDER BY order_id, material_id LIMIT {limit}"
        ),
    )
}

/// Orders of a whole bank whose courts do not bear equal parts: a cent between two courts is what
/// the last of a split leaves, for each line that a court bears. Parts that a cost is carried for are borne by how far they
/// were pulled on each.
pub fn uneven_splits(conn: &mut Conn, scope: &Scope, limit: i64) -> Result<Vec<String>> {
    let site = scope.site_id();
    told(
        conn,
        &format!(
            "SELECT 'order ' || CAST(order_id AS TEXT) || ', ' || kind || ': its courts bear '
                || CAST(MIN(cents) AS TEXT) || ' to ' || CAST(MAX(cents) AS TEXT) || ' cents' AS told
             FROM (
                SELECT l.order_id, l.kind, l.court_id, COALESCE(l.person_id, 0) AS person,
                    COALESCE(l.material_id, 0) AS material, COALESCE(l.tool_id, 0) AS tool,
                    SUM(l.cents) AS cents, COUNT(*) AS lines
                FROM cost_lines l
                JOIN work_orders o ON o.site_id = l.site_id AND o.id = l.order_id
                WHERE l.site_id = {site} AND l.kind <> 'water' AND o.bank_id IS NOT NULL
                    AND l.reverses_id IS NULL AND l.wear_part_id IS NULL
                GROUP BY l.order_id, l.kind, l.court_id, COALESCE(l.person_id, 0),
                    COALESCE(l.material_id, 0), COALESCE(l.tool_id, 0)
             ) AS parts
             GROUP BY order_id, kind, person, material, tool
             HAVING MAX(cents) - MIN(cents) > MAX(lines)
             ORDER BY order_id, kind LIMIT {limit}"
        ),
    )
}
