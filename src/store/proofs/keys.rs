//! Whether every row points at a row of its own site, and whether SQLite's file is whole.

use diesel::QueryableByName;
use diesel::sql_types::Text;

use super::{rows, told};
use crate::store::db::Conn;
use crate::store::{Result, Scope};

/// A foreign key of PostgreSQL's, with its columns as lists of the same order.
#[derive(QueryableByName)]
struct ForeignKey {
    #[diesel(sql_type = Text)]
    child: String,
    #[diesel(sql_type = Text)]
    parent: String,
    #[diesel(sql_type = Text)]
    columns: String,
    #[diesel(sql_type = Text)]
    targets: String,
}

/// Rows that point at no row: by foreign keys, which carry the site wherever a site owns both rows,
/// so that one that points into another site is among them.
pub fn rows_astray(conn: &mut Conn, limit: i64) -> Result<Vec<String>> {
    match conn {
        Conn::Sqlite(_) => told(
            conn,
            &format!(
                "SELECT 'row ' || COALESCE(CAST(rowid AS TEXT), '?') || ' of ' || \"table\" ||
                    ' points at no row of ' || parent || ' that it may point at' AS told
                 FROM pragma_foreign_key_check LIMIT {limit}"
            ),
        ),
        Conn::Pg(_) => {
            let mut astray = Vec::new();
            for key in foreign_keys(conn)? {
                astray.extend(told(conn, &key.question(limit))?);
            }
            Ok(astray)
        }
    }
}

fn foreign_keys(conn: &mut Conn) -> Result<Vec<ForeignKey>> {
    rows(
        conn,
        "SELECT child.relname AS child, parent.relname AS parent,
            (SELECT string_agg(quote_ident(a.attname), ',' ORDER BY k.nth)
                FROM unnest(c.conkey) WITH ORDINALITY AS k (num, nth)
                JOIN pg_attribute a ON a.attrelid = c.conrelid AND a.attnum = k.num) AS columns,
            (SELECT string_agg(quote_ident(a.attname), ',' ORDER BY k.nth)
                FROM unnest(c.confkey) WITH ORDINALITY AS k (num, nth)
                JOIN pg_attribute a ON a.attrelid = c.confrelid AND a.attnum = k.num) AS targets
         FROM pg_constraint c
         JOIN pg_class child ON child.oid = c.conrelid
         JOIN pg_class parent ON parent.oid = c.confrelid
         JOIN pg_namespace n ON n.oid = c.connamespace
         WHERE c.contype = 'f' AND n.nspname = current_schema()
         ORDER BY child.relname, c.conname",
    )
}

impl ForeignKey {
    fn question(&self, limit: i64) -> String {
        let (child, parent) = (&self.child, &self.parent);
        let pairs = || self.columns.split(',').zip(self.targets.split(','));
        let whole: Vec<String> = pairs().map(|(c, _)| format!("c.{c} IS NOT NULL")).collect();
        let same: Vec<String> = pairs().map(|(c, t)| format!("p.{t} = c.{c}")).collect();
        // site_head, and only it, is keyed by its site alone.
        let id = if child == "site_head" {
            "site_id"
        } else {
            "id"
        };
        format!(
            "SELECT 'row ' || CAST(c.{id} AS TEXT) || ' of {child} points at no row of {parent} \
             that it may point at' AS told FROM \"{child}\" c WHERE {} AND NOT EXISTS \
             (SELECT 1 FROM \"{parent}\" p WHERE {}) LIMIT {limit}",
            whole.join(" AND "),
            same.join(" AND ")
        )
    }
}

/// Rows booked for an order, and rows that take another back, whose order or other row is not of
/// the site: these columns name rows of several tables and have no foreign key.
pub fn sources_astray(conn: &mut Conn, scope: &Scope, limit: i64) -> Result<Vec<String>> {
    let site = scope.site_id();
    let mut parts = Vec::new();
    for table in ["hours_entries", "stock_moves", "cost_lines"] {
        parts.push(format!(
            "SELECT 'row ' || CAST(b.id AS TEXT) || ' of {table} was booked for order ' ||
                CAST(b.source_id AS TEXT) || ', which is none of the site''s' AS told
             FROM {table} b WHERE b.site_id = {site} AND b.source_kind = 'work_order'
                AND NOT EXISTS (SELECT 1 FROM work_orders o
                    WHERE o.site_id = b.site_id AND o.id = b.source_id)"
        ));
        parts.push(format!(
            "SELECT 'row ' || CAST(b.id AS TEXT) || ' of {table} takes back row ' ||
                CAST(b.reverses_id AS TEXT) || ', which is none of the site''s' AS told
             FROM {table} b WHERE b.site_id = {site} AND b.reverses_id IS NOT NULL
                AND NOT EXISTS (SELECT 1 FROM {table} r
                    WHERE r.site_id = b.site_id AND r.id = b.reverses_id)"
        ));
    }
    parts.push(format!(
        "SELECT 'row ' || CAST(b.id AS TEXT) || ' of treatments takes back row ' ||
            CAST(b.reverses_id AS TEXT) || ', which is none of the site''s' AS told
         FROM treatments b WHERE b.site_id = {site} AND b.reverses_id IS NOT NULL
            AND NOT EXISTS (SELECT 1 FROM treatments r
                WHERE r.site_id = b.site_id AND r.id = b.reverses_id)"
    ));
    let all = parts.join(" UNION ALL ");
    told(
        conn,
        &format!("SELECT told FROM ({all}) AS astray LIMIT {limit}"),
    )
}

/// What SQLite says of its file, where it is not whole. PostgreSQL has tools of its own for that.
pub fn pages_broken(conn: &mut Conn, limit: i64) -> Result<Vec<String>> {
    match conn {
        Conn::Pg(_) => Ok(Vec::new()),
        Conn::Sqlite(_) => {
            let lines = told(
                conn,
                &format!(
                    "SELECT integrity_check AS told FROM pragma_integrity_check LIMIT {limit}"
                ),
            )?;
            Ok(lines.into_iter().filter(|line| line != "ok").collect())
        }
    }
}
