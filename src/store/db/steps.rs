//! How a database's schema stands to this program's, found out without writing to it.

use diesel::QueryableByName;
use diesel::RunQueryDsl;
use diesel::migration::{Migration, MigrationSource};
use diesel::sql_types::Text;

use super::{Conn, Db, POSTGRES_MIGRATIONS, SQLITE_MIGRATIONS};
use crate::store::dialect::each_backend;
use crate::store::{Error, Result};

/// How a schema stands to this program's.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Standing {
    /// No step was ever taken here.
    Blank,
    /// Steps are waiting.
    Older,
    /// It is this program's.
    Same,
    /// Steps were taken that this program does not know.
    Newer,
}

#[derive(QueryableByName)]
struct Step {
    #[diesel(sql_type = Text)]
    version: String,
}

impl Db {
    /// How the schema stands to this program's.
    pub fn standing(&self) -> Result<Standing> {
        let mut conn = self.connection()?;
        let taken = steps_taken(&mut conn)?;
        let known = steps_known(&conn)?;
        Ok(if taken.is_empty() {
            Standing::Blank
        } else if taken.iter().any(|step| !known.contains(step)) {
            Standing::Newer
        } else if known.iter().any(|step| !taken.contains(step)) {
            Standing::Older
        } else {
            Standing::Same
        })
    }
}

/// The steps that were taken. The book in which they are kept may not be there yet.
fn steps_taken(conn: &mut Conn) -> Result<Vec<String>> {
    let book = match conn {
        Conn::Sqlite(_) => {
            "SELECT name AS version FROM sqlite_master WHERE name = '__diesel_schema_migrations'"
        }
        Conn::Pg(_) => {
            "SELECT 'it is there' AS version WHERE to_regclass('__diesel_schema_migrations') IS NOT NULL"
        }
    };
    if ask(conn, book)?.is_empty() {
        return Ok(Vec::new());
    }
    ask(conn, "SELECT version FROM __diesel_schema_migrations")
}

fn ask(conn: &mut Conn, question: &str) -> Result<Vec<String>> {
    let steps: Vec<Step> = each_backend!(conn, inner => diesel::sql_query(question).load(inner))?;
    Ok(steps.into_iter().map(|step| step.version).collect())
}

fn steps_known(conn: &Conn) -> Result<Vec<String>> {
    match conn {
        Conn::Sqlite(_) => versions::<diesel::sqlite::Sqlite>(&SQLITE_MIGRATIONS),
        Conn::Pg(_) => versions::<diesel::pg::Pg>(&POSTGRES_MIGRATIONS),
    }
}

fn versions<DB: diesel::backend::Backend>(
    source: &impl MigrationSource<DB>,
) -> Result<Vec<String>> {
    let steps = source
        .migrations()
        .map_err(|e| Error::Unreadable(format!("migrations: {e}")))?;
    Ok(steps
        .iter()
        .map(|step| step.name().version().to_string())
        .collect())
}
