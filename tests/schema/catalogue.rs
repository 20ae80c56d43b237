//! What a database says of itself, in words that both engines share.

use std::collections::{BTreeMap, BTreeSet};

use roundhand::store::{Conn, Error};

use crate::support::House;

/// Every table by name.
pub type Catalogue = BTreeMap<String, Table>;

/// A table.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Table {
    /// In the order in which they stand.
    pub columns: Vec<Column>,
    /// Columns of its primary key.
    pub primary_key: Vec<String>,
    /// Its indexes, those behind unique keys among them, without the primary key's.
    pub indexes: BTreeSet<Index>,
    /// Its foreign keys.
    pub foreign_keys: BTreeSet<ForeignKey>,
    /// What watches its rows: `update`, `delete`.
    pub guards: BTreeSet<String>,
}

/// A column.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Column {
    /// Name.
    pub name: String,
    /// Diesel's word for its type: `BigInt`, `Text`.
    pub kind: &'static str,
    /// Whether it may be null.
    pub nullable: bool,
}

/// An index.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Index {
    /// Its name, where it was given one; unique keys have none.
    pub name: Option<String>,
    /// Its columns, in order.
    pub columns: Vec<String>,
    /// Whether no two rows may be alike in them.
    pub unique: bool,
    /// Whether it covers some rows only.
    pub partial: bool,
}

/// A foreign key.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct ForeignKey {
    /// The columns that point, in order.
    pub columns: Vec<String>,
    /// The table pointed at.
    pub table: String,
    /// The columns pointed at, in the same order.
    pub targets: Vec<String>,
}

impl Table {
    /// Whether a site owns its rows.
    pub fn is_of_a_site(&self) -> bool {
        self.columns.iter().any(|column| column.name == "site_id")
    }
}

/// The tables of a house, without the book in which the migrations are kept.
pub fn db_catalogue(house: &House) -> Catalogue {
    let read = house.office.db.read(|conn| {
        let tables = match conn {
            Conn::Sqlite(conn) => super::sqlite::catalogue(conn)?,
            Conn::Pg(conn) => super::postgres::catalogue(conn)?,
        };
        Ok::<_, Error>(tables)
    });
    read.expect("the catalogue can be read")
}

/// Names that stand as one text, separated by commas.
pub fn names(text: &str) -> Vec<String> {
    text.split(',').map(str::to_owned).collect()
}

/// Diesel's word for a declared type.
pub fn kind_of(declared: &str) -> &'static str {
    match declared.to_lowercase().as_str() {
        "bigint" | "integer" => "BigInt",
        "text" => "Text",
        "boolean" => "Bool",
        "date" => "Date",
        "timestamp" | "timestamp without time zone" => "Timestamp",
        "blob" | "bytea" => "Binary",
        other => panic!("a column of a type that the engines do not share: {other}"),
    }
}
