//! A backup is proved by restoring it elsewhere and checking all that is in it.

use std::fs;
use std::path::Path;

use super::sheet::Sheet;
use crate::clock::Clock;
use crate::desk::check::prove_all;
use crate::store::Db;
use crate::store::copies::{CopyFault, make_private, restore_dump, with_scratch_database};
use crate::store::db::Standing;

/// Restores a backup into a place of its own, which goes afterwards, and runs every proof on it, the
/// ends of its audit chains among them. `db` is where a place beside can be made on PostgreSQL.
pub fn prove(db: &Db, backup: &Path, tools: Option<&Path>) -> Result<(), CopyFault> {
    let sheet = Sheet::of(backup)?;
    match &sheet.schema {
        None => {
            let scratch = backup.with_file_name(format!(".{}.proof", sheet.file));
            let _ = fs::remove_file(&scratch);
            let proved = copy_whole(&sheet, backup, &scratch)
                .and_then(|()| all_holds(&format!("sqlite:{}", scratch.display()), &sheet));
            for ending in ["", "-wal", "-shm"] {
                let _ = fs::remove_file(format!("{}{ending}", scratch.display()));
            }
            proved
        }
        Some(schema) => {
            sheet.copy(backup, &mut std::io::sink())?;
            let url = db.url();
            let name = format!("roundhand_proof_{}", uuid::Uuid::new_v4().simple());
            with_scratch_database(&url, &name, |url| {
                restore_dump(url, schema, backup, tools)?;
                all_holds(url, &sheet)
            })
        }
    }
}

/// Copies a backup into a new file that only its owner reads, whole and onto the disk.
pub(super) fn copy_whole(sheet: &Sheet, backup: &Path, to: &Path) -> Result<(), CopyFault> {
    let mut file = make_private(to)?;
    sheet.copy(backup, &mut file)?;
    file.sync_all()
        .map_err(|e| CopyFault(format!("cannot write {}: {e}", to.display())))
}

/// Runs every proof on the database at `url`.
fn all_holds(url: &str, sheet: &Sheet) -> Result<(), CopyFault> {
    let db = Db::open_to_read(url, Clock::system())?;
    if db.standing()? != Standing::Same {
        return Err(CopyFault(
            "the backup is of another schema than this program's".into(),
        ));
    }
    let mut broken = None;
    prove_all(&db, &sheet.anchors()?, &mut |line| {
        let first = || format!("{}: {}", line.proof, line.found.broken.join("; "));
        if !line.found.holds() && broken.is_none() {
            broken = Some(first());
        }
    })
    .map_err(|e| CopyFault(e.to_string()))?;
    broken.map_or(Ok(()), |what| {
        Err(CopyFault(format!(
            "what was restored does not hold: {what}"
        )))
    })
}
