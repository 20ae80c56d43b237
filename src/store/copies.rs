//! Whole copies of a database, and their way back: SQLite's own online copy, and for PostgreSQL the
//! dump that its documentation describes, made and taken back by its own programs.

mod postgres;
mod sqlite;

use std::path::Path;

use diesel::prelude::*;

use super::db::{Conn, Db, Place};
use super::schema::{audit_events, sites};

pub use sqlite::let_go;

/// Why a copy was not made or not taken back.
#[derive(Debug, thiserror::Error)]
#[error("{0}")]
pub struct CopyFault(pub String);

impl CopyFault {
    fn of(what: &str, path: &Path, why: impl std::fmt::Display) -> Self {
        Self(format!("cannot {what} {}: {why}", path.display()))
    }
}

impl From<super::Error> for CopyFault {
    fn from(why: super::Error) -> Self {
        Self(why.to_string())
    }
}

impl From<diesel::result::Error> for CopyFault {
    fn from(why: diesel::result::Error) -> Self {
        super::Error::from(why).into()
    }
}

/// What a copy holds.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Copied {
    /// PostgreSQL's schema that was copied; none of SQLite.
    pub schema: Option<String>,
    /// Last event and hash of each site's audit chain as the copy holds them.
    pub heads: Vec<(i64, i64, Vec<u8>)>,
}

impl Db {
    /// Copies the whole database into the new file `to`, while others read and write. The file is
    /// its owner's alone; where this fails there may be half of it. `tools` is the folder of
    /// PostgreSQL's programs, where they are not on the path.
    pub fn copy_into(&self, to: &Path, tools: Option<&Path>) -> Result<Copied, CopyFault> {
        make_private(to)?;
        match self.place() {
            Place::Sqlite(_) => sqlite::copy(self, to),
            Place::Postgres(url) => postgres::dump(self, url, to, tools),
        }
    }
}

/// Brings a copy of a PostgreSQL database into the blank one at `url`: all of it or nothing.
pub fn restore_dump(
    url: &str,
    schema: &str,
    from: &Path,
    tools: Option<&Path>,
) -> Result<(), CopyFault> {
    postgres::restore(url, schema, from, tools)
}

/// Makes a database beside the one at `url` for as long as `work` takes, and gives `work` its URL.
pub fn with_scratch_database<T>(
    url: &str,
    name: &str,
    work: impl FnOnce(&str) -> Result<T, CopyFault>,
) -> Result<T, CopyFault> {
    postgres::with_scratch(url, name, work)
}

/// Makes an empty file that only its owner reads; one that is there is not touched.
pub fn make_private(path: &Path) -> Result<std::fs::File, CopyFault> {
    let mut options = std::fs::OpenOptions::new();
    options.write(true).create_new(true);
    #[cfg(unix)]
    std::os::unix::fs::OpenOptionsExt::mode(&mut options, 0o600);
    options
        .open(path)
        .map_err(|e| CopyFault::of("make", path, e))
}

/// The end of every site's audit chain.
fn heads(conn: &mut Conn) -> Result<Vec<(i64, i64, Vec<u8>)>, CopyFault> {
    let ids: Vec<i64> = sites::table.order(sites::id).select(sites::id).load(conn)?;
    let mut heads = Vec::new();
    for id in ids {
        let last: Option<(i64, Vec<u8>)> = audit_events::table
            .filter(audit_events::site_id.eq(id))
            .order(audit_events::seq.desc())
            .select((audit_events::seq, audit_events::hash))
            .first(conn)
            .optional()?;
        heads.extend(last.map(|(seq, hash)| (id, seq, hash)));
    }
    Ok(heads)
}
