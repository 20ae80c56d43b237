//! Where the content of files lies: in the database, or in a folder that the process was told.
//!
//! A file in the folder is named after its digest and lies below its site's number. It is written beside, reaches the
//! disk, and is then renamed: a half-written one never has the name.

use std::fs;
use std::io::Write as _;
use std::path::{Path, PathBuf};

use sha2::{Digest, Sha256};

use super::Settings;
use crate::store::columns::hex;
use crate::store::files::{
    FilePlace, FileRow, content_put, content_read, file_add, file_forget, file_read, file_with,
};
use crate::store::{Conn, Error, Result, Scope, Tx};

/// SHA-256 of a content, as it is written everywhere.
pub(super) fn digest(content: &[u8]) -> String {
    hex(&Sha256::digest(content))
}

/// Keeps a content, once a site; gives its file.
pub(super) fn put(
    settings: &Settings,
    tx: &mut Tx<'_>,
    scope: &Scope,
    media_type: &str,
    content: &[u8],
) -> Result<i64> {
    let sha256 = digest(content);
    if let Some(file) = file_with(tx.conn(), scope, &sha256)? {
        return Ok(file.id);
    }
    let bytes = i64::try_from(content.len()).unwrap_or(i64::MAX);
    let Some(folder) = &settings.folder else {
        let id = file_add(tx, scope, &sha256, media_type, bytes, FilePlace::Database)?;
        content_put(tx, scope, id, content)?;
        return Ok(id);
    };
    let id = file_add(tx, scope, &sha256, media_type, bytes, FilePlace::Folder)?;
    let path = path(folder, scope, &sha256);
    write(&path, content).map_err(|why| fault(&path, &why))?;
    Ok(id)
}

/// A file with its content.
pub(super) fn read(
    settings: &Settings,
    conn: &mut Conn,
    scope: &Scope,
    id: i64,
) -> Result<(FileRow, Vec<u8>)> {
    let file = file_read(conn, scope, id)?;
    let content = match file.place {
        FilePlace::Database => content_read(conn, scope, id)?,
        FilePlace::Folder => {
            let folder = settings.folder.as_deref().ok_or_else(|| {
                Error::Folder(format!(
                    "file {id} lies in a folder: start the service with --pictures-folder"
                ))
            })?;
            let path = path(folder, scope, &file.sha256);
            fs::read(&path).map_err(|why| fault(&path, &why))?
        }
    };
    Ok((file, content))
}

/// Takes a file away that nothing shows any more.
pub(super) fn drop_unused(
    settings: &Settings,
    tx: &mut Tx<'_>,
    scope: &Scope,
    id: i64,
) -> Result<()> {
    let Some(file) = file_forget(tx, scope, id)? else {
        return Ok(());
    };
    if file.place == FilePlace::Folder
        && let Some(folder) = settings.folder.as_deref()
    {
        let path = path(folder, scope, &file.sha256);
        match fs::remove_file(&path) {
            Err(why) if why.kind() != std::io::ErrorKind::NotFound => {
                return Err(fault(&path, &why));
            }
            _ => {}
        }
    }
    Ok(())
}

fn path(folder: &Path, scope: &Scope, sha256: &str) -> PathBuf {
    folder
        .join(scope.site_id().to_string())
        .join(&sha256[..2])
        .join(sha256)
}

fn write(path: &Path, content: &[u8]) -> std::io::Result<()> {
    let parent = path.parent().unwrap_or(path);
    let mut builder = fs::DirBuilder::new();
    builder.recursive(true);
    #[cfg(unix)]
    std::os::unix::fs::DirBuilderExt::mode(&mut builder, 0o700);
    builder.create(parent)?;
    let beside = path.with_extension("part");
    let mut options = fs::OpenOptions::new();
    options.write(true).create(true).truncate(true);
    #[cfg(unix)]
    std::os::unix::fs::OpenOptionsExt::mode(&mut options, 0o600);
    let mut file = options.open(&beside)?;
    file.write_all(content)?;
    file.sync_all()?;
    fs::rename(beside, path)
}

fn fault(path: &Path, why: &std::io::Error) -> Error {
    Error::Folder(format!("{}: {why}", path.display()))
}
