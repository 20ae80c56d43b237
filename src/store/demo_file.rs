//! The mark on a SQLite file by which a demo knows its own, without opening what is not.

use std::fs::File;
use std::io::{self, Read};
use std::path::Path;

use diesel::connection::SimpleConnection;
use diesel::prelude::*;

use super::{Error, Result};

/// The application id in the header of the file (SQLite file format, section 1.3).
const MARK: i32 = 0x5248_646d;
/// Where the header holds it.
const AT: usize = 68;

/// Makes a new database file that carries the mark. Nothing may stand at `path`.
pub fn demo_file_make(path: &Path) -> Result<()> {
    // Made first and alone, so that what came there in the meantime is not taken over.
    File::create_new(path).map_err(|e| Error::Unreachable(format!("{}: {e}", path.display())))?;
    let mut conn = SqliteConnection::establish(&path.to_string_lossy())
        .map_err(|e| Error::Unreachable(e.to_string()))?;
    conn.batch_execute(&format!("PRAGMA application_id = {MARK}"))?;
    Ok(())
}

/// Whether the file at `path` carries the mark. It is only read.
pub fn is_demo_file(path: &Path) -> io::Result<bool> {
    let mut header = Vec::with_capacity(AT + 4);
    File::open(path)?
        .take(AT as u64 + 4)
        .read_to_end(&mut header)?;
    Ok(header.starts_with(b"SQLite format 3\0") && header.get(AT..) == Some(&MARK.to_be_bytes()))
}

/// Removes a demo's file with what SQLite keeps beside it.
pub fn demo_file_remove(path: &Path) -> io::Result<()> {
    for beside in ["-wal", "-shm"] {
        match std::fs::remove_file(format!("{}{beside}", path.display())) {
            Err(e) if e.kind() != io::ErrorKind::NotFound => return Err(e),
            _ => {}
        }
    }
    std::fs::remove_file(path)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_what_was_made_as_a_demo_carries_the_mark() {
        let folder = tempfile::tempdir().unwrap();
        let (own, other, text) = (
            folder.path().join("own"),
            folder.path().join("other"),
            folder.path().join("text"),
        );
        demo_file_make(&own).unwrap();
        SqliteConnection::establish(&other.to_string_lossy())
            .unwrap()
            .batch_execute("CREATE TABLE t (a)")
            .unwrap();
        std::fs::write(&text, "SQLite").unwrap();
        let marked = [own, other, text].map(|path| is_demo_file(&path).unwrap());
        assert_eq!(marked, [true, false, false]);
    }

    #[test]
    fn a_file_that_stands_is_not_made_over() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("kept");
        std::fs::write(&path, "kept").unwrap();
        assert!(demo_file_make(&path).is_err());
        assert_eq!(std::fs::read_to_string(&path).unwrap(), "kept");
    }
}
