//! The numbers a site hands out, wherever they stand.

use diesel::prelude::*;
use diesel::sql_types::{BigInt, Text};

use super::rows;
use crate::store::db::Conn;
use crate::store::schema::site_head;
use crate::store::{Result, Scope};

/// Every table whose rows carry a number of the site's sequence.
const NUMBERED: &[&str] = &[
    "audit_events",
    "order_events",
    "hours_entries",
    "stock_moves",
    "cost_lines",
    "treatments",
    "stop_events",
    "alone_events",
    "attendance_events",
    "eye_checks",
    "net_checks",
    "shift_changes",
    "order_rechecks",
    "part_uses",
    "reading_verdicts",
];

/// A number, and the table in which it stands.
#[derive(QueryableByName)]
pub struct SeqOf {
    /// The number.
    #[diesel(sql_type = BigInt)]
    pub seq: i64,
    /// The table.
    #[diesel(sql_type = Text)]
    pub place: String,
}

/// The site's numbers above `after`, up to `upto`, in order.
pub fn seqs_between(conn: &mut Conn, scope: &Scope, after: i64, upto: i64) -> Result<Vec<SeqOf>> {
    let site = scope.site_id();
    let parts: Vec<String> = NUMBERED
        .iter()
        .map(|table| {
            format!(
                "SELECT seq, '{table}' AS place FROM {table} \
                 WHERE site_id = {site} AND seq > {after} AND seq <= {upto}"
            )
        })
        .collect();
    rows(conn, &format!("{} ORDER BY seq", parts.join(" UNION ALL ")))
}

/// The last number the site handed out; 0 where its head is missing.
pub fn seq_last(conn: &mut Conn, scope: &Scope) -> Result<i64> {
    let seq = site_head::table
        .find(scope.site_id())
        .select(site_head::seq)
        .first(conn)
        .optional()?;
    Ok(seq.unwrap_or(0))
}
