//! Backups: a copy of the whole installation, with what proves it whole. Every night, before every
//! change of the schema and when an owner asks.
//!
//! A backup is a file and, beside it, a sheet `FILE.json` that names its digest and the ends of the
//! audit chains in it. What is written goes into a file with a leading dot, reaches the disk, and is
//! then renamed, the sheet last: a file without its sheet is none.

mod keeping;
mod proving;
mod restoring;
mod sheet;

use std::fs;
use std::path::{Path, PathBuf};

use chrono::NaiveTime;
use serde::{Deserialize, Serialize};

pub use proving::prove;
pub use restoring::{Restored, restore};
pub use sheet::Sheet;

use super::access::Owner;
use super::check::Anchor;
use super::{Error, Office, Result};
use crate::store::backups::{
    BackupRow, BackupWhy, Kept, NewBackup, backup_add, backup_list, backup_set_proved,
    backups_newest,
};
use crate::store::copies::{CopyFault, make_private};
use crate::store::db::Standing;
use crate::store::jobs::{JobKind, JobState, NewJob, job_add, job_standing};
use crate::store::{Db, Instant, Page, Paged};

/// Where backups go, and how many are kept.
#[derive(Clone, Debug)]
pub struct Settings {
    /// The folder; without one there is no backup of a night.
    pub folder: Option<PathBuf>,
    /// So many of the last nights are kept …
    pub keep_nights: usize,
    /// … and one of each of so many weeks.
    pub keep_weeks: usize,
    /// When at night, by the clock of the first site.
    pub at: NaiveTime,
    /// Folder of PostgreSQL's programs, where they are not on the path.
    pub tools: Option<PathBuf>,
}

/// Three in the morning: after the night's first water, before the first crew.
pub const THREE: NaiveTime = match NaiveTime::from_hms_opt(3, 0, 0) {
    Some(time) => time,
    None => NaiveTime::MIN,
};

impl Default for Settings {
    fn default() -> Self {
        Self {
            folder: None,
            keep_nights: 14,
            keep_weeks: 8,
            at: THREE,
            tools: None,
        }
    }
}

/// Takes a backup into a folder, under a name of its own or this one.
pub fn take(
    db: &Db,
    why: BackupWhy,
    folder: &Path,
    name: Option<&str>,
    tools: Option<&Path>,
) -> Result<Kept, CopyFault> {
    let taken_at = db.now();
    make_folder(folder)?;
    let file = name.map_or_else(|| name_of(db, why, taken_at), str::to_owned);
    let (path, beside) = (folder.join(&file), folder.join(format!(".{file}.part")));
    if path.exists() {
        return Err(CopyFault(format!("{} is there already", path.display())));
    }
    let whole = write_beside(db, &beside, tools)
        .and_then(|sheet| sheet.named(&file, taken_at).put(&beside, folder));
    if whole.is_err() {
        // Best effort: what counts is why there is no backup.
        let _ = fs::remove_file(&beside);
    }
    whole
}

/// Writes the copy, brings it onto the disk, and says what it is.
fn write_beside(db: &Db, beside: &Path, tools: Option<&Path>) -> Result<Sheet, CopyFault> {
    // What a run that was broken off left under this name.
    let _ = fs::remove_file(beside);
    let copied = db.copy_into(beside, tools)?;
    let fault = |e: std::io::Error| CopyFault(format!("cannot read {}: {e}", beside.display()));
    let mut file = fs::File::open(beside).map_err(fault)?;
    file.sync_all().map_err(fault)?;
    let (bytes, sha256) = sheet::digest(&mut file, &mut std::io::sink()).map_err(fault)?;
    let heads = copied.heads.into_iter().map(|(site_id, seq, hash)| {
        let head = Anchor { site_id, seq, hash };
        head.to_string()
    });
    Ok(Sheet::new(
        db.engine(),
        copied.schema,
        bytes,
        sha256,
        heads.collect(),
    ))
}

fn make_folder(folder: &Path) -> Result<(), CopyFault> {
    let fault = |e: std::io::Error| CopyFault(format!("cannot make {}: {e}", folder.display()));
    if folder.is_dir() {
        return Ok(());
    }
    let mut builder = fs::DirBuilder::new();
    builder.recursive(true);
    #[cfg(unix)]
    std::os::unix::fs::DirBuilderExt::mode(&mut builder, 0o700);
    builder.create(folder).map_err(fault)
}

fn name_of(db: &Db, why: BackupWhy, at: Instant) -> String {
    let ending = if db.is_embedded() { "sqlite" } else { "dump" };
    let at = at.utc().format("%Y%m%dT%H%M%S%3fZ");
    format!("roundhand-{at}-{}.{ending}", why.as_str().replace('_', "-"))
}

/// Takes a backup into the folder that is set, notes it or why it failed, proves it where that can
/// be done, and removes what is no longer kept.
pub fn take_and_note(office: &Office, why: BackupWhy) -> Result<(), CopyFault> {
    let settings = &office.backups;
    let folder = settings
        .folder
        .as_deref()
        .ok_or_else(|| CopyFault("no backup folder is set".into()))?;
    let began_at = office.now();
    let taken = take(&office.db, why, folder, None, settings.tools.as_deref());
    let id = note(
        &office.db,
        why,
        began_at,
        taken.as_ref().map_err(ToString::to_string),
    )?;
    let kept = taken?;
    let proved = prove(
        &office.db,
        &folder.join(&kept.file),
        settings.tools.as_deref(),
    );
    let why = proved.as_ref().map_err(ToString::to_string);
    note_proved(
        &office.db,
        id,
        why.as_ref().map(|()| office.now()).map_err(String::as_str),
    )?;
    keeping::remove_old(office, folder)
}

/// Notes a backup; gives its id.
pub fn note(
    db: &Db,
    why: BackupWhy,
    began_at: Instant,
    taken: Result<&Kept, String>,
) -> Result<i64, CopyFault> {
    let new = NewBackup {
        why,
        began_at,
        ended_at: db.now(),
        is: taken.cloned(),
    };
    Ok(db.write_shared(|conn| backup_add(conn, &new))?)
}

/// Notes that a backup was proved, or why not.
pub fn note_proved(db: &Db, id: i64, proved: Result<Instant, &str>) -> Result<(), CopyFault> {
    Ok(db.write_shared(|conn| backup_set_proved(conn, id, proved))?)
}

/// Brings the schema up to the program's, with a backup before where there is something to lose;
/// gives the steps taken. `into` is the folder for it; none where somebody chose to go without.
pub fn migrate(
    db: &Db,
    into: Option<&Path>,
    tools: Option<&Path>,
) -> Result<Vec<String>, CopyFault> {
    match db.standing()? {
        Standing::Same => return Ok(Vec::new()),
        Standing::Newer => {
            return Err(CopyFault(
                "the database's schema is newer than this program: use the newer one".into(),
            ));
        }
        Standing::Blank => return Ok(db.migrate()?),
        Standing::Older => {}
    }
    let why = BackupWhy::BeforeMigration;
    let began_at = db.now();
    let kept = into
        .map(|folder| take(db, why, folder, None, tools))
        .transpose()?;
    let steps = db.migrate()?;
    if let Some(kept) = &kept {
        note(db, why, began_at, Ok(kept))?;
    }
    Ok(steps)
}

/// Where the backup before a migration goes: the folder that is set, or one beside a SQLite file.
pub fn folder_before_migration(db: &Db, settings: &Settings) -> Option<PathBuf> {
    let beside = || {
        let path = db.file()?;
        Some(PathBuf::from(format!("{path}.backups")))
    };
    settings.folder.clone().or_else(beside)
}

/// What a job of a backup works on.
#[derive(Debug, Serialize, Deserialize)]
pub struct Job {
    /// Why it is taken.
    pub why: BackupWhy,
}

/// How it stands with the backups.
#[derive(Debug, Serialize, utoipa::ToSchema)]
pub struct BackupStanding {
    /// Whether a folder is set: without one there is no backup of a night, and none on demand.
    pub folder_is_set: bool,
    /// Age of the newest whole backup, s; null where there is none.
    pub age_s: Option<i64>,
    /// The newest whole backup.
    pub newest: Option<BackupRow>,
    /// The newest restore that was proved: the backup it was of.
    pub last_proved: Option<BackupRow>,
}

/// How it stands with the backups.
pub fn backup_standing(office: &Office, owner: &Owner) -> Result<BackupStanding> {
    let proof = owner.proof();
    let (newest, last_proved) = office.db.read(|conn| backups_newest(conn, proof))?;
    let now = office.now().utc();
    Ok(BackupStanding {
        folder_is_set: office.backups.folder.is_some(),
        age_s: newest
            .as_ref()
            .map(|row| (now - row.began_at.utc()).num_seconds()),
        newest,
        last_proved,
    })
}

/// The backups, newest first.
pub fn backups_read(office: &Office, owner: &Owner, page: Page) -> Result<Paged<BackupRow>> {
    let proof = owner.proof();
    Ok(office.db.read(|conn| backup_list(conn, proof, page))?)
}

/// A backup that was asked for.
#[derive(Debug, Serialize, utoipa::ToSchema)]
pub struct AskedBackup {
    /// Whether it waits or is under way, is done, or was given up.
    #[schema(value_type = String, example = "waiting")]
    pub state: JobState,
}

/// Has a backup taken as soon as a service with the folder is free; the same key asks once.
pub fn backup_ask(office: &Office, _: &Owner, client_key: &str) -> Result<AskedBackup> {
    if office.backups.folder.is_none() {
        return Err(Error::state(
            "no backup folder is set: start the service with --backup-folder".into(),
        ));
    }
    let (now, key) = (office.now(), format!("backup:asked:{client_key}"));
    let state = office.db.write_shared(|conn| {
        let job = NewJob {
            site_id: None,
            kind: JobKind::Backup,
            unique_key: &key,
            payload: &Job {
                why: BackupWhy::Asked,
            },
            run_at: now,
        };
        job_add(conn, &job, now)?;
        job_standing(conn, &key)
    })?;
    Ok(AskedBackup {
        state: state.unwrap_or(JobState::Waiting),
    })
}

/// Writes a small file whole: beside its place, onto the disk, then into its place.
fn write_whole(path: &Path, text: &str) -> Result<(), CopyFault> {
    use std::io::Write as _;
    let fault = |e: std::io::Error| CopyFault(format!("cannot write {}: {e}", path.display()));
    let name = path
        .file_name()
        .map(|name| name.to_string_lossy().into_owned())
        .unwrap_or_default();
    let beside = path.with_file_name(format!(".{name}.part"));
    let _ = fs::remove_file(&beside);
    let mut file = make_private(&beside)?;
    file.write_all(text.as_bytes())
        .and_then(|()| file.sync_all())
        .map_err(fault)?;
    fs::rename(&beside, path).map_err(fault)
}

/// Brings a rename in a folder onto the disk.
fn sync_folder(folder: &Path) -> Result<(), CopyFault> {
    fs::File::open(folder)
        .and_then(|folder| folder.sync_all())
        .map_err(|e| CopyFault(format!("cannot write {}: {e}", folder.display())))
}
