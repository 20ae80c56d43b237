//! The connection to either engine, its pool, and the two doors to a transaction.

use std::time::Duration;

use diesel::connection::{AnsiTransactionManager, SimpleConnection, TransactionManager};
use diesel::prelude::*;
use diesel::r2d2::{self, ManageConnection};
use diesel_migrations::{EmbeddedMigrations, MigrationHarness, embed_migrations};
use tokio::sync::watch;

mod changes;
mod steps;

pub use steps::Standing;

use self::changes::Watchers;
use super::columns::Instant;
use super::dialect::each_backend;
use super::scope::Scope;
use super::{Error, Result};
use crate::clock::Clock;

const SQLITE_MIGRATIONS: EmbeddedMigrations = embed_migrations!("migrations/sqlite");
const POSTGRES_MIGRATIONS: EmbeddedMigrations = embed_migrations!("migrations/postgres");

pub use either::Conn;

#[allow(missing_docs, reason = "the derive writes items that carry none")]
mod either {
    use diesel::prelude::*;

    /// A connection to either engine: PostgreSQL for several instances and many sites, SQLite as
    /// the embedded default.
    #[derive(diesel::MultiConnection)]
    pub enum Conn {
        Pg(PgConnection),
        Sqlite(SqliteConnection),
    }
}

/// Where the data lies: `sqlite:PATH` or `postgres://…`.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Place {
    Sqlite(String),
    Postgres(String),
}

impl Place {
    fn of(url: &str) -> Result<Self> {
        if let Some(path) = url.strip_prefix("sqlite:") {
            let path = path.strip_prefix("//").unwrap_or(path);
            if path.is_empty() {
                return Err(Error::BadUrl(
                    "the database URL names no file: write sqlite:PATH".into(),
                ));
            }
            return Ok(Self::Sqlite(path.to_owned()));
        }
        if url.starts_with("postgres://") || url.starts_with("postgresql://") {
            if cfg!(not(feature = "postgres-tls")) && asks_for_tls(url) {
                return Err(Error::BadUrl(
                    "the database URL asks for TLS, which this build does not have: build with \
                     --features postgres-tls, or connect without sslmode"
                        .into(),
                ));
            }
            if !is_well_escaped(url) {
                return Err(Error::BadUrl(
                    "the database URL holds a character that must be escaped: in its password write %40 for @, %2F for /, \
                     %3F for ? and %25 for %"
                        .into(),
                ));
            }
            return Ok(Self::Postgres(url.to_owned()));
        }
        Err(Error::BadUrl(
            "a database URL begins with sqlite: or postgres://".into(),
        ))
    }
}

/// The library that connects says which part of a URL it cannot read, and that part may be of the password: such a URL is
/// refused before.
fn is_well_escaped(url: &str) -> bool {
    let rest = url.split_once("://").map_or("", |(_, rest)| rest);
    let place = rest.split('?').next().unwrap_or_default();
    let authority = place.split('/').next().unwrap_or_default();
    let escapes = url.split('%').skip(1);
    let whole = |escape: &str| {
        escape.len() >= 2 && escape.bytes().take(2).all(|byte| byte.is_ascii_hexdigit())
    };
    authority.matches('@').count() == place.matches('@').count()
        && authority.matches('@').count() <= 1
        && !url.contains(char::is_whitespace)
        && escapes.into_iter().all(whole)
}

/// The address of a file that is not made where it is missing (<https://www.sqlite.org/uri.html>). Not `mode=ro`: a
/// connection that cannot write does not read its tables' checks, so that `integrity_check` passes over them;
/// `query_only` keeps it from writing.
fn only_to_read(path: &str) -> String {
    let mut address = "file:".to_owned();
    for c in path.chars() {
        match c {
            '%' => address.push_str("%25"),
            '?' => address.push_str("%3f"),
            '#' => address.push_str("%23"),
            other => address.push(other),
        }
    }
    address + "?mode=rw"
}

fn asks_for_tls(url: &str) -> bool {
    [
        "sslmode=require",
        "sslmode=verify-ca",
        "sslmode=verify-full",
    ]
    .iter()
    .any(|mode| url.contains(mode))
}

struct Manager {
    place: Place,
    /// Whether nothing is to be written, and no file made.
    only_reads: bool,
}

impl ManageConnection for Manager {
    type Connection = Conn;
    type Error = diesel::r2d2::Error;

    fn connect(&self) -> std::result::Result<Conn, Self::Error> {
        let refused = diesel::r2d2::Error::ConnectionError;
        let (path, settings) = match &self.place {
            Place::Postgres(url) => {
                return PgConnection::establish(url).map(Conn::Pg).map_err(refused);
            }
            Place::Sqlite(path) if self.only_reads => (
                only_to_read(path),
                "PRAGMA busy_timeout = 10000; PRAGMA query_only = ON;",
            ),
            Place::Sqlite(path) => (
                path.clone(),
                "PRAGMA busy_timeout = 10000; PRAGMA journal_mode = WAL; \
                 PRAGMA synchronous = NORMAL; PRAGMA foreign_keys = ON;",
            ),
        };
        let mut conn = SqliteConnection::establish(&path).map_err(refused)?;
        conn.batch_execute(settings)
            .map_err(diesel::r2d2::Error::QueryError)?;
        Ok(Conn::Sqlite(conn))
    }

    fn is_valid(&self, conn: &mut Conn) -> std::result::Result<(), Self::Error> {
        conn.batch_execute("SELECT 1")
            .map_err(diesel::r2d2::Error::QueryError)
    }

    fn has_broken(&self, conn: &mut Conn) -> bool {
        // A connection given back in the middle of a transaction (a panic) is thrown away.
        type Transactions = <Conn as Connection>::TransactionManager;
        Transactions::is_broken_transaction_manager(conn)
            || !matches!(
                Transactions::transaction_manager_status_mut(conn).transaction_depth(),
                Ok(None)
            )
    }
}

/// The database: a pool of connections and the doors to a transaction.
#[derive(Clone)]
pub struct Db {
    pool: r2d2::Pool<Manager>,
    place: Place,
    clock: Clock,
    watchers: Watchers,
}

impl Db {
    /// Opens `url` (`sqlite:PATH` or `postgres://…`) with up to `connections` connections.
    pub fn open(url: &str, connections: u32, clock: Clock) -> Result<Self> {
        Self::open_place(Place::of(url)?, connections, clock, false)
    }

    /// Opens `url` to read alone: no file is made, and none is changed.
    pub fn open_to_read(url: &str, clock: Clock) -> Result<Self> {
        let place = Place::of(url)?;
        if let Place::Sqlite(path) = &place
            && !std::path::Path::new(path).is_file()
        {
            return Err(Error::Unreachable(format!("there is no file {path}")));
        }
        Self::open_place(place, 1, clock, true)
    }

    fn open_place(place: Place, connections: u32, clock: Clock, only_reads: bool) -> Result<Self> {
        let manager = Manager {
            place: place.clone(),
            only_reads,
        };
        let pool = r2d2::Pool::builder()
            .max_size(connections)
            .min_idle(Some(1))
            .test_on_check_out(matches!(place, Place::Postgres(_)))
            .connection_timeout(Duration::from_secs(10))
            .build(manager)
            .map_err(|e| Error::Unreachable(e.to_string()))?;
        Ok(Self {
            pool,
            place,
            clock,
            watchers: Watchers::default(),
        })
    }

    /// Whether this is the embedded engine, which is migrated on start.
    pub fn is_embedded(&self) -> bool {
        matches!(self.place, Place::Sqlite(_))
    }

    /// Brings the schema up to this program's; gives the names of the steps taken.
    pub fn migrate(&self) -> Result<Vec<String>> {
        let mut conn = self.connection()?;
        let steps = match &mut *conn {
            Conn::Sqlite(inner) => inner.run_pending_migrations(SQLITE_MIGRATIONS),
            Conn::Pg(inner) => inner.run_pending_migrations(POSTGRES_MIGRATIONS),
        };
        steps
            .map(|names| names.iter().map(ToString::to_string).collect())
            .map_err(|e| Error::Unreadable(format!("migration: {e}")))
    }

    /// Takes every step back, newest first: the way down is proved by the tests.
    pub fn revert_all(&self) -> Result<()> {
        let mut conn = self.connection()?;
        let steps = match &mut *conn {
            Conn::Sqlite(inner) => inner.revert_all_migrations(SQLITE_MIGRATIONS),
            Conn::Pg(inner) => inner.revert_all_migrations(POSTGRES_MIGRATIONS),
        };
        steps
            .map(|_| ())
            .map_err(|e| Error::Unreadable(format!("migration: {e}")))
    }

    /// Whether no step was ever taken here.
    pub fn is_blank(&self) -> Result<bool> {
        let mut conn = self.connection()?;
        let steps = match &mut *conn {
            Conn::Sqlite(inner) => inner.applied_migrations(),
            Conn::Pg(inner) => inner.applied_migrations(),
        };
        steps
            .map(|steps| steps.is_empty())
            .map_err(|e| Error::Unreadable(format!("migration: {e}")))
    }

    /// Whether steps are waiting that `migrate` would take.
    pub fn needs_migration(&self) -> Result<bool> {
        let mut conn = self.connection()?;
        match &mut *conn {
            Conn::Sqlite(inner) => inner.has_pending_migration(SQLITE_MIGRATIONS),
            Conn::Pg(inner) => inner.has_pending_migration(POSTGRES_MIGRATIONS),
        }
        .map_err(|e| Error::Unreadable(format!("migration: {e}")))
    }

    /// Connections in use, and how many there can be.
    pub fn connections(&self) -> (u32, u32) {
        let state = self.pool.state();
        (
            state.connections - state.idle_connections,
            self.pool.max_size(),
        )
    }

    fn connection(&self) -> Result<r2d2::PooledConnection<Manager>> {
        self.pool
            .get()
            .map_err(|e| Error::Unreachable(e.to_string()))
    }

    /// The engine's word: `sqlite` or `postgres`.
    pub const fn engine(&self) -> &'static str {
        match self.place {
            Place::Sqlite(_) => "sqlite",
            Place::Postgres(_) => "postgres",
        }
    }

    /// Path of a SQLite file.
    pub fn file(&self) -> Option<&str> {
        match &self.place {
            Place::Sqlite(path) => Some(path),
            Place::Postgres(_) => None,
        }
    }

    /// What it was opened by; it may hold a password.
    pub fn url(&self) -> String {
        match &self.place {
            Place::Sqlite(path) => format!("sqlite:{path}"),
            Place::Postgres(url) => url.clone(),
        }
    }

    /// The time now, by its clock.
    pub fn now(&self) -> Instant {
        self.clock.now().into()
    }

    pub(super) const fn place(&self) -> &Place {
        &self.place
    }

    /// For the one statement that no transaction may hold: SQLite's copy of the whole.
    pub(super) fn outside_transactions<T, E: From<Error>>(
        &self,
        work: impl FnOnce(&mut Conn) -> std::result::Result<T, E>,
    ) -> std::result::Result<T, E> {
        work(&mut *self.connection()?)
    }

    /// Reads: all queries of `work` see one state of the database.
    pub fn read<T, E: From<Error>>(
        &self,
        work: impl FnOnce(&mut Conn) -> std::result::Result<T, E>,
    ) -> std::result::Result<T, E> {
        let mut conn = self.connection()?;
        let begin = match &*conn {
            Conn::Pg(_) => "BEGIN ISOLATION LEVEL REPEATABLE READ READ ONLY",
            Conn::Sqlite(_) => "BEGIN DEFERRED",
        };
        in_transaction(&mut conn, begin, work)
    }

    /// Writes to one site, alone: one writer a site on both engines. `BEGIN IMMEDIATE` on SQLite;
    /// on PostgreSQL READ COMMITTED with the site's head row updated first (under SERIALIZABLE
    /// half the transactions of eight writers failed). Nothing slow belongs into `work`.
    pub fn write<T, E: From<Error>>(
        &self,
        scope: &Scope,
        work: impl FnOnce(&mut Tx<'_>) -> std::result::Result<T, E>,
    ) -> std::result::Result<T, E> {
        let mut conn = self.connection()?;
        let now = self.clock.now().into();
        let done = in_transaction(
            &mut conn,
            begin_write(&self.place),
            |conn| -> std::result::Result<_, E> {
                let mut tx = Tx::open(conn, scope, now)?;
                let done = work(&mut tx)?;
                Ok((done, tx.close()?))
            },
        );
        let (done, came_to) = done?;
        if let Some(seq) = came_to {
            self.watchers.tell(scope.site_id(), seq);
        }
        Ok(done)
    }

    /// Watches a site: its newest number comes whenever something of it changes, whichever instance wrote it.
    pub fn watch(&self, scope: &Scope) -> watch::Receiver<i64> {
        let watching = self.watchers.watch(scope.site_id());
        if let Place::Postgres(url) = &self.place {
            self.watchers.listen(url);
        }
        watching
    }

    /// How many watch a site by this process.
    pub fn watching(&self, scope: &Scope) -> usize {
        self.watchers.count(scope.site_id())
    }

    /// Writes what no site owns: users, their sign-in sessions, jobs.
    pub fn write_shared<T, E: From<Error>>(
        &self,
        work: impl FnOnce(&mut Conn) -> std::result::Result<T, E>,
    ) -> std::result::Result<T, E> {
        let mut conn = self.connection()?;
        in_transaction(&mut conn, begin_write(&self.place), work)
    }
}

const fn begin_write(place: &Place) -> &'static str {
    match place {
        Place::Sqlite(_) => "BEGIN IMMEDIATE",
        Place::Postgres(_) => "BEGIN ISOLATION LEVEL READ COMMITTED",
    }
}

fn in_transaction<T, E: From<Error>>(
    conn: &mut Conn,
    begin: &str,
    work: impl FnOnce(&mut Conn) -> std::result::Result<T, E>,
) -> std::result::Result<T, E> {
    type Transactions = <Conn as Connection>::TransactionManager;
    each_backend!(conn, inner => AnsiTransactionManager::begin_transaction_sql(inner, begin))
        .map_err(Error::from)?;
    match work(conn) {
        Ok(done) => {
            Transactions::commit_transaction(conn).map_err(Error::from)?;
            Ok(done)
        }
        Err(why) => {
            if let Err(also) = Transactions::rollback_transaction(conn) {
                tracing::warn!(error = %also, "a transaction could not be rolled back");
            }
            Err(why)
        }
    }
}

/// A write to one site under way: the connection, and what the site's head row hands out.
///
/// `seq` numbers what the site books in commit order: feeds, cursors and the audit chain run on
/// it, never on ids or times.
pub struct Tx<'a> {
    conn: &'a mut Conn,
    site_id: i64,
    now: Instant,
    seq: i64,
    began_at: i64,
    pub(super) hash: Vec<u8>,
}

impl<'a> Tx<'a> {
    fn open(conn: &'a mut Conn, scope: &Scope, now: Instant) -> Result<Self> {
        use super::schema::site_head::dsl;
        let (seq, hash): (i64, Vec<u8>) =
            diesel::update(dsl::site_head.filter(dsl::site_id.eq(scope.site_id())))
                .set(dsl::seq.eq(dsl::seq + 1))
                .returning((dsl::seq, dsl::hash))
                .get_result(conn)?;
        Ok(Self {
            conn,
            site_id: scope.site_id(),
            now,
            seq: seq - 1,
            began_at: seq - 1,
            hash,
        })
    }

    /// Writes the head back; gives the number the site has come to, where something was booked.
    fn close(self) -> Result<Option<i64>> {
        use super::schema::site_head::dsl;
        diesel::update(dsl::site_head.filter(dsl::site_id.eq(self.site_id)))
            .set((dsl::seq.eq(self.seq), dsl::hash.eq(&self.hash)))
            .execute(self.conn)?;
        if self.seq == self.began_at {
            return Ok(None);
        }
        changes::notify(self.conn, self.site_id, self.seq)?;
        Ok(Some(self.seq))
    }

    /// The connection, for queries.
    pub fn conn(&mut self) -> &mut Conn {
        self.conn
    }

    /// When this write is booked.
    pub const fn now(&self) -> Instant {
        self.now
    }

    /// The next number of the site's own sequence.
    pub fn next_seq(&mut self) -> i64 {
        self.seq += 1;
        self.seq
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_url_names_its_engine_or_is_refused_with_the_mend() {
        assert_eq!(
            Place::of("sqlite:/tmp/a.sqlite").unwrap(),
            Place::Sqlite("/tmp/a.sqlite".into())
        );
        assert_eq!(
            Place::of("sqlite://a.sqlite").unwrap(),
            Place::Sqlite("a.sqlite".into())
        );
        assert!(matches!(
            Place::of("postgres://h/d").unwrap(),
            Place::Postgres(_)
        ));
        for bad in ["", "sqlite:", "other://h/d"] {
            assert!(matches!(Place::of(bad), Err(Error::BadUrl(_))), "{bad}");
        }
    }

    #[test]
    fn a_url_whose_password_is_not_escaped_is_refused_without_a_word_of_it() {
        for url in [
            "postgres://u:se@cret@h/d",
            "postgres://u:se/cret@h/d",
            "postgres://u:se%cret@h/d",
            "postgres://u:secret%@h/d",
            "postgres://u:se cret@h/d",
        ] {
            let Err(Error::BadUrl(text)) = Place::of(url) else {
                panic!("{url} was taken");
            };
            assert!(text.contains("escaped") && !text.contains("cret"), "{text}");
        }
        let options = "postgres://u:se%40cret@h:1/d?options=-csearch_path%3Dx&user=a@b";
        assert!(Place::of(options).is_ok());
    }

    #[cfg(not(feature = "postgres-tls"))]
    #[test]
    fn a_build_without_tls_refuses_a_url_that_asks_for_it_and_names_the_feature() {
        let Err(Error::BadUrl(text)) = Place::of("postgres://h/d?sslmode=require") else {
            panic!("the URL was taken");
        };
        assert!(text.contains("postgres-tls"));
    }
}
