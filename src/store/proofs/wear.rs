//! What parts were used and cost, where it is kept beside the rows that say it.

use diesel::prelude::*;

use super::told;
use crate::store::db::Conn;
use crate::store::schema::part_uses;
use crate::store::{Result, Scope};

/// Parts and readings whose use is not what was booked, up to so many; parts that were used on an order that is open again;
/// and parts whose lines are not what is booked of them, or not all of their cost once they were taken off.
pub fn wear_untied(conn: &mut Conn, scope: &Scope, most: i64) -> Result<Vec<String>> {
    let site = scope.site_id();
    let sum = |of: &str| {
        format!(
            "COALESCE((SELECT CAST(SUM(weighed_mm) AS BIGINT) FROM part_uses WHERE part_uses.site_id = {site} AND {of}), 0)"
        )
    };
    let of_part = sum("part_uses.wear_part_id = wear_parts.id");
    let of_reading = sum(
        "part_uses.wear_part_id = readings.wear_part_id AND part_uses.work_date <= readings.measured_on",
    );
    let on_order = sum("part_uses.order_id = work_orders.id");
    let lines = format!(
        "COALESCE((SELECT CAST(SUM(cents) AS BIGINT) FROM cost_lines WHERE cost_lines.site_id = {site}
            AND cost_lines.wear_part_id = wear_parts.id), 0)"
    );
    told(
        conn,
        &format!(
            "SELECT told FROM (
                SELECT 'part ' || id || ': ' || used_mm || ' mm of use stand with it, and what was booked comes to '
                    || {of_part} AS told FROM wear_parts WHERE site_id = {site} AND used_mm <> {of_part}
                UNION ALL
                SELECT 'reading ' || id || ': ' || used_mm || ' mm of use stand with it, and what was booked until then comes to '
                    || {of_reading} FROM readings WHERE site_id = {site} AND used_mm <> {of_reading}
                UNION ALL
                SELECT 'part ' || id || ': its lines sum to ' || {lines} || ' cents, and ' || booked_cents || ' are booked'
                    FROM wear_parts WHERE site_id = {site} AND booked_cents <> {lines}
                UNION ALL
                SELECT 'part ' || id || ': it was taken off, cost ' || cost_cents || ' cents and ' || booked_cents
                    || ' are booked' FROM wear_parts
                    WHERE site_id = {site} AND retired_on IS NOT NULL AND booked_cents <> cost_cents
                UNION ALL
                SELECT 'part ' || id || ': it cost ' || cost_cents || ' cents, ' || booked_cents || ' are booked and '
                    || spread_cents || ' were to be, over ' || spread_over || ', of which ' || spread_used || ' are used'
                    FROM wear_parts WHERE site_id = {site} AND retired_on IS NULL AND cost_cents IS NOT NULL
                    AND (booked_cents < 0 OR booked_cents > cost_cents OR spread_cents < 0
                        OR (spread_used >= spread_over AND booked_cents <> cost_cents))
                UNION ALL
                SELECT 'order ' || id || ': it is ' || state || ', and parts were used on it' FROM work_orders
                    WHERE site_id = {site} AND state NOT IN ('finished', 'left_undone') AND {on_order} <> 0
             ) AS untied ORDER BY told LIMIT {most}"
        ),
    )
}

/// How many rows of use the site has.
pub fn part_uses_count(conn: &mut Conn, scope: &Scope) -> Result<i64> {
    Ok(part_uses::table
        .filter(part_uses::site_id.eq(scope.site_id()))
        .count()
        .get_result(conn)?)
}
