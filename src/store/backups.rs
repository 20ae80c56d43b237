//! The record of backups. No site owns it: a backup holds every site.

use chrono::TimeDelta;
use diesel::prelude::*;
use serde::Serialize;

use super::columns::{Json, json, words};
use super::db::Conn;
use super::owners::OwnerProof;
use super::schema::backups;
use super::{Instant, Page, Paged, Result};

words! {
    /// Why a backup was taken.
    BackupWhy {
        /// It was night.
        Nightly = "nightly",
        /// The schema was about to change.
        BeforeMigration = "before_migration",
        /// Somebody asked for it.
        Asked = "asked",
    }
}

/// A backup that was taken or tried.
#[derive(Clone, Debug, Queryable, Selectable, Serialize, utoipa::ToSchema)]
#[diesel(table_name = backups)]
#[schema(as = Backup)]
pub struct BackupRow {
    /// Id.
    pub id: i64,
    /// Why it was taken.
    pub why: BackupWhy,
    /// When it began.
    pub began_at: Instant,
    /// When it was whole, or failed.
    pub ended_at: Instant,
    /// Name of its file in the backup folder; null where it failed.
    pub file: Option<String>,
    /// Size of the file, bytes.
    pub bytes: Option<i64>,
    /// SHA-256 of the file, in hex.
    pub sha256: Option<String>,
    /// Ends of the sites' audit chains as it holds them: `SITE:NUMBER:HASH`.
    #[schema(value_type = Vec<String>)]
    pub heads: Json<Vec<String>>,
    /// When it was restored elsewhere and everything in it held.
    pub proved_at: Option<Instant>,
    /// Why that could not be proved.
    pub unproved_why: Option<String>,
    /// Why it failed.
    pub failed_why: Option<String>,
    /// When its file was removed, since newer ones are kept.
    pub removed_at: Option<Instant>,
}

/// A backup to be noted.
#[derive(Clone, Debug)]
pub struct NewBackup {
    /// Why it was taken.
    pub why: BackupWhy,
    /// When it began.
    pub began_at: Instant,
    /// When it was whole.
    pub ended_at: Instant,
    /// What it is; why it failed, where it did.
    pub is: std::result::Result<Kept, String>,
}

/// A file that holds a backup.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Kept {
    /// Its name.
    pub file: String,
    /// Its size.
    pub bytes: i64,
    /// Its digest, in hex.
    pub sha256: String,
    /// Ends of chains.
    pub heads: Vec<String>,
}

/// Notes a backup; gives its id.
pub fn backup_add(conn: &mut Conn, new: &NewBackup) -> Result<i64> {
    let kept = new.is.as_ref().ok();
    let none = Vec::new();
    Ok(diesel::insert_into(backups::table)
        .values((
            backups::why.eq(new.why),
            backups::began_at.eq(new.began_at),
            backups::ended_at.eq(new.ended_at),
            backups::file.eq(kept.map(|kept| &kept.file)),
            backups::bytes.eq(kept.map(|kept| kept.bytes)),
            backups::sha256.eq(kept.map(|kept| &kept.sha256)),
            backups::heads.eq(json(kept.map_or(&none, |kept| &kept.heads))?),
            backups::failed_why.eq(new.is.as_ref().err()),
        ))
        .returning(backups::id)
        .get_result(conn)?)
}

/// Notes that a backup was proved, or why not.
pub fn backup_set_proved(
    conn: &mut Conn,
    id: i64,
    proved: std::result::Result<Instant, &str>,
) -> Result<()> {
    diesel::update(backups::table.find(id))
        .set((
            backups::proved_at.eq(proved.ok()),
            backups::unproved_why.eq(proved.err()),
        ))
        .execute(conn)?;
    Ok(())
}

/// Notes that a backup's file was removed.
pub fn backup_set_removed(conn: &mut Conn, id: i64, now: Instant) -> Result<()> {
    diesel::update(backups::table.find(id))
        .set(backups::removed_at.eq(now))
        .execute(conn)?;
    Ok(())
}

/// Backups, newest first: a page of them begins below the last id of the page before.
pub fn backup_list(conn: &mut Conn, _: OwnerProof, page: Page) -> Result<Paged<BackupRow>> {
    let mut query = backups::table.into_boxed();
    if page.after > 0 {
        query = query.filter(backups::id.lt(page.after));
    }
    let rows = query
        .order(backups::id.desc())
        .limit(page.fetch())
        .select(BackupRow::as_select())
        .load(conn)?;
    Ok(page.of(rows, |row| row.id))
}

/// The newest backup that is whole, and the newest that was proved.
pub fn backups_newest(
    conn: &mut Conn,
    _: OwnerProof,
) -> Result<(Option<BackupRow>, Option<BackupRow>)> {
    let newest = backups::table
        .filter(backups::file.is_not_null())
        .order(backups::id.desc())
        .select(BackupRow::as_select())
        .first(conn)
        .optional()?;
    let proved = backups::table
        .filter(backups::proved_at.is_not_null())
        .order((backups::proved_at.desc(), backups::id.desc()))
        .select(BackupRow::as_select())
        .first(conn)
        .optional()?;
    Ok((newest, proved))
}

/// The nightly backups whose files stand, newest first.
pub fn nights_standing(conn: &mut Conn) -> Result<Vec<BackupRow>> {
    Ok(backups::table
        .filter(
            backups::why
                .eq(BackupWhy::Nightly)
                .and(backups::file.is_not_null())
                .and(backups::removed_at.is_null()),
        )
        .order(backups::id.desc())
        .select(BackupRow::as_select())
        .load(conn)?)
}

/// Forgets tries that failed more than two months ago.
pub fn failures_forget(conn: &mut Conn, now: Instant) -> Result<()> {
    let before: Instant = (now.utc() - TimeDelta::days(60)).into();
    diesel::delete(
        backups::table.filter(
            backups::failed_why
                .is_not_null()
                .and(backups::began_at.lt(before)),
        ),
    )
    .execute(conn)?;
    Ok(())
}
