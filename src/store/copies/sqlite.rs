//! SQLite's online copy: `VACUUM INTO` (<https://www.sqlite.org/lang_vacuum.html>) writes one state of
//! the database into another file while others go on reading and writing.

use std::path::Path;

use diesel::connection::SimpleConnection;
use diesel::prelude::*;
use diesel::sql_types::Text;

use super::{Copied, CopyFault, heads};
use crate::clock::Clock;
use crate::store::db::{Conn, Db};

pub(super) fn copy(db: &Db, to: &Path) -> Result<Copied, CopyFault> {
    let path = text_of(to)?;
    db.outside_transactions(|conn| match conn {
        Conn::Sqlite(conn) => {
            diesel::sql_query("VACUUM INTO ?")
                .bind::<Text, _>(path)
                .execute(conn)?;
            Ok::<_, CopyFault>(())
        }
        Conn::Pg(_) => Err(CopyFault("not a SQLite database".into())),
    })?;
    // The copy itself says what it holds: the database has gone on since.
    let copy = Db::open_to_read(&format!("sqlite:{path}"), Clock::system())?;
    Ok(Copied {
        schema: None,
        heads: copy.read(heads)?,
    })
}

fn text_of(path: &Path) -> Result<&str, CopyFault> {
    path.to_str()
        .ok_or_else(|| CopyFault::of("use", path, "the path is not UTF-8"))
}

/// Makes sure that nobody else has the file at `path` open, and leaves no journal beside it, so that
/// another file can take its place.
pub fn let_go(path: &Path) -> Result<(), CopyFault> {
    #[derive(QueryableByName)]
    struct Mode {
        #[diesel(sql_type = Text)]
        journal_mode: String,
    }
    let refused = |why: String| CopyFault::of("replace", path, why);
    let mut conn =
        SqliteConnection::establish(text_of(path)?).map_err(|e| refused(e.to_string()))?;
    conn.batch_execute("PRAGMA busy_timeout = 2000")?;
    // Only the last one to have a file open can take its journal away.
    let mode = diesel::sql_query("PRAGMA journal_mode = DELETE").get_result::<Mode>(&mut conn);
    match mode {
        Ok(mode) if mode.journal_mode == "delete" => Ok(()),
        _ => Err(refused(
            "somebody has it open: stop the service first".into(),
        )),
    }
}
