//! What a site sets of how its office works.

use std::collections::HashMap;

use diesel::prelude::*;
use serde_json::Value;

use super::columns::{Json, json};
use super::db::{Conn, Tx};
use super::dialect::each_backend;
use super::schema::settings;
use super::{Result, Scope};

/// A site's settings by key, and the version of them all: it grows with every change. A value that
/// is no JSON is left out.
pub fn settings_all(conn: &mut Conn, scope: &Scope) -> Result<(HashMap<String, Value>, i64)> {
    let rows: Vec<(String, String, i64)> = settings::table
        .filter(settings::site_id.eq(scope.site_id()))
        .select((settings::key, settings::value, settings::version))
        .load(conn)?;
    let version = rows.iter().map(|(_, _, version)| version).sum();
    let values = rows
        .into_iter()
        .filter_map(|(key, value, _)| Some((key, serde_json::from_str(&value).ok()?)))
        .collect();
    Ok((values, version))
}

/// A setting of the site, or none where it was never set.
pub fn setting_read<T: serde::de::DeserializeOwned + 'static>(
    conn: &mut Conn,
    scope: &Scope,
    key: &str,
) -> Result<Option<T>> {
    let value: Option<Json<T>> = settings::table
        .filter(
            settings::site_id
                .eq(scope.site_id())
                .and(settings::key.eq(key)),
        )
        .select(settings::value)
        .first(conn)
        .optional()?;
    Ok(value.map(|json| json.0))
}

/// Sets one setting; JSON's null stands for the usual, and keeps its row, so that the version of all
/// never comes twice.
pub fn setting_put(tx: &mut Tx<'_>, scope: &Scope, key: &str, value: &Value) -> Result<()> {
    let now = tx.now();
    let text = json(value)?;
    let row = (
        settings::site_id.eq(scope.site_id()),
        settings::key.eq(key),
        settings::value.eq(&text),
        settings::updated_at.eq(now),
        settings::version.eq(1),
    );
    each_backend!(tx.conn(), inner => diesel::insert_into(settings::table)
        .values(row)
        .on_conflict((settings::site_id, settings::key))
        .do_update()
        .set((
            settings::value.eq(&text),
            settings::updated_at.eq(now),
            settings::version.eq(settings::version + 1),
        ))
        .execute(inner))?;
    Ok(())
}
