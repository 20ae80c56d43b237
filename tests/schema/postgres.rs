//! The catalogue of PostgreSQL.

use diesel::prelude::*;
use diesel::sql_types::{Bool, Text};

use super::catalogue::{Catalogue, Column, ForeignKey, Index, kind_of, names};

#[derive(QueryableByName)]
struct ColumnRow {
    #[diesel(sql_type = Text)]
    table_name: String,
    #[diesel(sql_type = Text)]
    name: String,
    #[diesel(sql_type = Text)]
    declared: String,
    #[diesel(sql_type = Bool)]
    nullable: bool,
}

#[expect(
    clippy::struct_excessive_bools,
    reason = "the row is as the catalogue has it"
)]
#[derive(QueryableByName)]
struct IndexRow {
    #[diesel(sql_type = Text)]
    table_name: String,
    #[diesel(sql_type = Text)]
    name: String,
    #[diesel(sql_type = Bool)]
    is_primary: bool,
    #[diesel(sql_type = Bool)]
    is_unique: bool,
    #[diesel(sql_type = Bool)]
    is_partial: bool,
    #[diesel(sql_type = Bool)]
    of_a_key: bool,
    #[diesel(sql_type = Text)]
    columns: String,
}

#[derive(QueryableByName)]
struct KeyRow {
    #[diesel(sql_type = Text)]
    table_name: String,
    #[diesel(sql_type = Text)]
    target: String,
    #[diesel(sql_type = Text)]
    columns: String,
    #[diesel(sql_type = Text)]
    targets: String,
}

#[derive(QueryableByName)]
struct GuardRow {
    #[diesel(sql_type = Text)]
    table_name: String,
    #[diesel(sql_type = Text)]
    event: String,
}

/// Every table.
pub fn catalogue(conn: &mut PgConnection) -> QueryResult<Catalogue> {
    let mut tables = Catalogue::new();
    for row in columns(conn)? {
        tables
            .entry(row.table_name)
            .or_default()
            .columns
            .push(Column {
                name: row.name,
                kind: kind_of(&row.declared),
                nullable: row.nullable,
            });
    }
    for row in indexes(conn)? {
        let table = tables.entry(row.table_name).or_default();
        let columns = names(&row.columns);
        if row.is_primary {
            table.primary_key = columns;
        } else {
            table.indexes.insert(Index {
                name: (!row.of_a_key).then_some(row.name),
                columns,
                unique: row.is_unique,
                partial: row.is_partial,
            });
        }
    }
    for row in foreign_keys(conn)? {
        let table = tables.entry(row.table_name).or_default();
        table.foreign_keys.insert(ForeignKey {
            columns: names(&row.columns),
            table: row.target,
            targets: names(&row.targets),
        });
    }
    for row in guards(conn)? {
        let table = tables.entry(row.table_name).or_default();
        table.guards.insert(row.event.to_lowercase());
    }
    Ok(tables)
}

fn columns(conn: &mut PgConnection) -> QueryResult<Vec<ColumnRow>> {
    diesel::sql_query(
        "SELECT c.table_name::text, c.column_name::text AS name, c.data_type::text AS declared, \
             c.is_nullable = 'YES' AS nullable \
         FROM information_schema.columns c \
         JOIN information_schema.tables t USING (table_schema, table_name) \
         WHERE c.table_schema = current_schema() AND t.table_type = 'BASE TABLE' \
             AND c.table_name NOT LIKE '%migrations' \
         ORDER BY c.table_name, c.ordinal_position",
    )
    .load(conn)
}

fn indexes(conn: &mut PgConnection) -> QueryResult<Vec<IndexRow>> {
    diesel::sql_query(
        "SELECT t.relname::text AS table_name, n.relname::text AS name, \
             i.indisprimary AS is_primary, i.indisunique AS is_unique, \
             i.indpred IS NOT NULL AS is_partial, \
             EXISTS (SELECT 1 FROM pg_constraint k WHERE k.conindid = i.indexrelid) AS of_a_key, \
             (SELECT string_agg(a.attname::text, ',' ORDER BY p.place) \
                 FROM unnest(i.indkey) WITH ORDINALITY AS p (attnum, place) \
                 JOIN pg_attribute a ON a.attrelid = t.oid AND a.attnum = p.attnum) AS columns \
         FROM pg_index i \
         JOIN pg_class t ON t.oid = i.indrelid \
         JOIN pg_class n ON n.oid = i.indexrelid \
         WHERE t.relnamespace = current_schema()::regnamespace \
             AND t.relname NOT LIKE '%migrations'",
    )
    .load(conn)
}

fn foreign_keys(conn: &mut PgConnection) -> QueryResult<Vec<KeyRow>> {
    diesel::sql_query(
        "SELECT t.relname::text AS table_name, f.relname::text AS target, \
             (SELECT string_agg(a.attname::text, ',' ORDER BY p.place) \
                 FROM unnest(k.conkey) WITH ORDINALITY AS p (attnum, place) \
                 JOIN pg_attribute a ON a.attrelid = k.conrelid AND a.attnum = p.attnum) AS columns, \
             (SELECT string_agg(a.attname::text, ',' ORDER BY p.place) \
                 FROM unnest(k.confkey) WITH ORDINALITY AS p (attnum, place) \
                 JOIN pg_attribute a ON a.attrelid = k.confrelid AND a.attnum = p.attnum) AS targets \
         FROM pg_constraint k \
         JOIN pg_class t ON t.oid = k.conrelid \
         JOIN pg_class f ON f.oid = k.confrelid \
         WHERE k.contype = 'f' AND t.relnamespace = current_schema()::regnamespace",
    )
    .load(conn)
}

fn guards(conn: &mut PgConnection) -> QueryResult<Vec<GuardRow>> {
    diesel::sql_query(
        "SELECT event_object_table::text AS table_name, event_manipulation::text AS event \
         FROM information_schema.triggers \
         WHERE trigger_schema = current_schema() AND action_timing = 'BEFORE'",
    )
    .load(conn)
}
