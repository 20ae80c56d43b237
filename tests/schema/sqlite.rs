//! The catalogue of SQLite.

use std::collections::BTreeMap;

use diesel::prelude::*;
use diesel::sql_types::{BigInt, Bool, Nullable, Text};

use super::catalogue::{Catalogue, Column, ForeignKey, Index, Table, kind_of, names};

#[derive(QueryableByName)]
struct ColumnRow {
    #[diesel(sql_type = Text)]
    table_name: String,
    #[diesel(sql_type = Text)]
    name: String,
    #[diesel(sql_type = Text)]
    declared: String,
    #[diesel(sql_type = Bool)]
    not_null: bool,
    #[diesel(sql_type = BigInt)]
    key_place: i64,
}

#[derive(QueryableByName)]
struct IndexRow {
    #[diesel(sql_type = Text)]
    table_name: String,
    #[diesel(sql_type = Text)]
    name: String,
    #[diesel(sql_type = Text)]
    origin: String,
    #[diesel(sql_type = Bool)]
    is_unique: bool,
    #[diesel(sql_type = Bool)]
    is_partial: bool,
    #[diesel(sql_type = Text)]
    columns: String,
}

#[derive(QueryableByName)]
struct KeyRow {
    #[diesel(sql_type = Text)]
    table_name: String,
    #[diesel(sql_type = BigInt)]
    id: i64,
    #[diesel(sql_type = Text)]
    target: String,
    #[diesel(sql_type = Text)]
    column_name: String,
    #[diesel(sql_type = Nullable<Text>)]
    target_column: Option<String>,
}

#[derive(QueryableByName)]
struct GuardRow {
    #[diesel(sql_type = Text)]
    table_name: String,
    #[diesel(sql_type = Text)]
    sql: String,
}

/// Every table.
pub fn catalogue(conn: &mut SqliteConnection) -> QueryResult<Catalogue> {
    let mut tables = Catalogue::new();
    for row in columns(conn)? {
        let table = tables.entry(row.table_name).or_default();
        if row.key_place > 0 {
            table.primary_key.push(row.name.clone());
        }
        table.columns.push(Column {
            name: row.name,
            kind: kind_of(&row.declared),
            nullable: !row.not_null,
        });
    }
    for row in indexes(conn)? {
        if row.origin != "pk" {
            let table = tables.entry(row.table_name).or_default();
            table.indexes.insert(Index {
                name: (row.origin == "c").then_some(row.name),
                columns: names(&row.columns),
                unique: row.is_unique,
                partial: row.is_partial,
            });
        }
    }
    for (table, key) in foreign_keys(conn)? {
        tables.entry(table).or_default().foreign_keys.insert(key);
    }
    for row in guards(conn)? {
        let table: &mut Table = tables.entry(row.table_name).or_default();
        for event in ["update", "delete"] {
            if row
                .sql
                .to_lowercase()
                .contains(&format!("before {event} on"))
            {
                table.guards.insert(event.to_owned());
            }
        }
    }
    Ok(tables)
}

fn columns(conn: &mut SqliteConnection) -> QueryResult<Vec<ColumnRow>> {
    diesel::sql_query(
        "SELECT t.name AS table_name, c.name AS name, c.type AS declared, \
             c.\"notnull\" AS not_null, c.pk AS key_place \
         FROM sqlite_schema t, pragma_table_info(t.name) c \
         WHERE t.type = 'table' AND t.name NOT LIKE 'sqlite%' AND t.name NOT LIKE '%migrations' ORDER BY t.name, c.cid",
    )
    .load(conn)
}

fn indexes(conn: &mut SqliteConnection) -> QueryResult<Vec<IndexRow>> {
    diesel::sql_query(
        "SELECT t.name AS table_name, i.name AS name, i.origin AS origin, \
             i.\"unique\" AS is_unique, i.partial AS is_partial, \
             (SELECT group_concat(name) FROM \
                 (SELECT name FROM pragma_index_info(i.name) ORDER BY seqno)) AS columns \
         FROM sqlite_schema t, pragma_index_list(t.name) i \
         WHERE t.type = 'table' AND t.name NOT LIKE 'sqlite%' AND t.name NOT LIKE '%migrations'",
    )
    .load(conn)
}

fn foreign_keys(conn: &mut SqliteConnection) -> QueryResult<Vec<(String, ForeignKey)>> {
    let rows: Vec<KeyRow> = diesel::sql_query(
        "SELECT t.name AS table_name, CAST(f.id AS BIGINT) AS id, f.\"table\" AS target, \
             f.\"from\" AS column_name, f.\"to\" AS target_column \
         FROM sqlite_schema t, pragma_foreign_key_list(t.name) f \
         WHERE t.type = 'table' ORDER BY t.name, f.id, f.seq",
    )
    .load(conn)?;
    let mut keys: BTreeMap<(String, i64), ForeignKey> = BTreeMap::new();
    for row in rows {
        let key = keys
            .entry((row.table_name, row.id))
            .or_insert_with(|| ForeignKey {
                columns: Vec::new(),
                table: row.target,
                targets: Vec::new(),
            });
        key.columns.push(row.column_name);
        key.targets.extend(row.target_column);
    }
    Ok(keys
        .into_iter()
        .map(|((table, _), key)| (table, key))
        .collect())
}

fn guards(conn: &mut SqliteConnection) -> QueryResult<Vec<GuardRow>> {
    diesel::sql_query(
        "SELECT tbl_name AS table_name, sql FROM sqlite_schema WHERE type = 'trigger'",
    )
    .load(conn)
}
