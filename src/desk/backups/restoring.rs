//! The way back from a backup, into a place that holds nothing.

use std::fs;
use std::path::{Path, PathBuf};

use super::proving::copy_whole;
use super::sheet::Sheet;
use super::{sync_folder, take};
use crate::clock::Clock;
use crate::desk::check::{Line, prove_all};
use crate::store::Db;
use crate::store::backups::BackupWhy;
use crate::store::copies::{CopyFault, let_go, restore_dump};
use crate::store::db::Standing;
use crate::store::sessions::sessions_end_all;

/// What a restore brought back.
#[derive(Debug)]
pub struct Restored {
    /// The steps of the schema that were taken since the backup was.
    pub steps: Vec<String>,
    /// Whether every proof holds.
    pub all_hold: bool,
    /// Where what stood there before was copied to.
    pub safety_copy: Option<PathBuf>,
}

/// Restores a backup into the database at `url`, which holds nothing; with `replace` a SQLite file
/// that holds something is copied first and then replaced. Everybody is signed out: a session that was
/// ended since the backup would come back with it. `tell` hears what each proof found.
pub fn restore(
    backup: &Path,
    url: &str,
    replace: bool,
    tools: Option<&Path>,
    clock: Clock,
    tell: &mut dyn FnMut(&Line),
) -> Result<Restored, CopyFault> {
    let sheet = Sheet::of(backup)?;
    match (url.strip_prefix("sqlite:"), sheet.engine.as_str()) {
        (Some(path), "sqlite") => {
            let path = Path::new(path.strip_prefix("//").unwrap_or(path));
            into_file(&sheet, backup, path, replace, clock, tell)
        }
        (None, "postgres") => into_server(&sheet, backup, url, replace, tools, clock, tell),
        (_, engine) => Err(CopyFault(format!(
            "the backup is of {engine}: name a database of the same engine with --database"
        ))),
    }
}

fn into_file(
    sheet: &Sheet,
    backup: &Path,
    path: &Path,
    replace: bool,
    clock: Clock,
    tell: &mut dyn FnMut(&Line),
) -> Result<Restored, CopyFault> {
    let is_used = holds_something(path, clock)?;
    if is_used && !replace {
        return Err(CopyFault(format!(
            "{} holds something: restore into another file, or add --replace, which copies it first",
            path.display()
        )));
    }
    let name = path
        .file_name()
        .map(|name| name.to_string_lossy().into_owned());
    let name = name.ok_or_else(|| CopyFault("the database URL names no file".into()))?;
    let beside = path.with_file_name(format!(".{name}.restoring"));
    remove_with_journals(&beside);
    let proved = copy_whole(sheet, backup, &beside)
        .and_then(|()| make_good(&format!("sqlite:{}", beside.display()), sheet, clock, tell));
    let whole = proved.and_then(|restored| {
        if !restored.all_hold {
            return Err(CopyFault(
                "what was restored does not hold, and nothing was put into its place".into(),
            ));
        }
        let safety_copy = if is_used {
            Some(copy_first(path, clock)?)
        } else {
            None
        };
        if path.exists() {
            let_go(path)?;
        }
        fs::rename(&beside, path)
            .map_err(|e| CopyFault(format!("cannot write {}: {e}", path.display())))?;
        sync_folder(folder_of(path))?;
        Ok(Restored {
            safety_copy,
            ..restored
        })
    });
    if whole.is_err() {
        remove_with_journals(&beside);
    }
    whole
}

fn folder_of(path: &Path) -> &Path {
    match path.parent() {
        Some(folder) if !folder.as_os_str().is_empty() => folder,
        _ => Path::new("."),
    }
}

fn holds_something(path: &Path, clock: Clock) -> Result<bool, CopyFault> {
    let bytes = fs::metadata(path).map_or(0, |about| about.len());
    if bytes == 0 {
        return Ok(false);
    }
    // What cannot be read as a database is not ours to write over.
    let db = Db::open_to_read(&format!("sqlite:{}", path.display()), clock)
        .map_err(|e| CopyFault(format!("{} is no database: {e}", path.display())))?;
    let standing = db
        .standing()
        .map_err(|e| CopyFault(format!("{} is no database: {e}", path.display())))?;
    Ok(standing != Standing::Blank)
}

fn copy_first(path: &Path, clock: Clock) -> Result<PathBuf, CopyFault> {
    let folder = PathBuf::from(format!("{}.backups", path.display()));
    let db = Db::open(&format!("sqlite:{}", path.display()), 1, clock)?;
    let kept = take(&db, BackupWhy::Asked, &folder, None, None)?;
    Ok(folder.join(kept.file))
}

fn remove_with_journals(path: &Path) {
    for ending in ["", "-wal", "-shm"] {
        let _ = fs::remove_file(format!("{}{ending}", path.display()));
    }
}

fn into_server(
    sheet: &Sheet,
    backup: &Path,
    url: &str,
    replace: bool,
    tools: Option<&Path>,
    clock: Clock,
    tell: &mut dyn FnMut(&Line),
) -> Result<Restored, CopyFault> {
    if replace {
        return Err(CopyFault(
            "--replace is for SQLite: with PostgreSQL restore into a new database, look at it, and \
             start the service on that one"
                .into(),
        ));
    }
    let schema = sheet.schema.as_deref().unwrap_or("public");
    {
        let db = Db::open_to_read(url, clock)?;
        if db.standing()? != Standing::Blank {
            return Err(CopyFault(
                "the database holds something: restore into a new one".into(),
            ));
        }
    }
    sheet.copy(backup, &mut std::io::sink())?;
    restore_dump(url, schema, backup, tools)?;
    make_good(url, sheet, clock, tell)
}

/// Brings what was restored up to this program's schema, signs everybody out, and proves it.
fn make_good(
    url: &str,
    sheet: &Sheet,
    clock: Clock,
    tell: &mut dyn FnMut(&Line),
) -> Result<Restored, CopyFault> {
    let db = Db::open(url, 1, clock)?;
    if matches!(db.standing()?, Standing::Newer | Standing::Blank) {
        return Err(CopyFault(
            "the backup is of a schema that this program does not know: use the newer program"
                .into(),
        ));
    }
    let steps = db.migrate()?;
    db.write_shared(|conn| sessions_end_all(conn, clock.now().into()))?;
    let all_hold = prove_all(&db, &sheet.anchors()?, tell).map_err(|e| CopyFault(e.to_string()))?;
    Ok(Restored {
        steps,
        all_hold,
        safety_copy: None,
    })
}
