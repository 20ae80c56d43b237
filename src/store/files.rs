//! Files that a site keeps: what is known of each, and its content where that stands in the database.
//! The same content is kept once a site, whatever shows it.

use diesel::prelude::*;

use super::columns::words;
use super::db::{Conn, Tx};
use super::schema::{file_contents, files, pictures};
use super::{Result, Scope};

words! {
    /// Where a file's content lies.
    FilePlace {
        /// In the database.
        Database = "database",
        /// In the folder that the process was told.
        Folder = "folder",
    }
}

/// What is known of a file.
#[derive(Clone, Debug, Queryable, Selectable)]
#[diesel(table_name = files)]
pub struct FileRow {
    /// Id.
    pub id: i64,
    /// SHA-256 of the content, hexadecimal.
    pub sha256: String,
    /// What it is: `image/jpeg`.
    pub media_type: String,
    /// How long it is.
    pub bytes: i64,
    /// Where its content lies.
    pub place: FilePlace,
}

/// A file of the site.
pub fn file_read(conn: &mut Conn, scope: &Scope, id: i64) -> Result<FileRow> {
    Ok(files::table
        .filter(files::site_id.eq(scope.site_id()).and(files::id.eq(id)))
        .select(FileRow::as_select())
        .first(conn)?)
}

/// The file with this content, where the site keeps it already.
pub fn file_with(conn: &mut Conn, scope: &Scope, sha256: &str) -> Result<Option<FileRow>> {
    Ok(files::table
        .filter(
            files::site_id
                .eq(scope.site_id())
                .and(files::sha256.eq(sha256)),
        )
        .select(FileRow::as_select())
        .first(conn)
        .optional()?)
}

/// Adds what is known of a file; gives its id.
pub fn file_add(
    tx: &mut Tx<'_>,
    scope: &Scope,
    sha256: &str,
    media_type: &str,
    bytes: i64,
    place: FilePlace,
) -> Result<i64> {
    let now = tx.now();
    Ok(diesel::insert_into(files::table)
        .values((
            files::site_id.eq(scope.site_id()),
            files::sha256.eq(sha256),
            files::media_type.eq(media_type),
            files::bytes.eq(bytes),
            files::place.eq(place),
            files::created_at.eq(now),
        ))
        .returning(files::id)
        .get_result(tx.conn())?)
}

/// Keeps a file's content in the database.
pub fn content_put(tx: &mut Tx<'_>, scope: &Scope, file_id: i64, content: &[u8]) -> Result<()> {
    diesel::insert_into(file_contents::table)
        .values((
            file_contents::site_id.eq(scope.site_id()),
            file_contents::file_id.eq(file_id),
            file_contents::content.eq(content),
        ))
        .execute(tx.conn())?;
    Ok(())
}

/// The content of a file that is kept in the database.
pub fn content_read(conn: &mut Conn, scope: &Scope, file_id: i64) -> Result<Vec<u8>> {
    Ok(file_contents::table
        .filter(
            file_contents::site_id
                .eq(scope.site_id())
                .and(file_contents::file_id.eq(file_id)),
        )
        .select(file_contents::content)
        .first(conn)?)
}

/// Forgets a file that no picture shows any more; gives what it was, and none where one still does.
pub fn file_forget(tx: &mut Tx<'_>, scope: &Scope, id: i64) -> Result<Option<FileRow>> {
    let shown = pictures::table.filter(
        pictures::site_id.eq(scope.site_id()).and(
            pictures::file_id
                .eq(id)
                .or(pictures::thumbnail_file_id.eq(id)),
        ),
    );
    if diesel::select(diesel::dsl::exists(shown)).get_result(tx.conn())? {
        return Ok(None);
    }
    let file = file_read(tx.conn(), scope, id)?;
    let content = file_contents::table.filter(
        file_contents::site_id
            .eq(scope.site_id())
            .and(file_contents::file_id.eq(id)),
    );
    diesel::delete(content).execute(tx.conn())?;
    let row = files::table.filter(files::site_id.eq(scope.site_id()).and(files::id.eq(id)));
    diesel::delete(row).execute(tx.conn())?;
    Ok(Some(file))
}
