//! The sheet beside a backup: what it is and what proves it whole.

use std::fs;
use std::io::{Read, Write};
use std::path::{Path, PathBuf};

use serde::{Deserialize, Serialize};
use sha2::{Digest, Sha256};

use super::{sync_folder, write_whole};
use crate::desk::check::Anchor;
use crate::store::Instant;
use crate::store::backups::Kept;
use crate::store::columns::hex;
use crate::store::copies::CopyFault;

/// The form of the sheet, raised when it changes.
const FORM: u32 = 1;

/// What is written beside a backup.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Sheet {
    form: u32,
    /// `sqlite` or `postgres`.
    pub engine: String,
    /// PostgreSQL's schema that it holds.
    pub schema: Option<String>,
    /// The file's name.
    pub file: String,
    /// When it was taken.
    pub taken_at: Option<Instant>,
    /// Size, bytes.
    pub bytes: u64,
    /// Digest, in hex.
    pub sha256: String,
    /// Ends of the audit chains in it: `SITE:NUMBER:HASH`.
    pub heads: Vec<String>,
}

impl Sheet {
    pub(super) fn new(
        engine: &str,
        schema: Option<String>,
        bytes: u64,
        sha256: String,
        heads: Vec<String>,
    ) -> Self {
        Self {
            form: FORM,
            engine: engine.to_owned(),
            schema,
            file: String::new(),
            taken_at: None,
            bytes,
            sha256,
            heads,
        }
    }

    pub(super) fn named(self, file: &str, taken_at: Instant) -> Self {
        Self {
            file: file.to_owned(),
            taken_at: Some(taken_at),
            ..self
        }
    }

    /// Puts the backup that lies at `beside` into its place in `folder`, and this sheet to it.
    pub(super) fn put(self, beside: &Path, folder: &Path) -> Result<Kept, CopyFault> {
        let path = folder.join(&self.file);
        fs::rename(beside, &path)
            .map_err(|e| CopyFault(format!("cannot write {}: {e}", path.display())))?;
        let text = serde_json::to_string_pretty(&self).map_err(|e| CopyFault(e.to_string()))?;
        write_whole(&place_of(&path), &(text + "\n"))?;
        sync_folder(folder)?;
        Ok(Kept {
            file: self.file,
            bytes: i64::try_from(self.bytes).unwrap_or(i64::MAX),
            sha256: self.sha256,
            heads: self.heads,
        })
    }

    /// The sheet of a backup.
    pub fn of(backup: &Path) -> Result<Self, CopyFault> {
        let place = place_of(backup);
        let text = fs::read_to_string(&place).map_err(|e| {
            CopyFault(format!(
                "cannot read {}, which says what the backup is: {e}",
                place.display()
            ))
        })?;
        let unreadable = |why: String| {
            CopyFault(format!(
                "{} does not read as a sheet: {why}",
                place.display()
            ))
        };
        let sheet: Self = serde_json::from_str(&text).map_err(|e| unreadable(e.to_string()))?;
        if sheet.form == FORM {
            Ok(sheet)
        } else {
            Err(unreadable(format!("it is of form {}", sheet.form)))
        }
    }

    /// Copies a backup, and refuses one that is not what this sheet says.
    pub(super) fn copy(&self, backup: &Path, to: &mut impl Write) -> Result<(), CopyFault> {
        let fault = |e: std::io::Error| CopyFault(format!("cannot copy {}: {e}", backup.display()));
        let mut from = fs::File::open(backup).map_err(fault)?;
        let (bytes, sha256) = digest(&mut from, to).map_err(fault)?;
        to.flush().map_err(fault)?;
        if (bytes, &sha256) == (self.bytes, &self.sha256) {
            return Ok(());
        }
        Err(CopyFault(format!(
            "{} is not whole: {bytes} bytes with digest {sha256}, and its sheet says {} with {}",
            backup.display(),
            self.bytes,
            self.sha256
        )))
    }

    /// The ends of the audit chains in it.
    pub(super) fn anchors(&self) -> Result<Vec<Anchor>, CopyFault> {
        let read = self.heads.iter().map(|head| head.parse());
        read.collect::<Result<_, String>>().map_err(CopyFault)
    }
}

/// Where the sheet of a backup lies.
pub(super) fn place_of(backup: &Path) -> PathBuf {
    let mut name = backup.as_os_str().to_owned();
    name.push(".json");
    PathBuf::from(name)
}

/// Copies all bytes; gives how many they were, and their SHA-256 in hex.
pub(super) fn digest(from: &mut impl Read, to: &mut impl Write) -> std::io::Result<(u64, String)> {
    let (mut hash, mut bytes, mut part) = (Sha256::new(), 0, vec![0; 1 << 16]);
    loop {
        let read = from.read(&mut part)?;
        if read == 0 {
            break;
        }
        hash.update(&part[..read]);
        to.write_all(&part[..read])?;
        bytes += read as u64;
    }
    Ok((bytes, hex(&hash.finalize())))
}
