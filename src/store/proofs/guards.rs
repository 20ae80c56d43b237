//! The triggers that refuse a change of what was booked.

use super::told;
use crate::store::Result;
use crate::store::db::Conn;

/// The tables whose rows are never changed and never taken away.
pub const APPEND_ONLY: &[&str] = &[
    "alone_events",
    "attendance_events",
    "audit_events",
    "audit_touches",
    "cost_lines",
    "eye_checks",
    "hours_entries",
    "net_checks",
    "order_events",
    "shift_changes",
    "order_rechecks",
    "part_uses",
    "reading_verdicts",
    "stock_moves",
    "stop_events",
    "tablet_answers",
    "tablet_events",
    "treatments",
];

/// The table whose rows may be erased, and never changed.
const ERASABLE: &str = "audit_words";

/// What a trigger of PostgreSQL's watches, by its `tgtype`: 2 before, 8 delete, 16 update, 32 truncate
/// (`src/include/catalog/pg_trigger.h`).
const ALL: i32 = 2 + 8 + 16 + 32;
const ALL_BUT_DELETE: i32 = 2 + 16 + 32;

/// The body of the function that PostgreSQL's triggers call, without its spaces.
const REFUSES: &str = "BEGINRAISEEXCEPTION'%isappend-only:reversetherow,donotchangeit',TG_TABLE_NAME\
    USINGERRCODE='check_violation';END";

/// The append-only tables that could be changed: a trigger is missing, switched off, or no longer
/// does what its migration wrote.
pub fn guards_missing(conn: &mut Conn) -> Result<Vec<String>> {
    let standing = match conn {
        Conn::Sqlite(_) => told(
            conn,
            "SELECT tbl_name || ' ' || sql AS told FROM sqlite_master WHERE type = 'trigger'",
        )?,
        Conn::Pg(_) => standing_on_postgres(conn)?,
    };
    let wanted = |table: &str| match conn {
        Conn::Sqlite(_) => vec![of_sqlite(table, "UPDATE"), of_sqlite(table, "DELETE")],
        Conn::Pg(_) => vec![format!("{table} refuses {ALL}")],
    };
    let missing = APPEND_ONLY
        .iter()
        .filter(|table| !wanted(table).iter().all(|guard| standing.contains(guard)));
    let mut missing: Vec<String> = missing.map(|table| (*table).to_owned()).collect();
    let of_words = match conn {
        Conn::Sqlite(_) => {
            of_sqlite(ERASABLE, "UPDATE").replace("reverse the row", "erase the row")
        }
        Conn::Pg(_) => format!("{ERASABLE} refuses {ALL_BUT_DELETE}"),
    };
    if !standing.contains(&of_words) {
        missing.push(ERASABLE.to_owned());
    }
    Ok(missing)
}

/// A trigger as its migration wrote it.
fn of_sqlite(table: &str, what: &str) -> String {
    let small = what.to_lowercase();
    format!(
        "{table} CREATE TRIGGER {table}_no_{small} BEFORE {what} ON {table}\nBEGIN\n    \
         SELECT RAISE(ABORT, '{table} is append-only: reverse the row, do not change it');\nEND"
    )
}

/// One line a table whose statement trigger is on, without a condition, and calls the function as it
/// was written, with what it watches.
fn standing_on_postgres(conn: &mut Conn) -> Result<Vec<String>> {
    told(
        conn,
        &format!(
            "SELECT c.relname || ' refuses ' || CAST(t.tgtype::int & {ALL} AS TEXT) AS told
             FROM pg_trigger t
             JOIN pg_class c ON c.oid = t.tgrelid
             JOIN pg_namespace n ON n.oid = c.relnamespace
             JOIN pg_proc p ON p.oid = t.tgfoid
             WHERE n.nspname = current_schema() AND t.tgenabled IN ('O', 'A')
                AND t.tgtype & 1 = 0 AND t.tgqual IS NULL
                AND t.tgattr = '' AND p.proname = 'refuse_change'
                AND regexp_replace(p.prosrc, '\\s', '', 'g') = '{}'",
            REFUSES.replace('\'', "''")
        ),
    )
}
