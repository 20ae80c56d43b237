//! A place to restore into, and what lies in a database.

use std::collections::BTreeMap;
use std::sync::atomic::{AtomicU32, Ordering};

use diesel::connection::SimpleConnection;
use diesel::prelude::*;
use diesel::sql_types::Text;
use roundhand::store::Conn;

/// Where nothing stands yet, on the engine of another database; it goes with this.
pub struct Blank {
    pub url: String,
    _folder: tempfile::TempDir,
    database: Option<(String, String)>,
}

impl Blank {
    /// A place beside the database at `url`.
    pub fn like(url: &str) -> Self {
        static NEXT: AtomicU32 = AtomicU32::new(1);
        let folder = tempfile::tempdir().unwrap();
        if url.starts_with("sqlite:") {
            let url = format!("sqlite:{}", folder.path().join("restored.sqlite").display());
            return Self {
                url,
                _folder: folder,
                database: None,
            };
        }
        let server = std::env::var("ROUNDHAND_TEST_POSTGRES_URL").unwrap();
        let name = format!(
            "restored_{}_{}",
            std::process::id(),
            NEXT.fetch_add(1, Ordering::Relaxed)
        );
        let mut conn = PgConnection::establish(&server).unwrap();
        conn.batch_execute(&format!("CREATE DATABASE {name} TEMPLATE template0"))
            .unwrap();
        let (main, query) = url.split_once('?').unwrap();
        let (hosts, _) = main.rsplit_once('/').unwrap();
        let url = format!("{hosts}/{name}?{query}");
        Self {
            url,
            _folder: folder,
            database: Some((server, name)),
        }
    }
}

impl Drop for Blank {
    fn drop(&mut self) {
        if let Some((server, name)) = &self.database
            && let Ok(mut conn) = PgConnection::establish(server)
        {
            conn.batch_execute(&format!("DROP DATABASE {name} WITH (FORCE)"))
                .ok();
        }
    }
}

#[derive(QueryableByName)]
struct Told {
    #[diesel(sql_type = Text)]
    told: String,
}

/// Every row of every table as text, but for those of sessions, which a restore ends, and of
/// backups, which is written after the copy.
pub fn db_rows(url: &str) -> BTreeMap<String, Vec<String>> {
    let mut conn = match url.strip_prefix("sqlite:") {
        Some(path) => SqliteConnection::establish(path).map(Conn::Sqlite),
        None => PgConnection::establish(url).map(Conn::Pg),
    }
    .unwrap();
    let mut ask = |sql: &str| -> Vec<String> {
        let query = diesel::sql_query(sql);
        let rows: Vec<Told> = match &mut conn {
            Conn::Sqlite(conn) => query.load(conn),
            Conn::Pg(conn) => query.load(conn),
        }
        .unwrap();
        rows.into_iter().map(|row| row.told).collect()
    };
    let is_sqlite = url.starts_with("sqlite:");
    let tables = if is_sqlite {
        "SELECT name AS told FROM sqlite_master WHERE type = 'table' AND name NOT LIKE 'sqlite_%'"
    } else {
        "SELECT tablename::text AS told FROM pg_tables WHERE schemaname = current_schema()"
    };
    let mut all = BTreeMap::new();
    for table in ask(tables) {
        if ["sessions", "backups"].contains(&table.as_str()) {
            continue;
        }
        let row = if is_sqlite {
            let columns = ask(&format!(
                "SELECT name AS told FROM pragma_table_info('{table}')"
            ));
            let quoted: Vec<_> = columns
                .iter()
                .map(|name| format!("quote(\"{name}\")"))
                .collect();
            quoted.join(" || ',' || ")
        } else {
            "t::text".to_owned()
        };
        let rows = ask(&format!(
            "SELECT {row} AS told FROM \"{table}\" t ORDER BY 1"
        ));
        all.insert(table, rows);
    }
    all
}
