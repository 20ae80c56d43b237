//! What the two engines do differently, in one file: how a failure is told, and statements that
//! the common connection does not carry.

use diesel::result::{DatabaseErrorKind, Error as DieselError};

use super::db::Conn;

/// Runs one expression on the engine's own connection: for statements the common connection does
/// not carry (upserts, batch inserts).
macro_rules! each_backend {
    ($conn:expr, $inner:ident => $body:expr) => {
        match $conn {
            $crate::store::db::Conn::Pg($inner) => $body,
            $crate::store::db::Conn::Sqlite($inner) => $body,
        }
    };
}
pub(crate) use each_backend;

/// Why a query gave nothing. What it says is for the log; a client gets a problem document.
#[derive(Debug, thiserror::Error)]
pub enum Error {
    /// No such row in this scope.
    #[error("no such row")]
    NotFound,
    /// A row like this stands already.
    #[error("a row like this stands already: {0}")]
    Taken(String),
    /// The row was changed by somebody else since it was read.
    #[error("the row was changed since it was read")]
    Stale,
    /// The site asks who holds the user's roles for a second factor, which they do not have.
    #[error("the site asks for a second factor")]
    NeedsSecondFactor,
    /// No connection could be had in time.
    #[error("the database cannot be reached: {0}")]
    Unreachable(String),
    /// The database URL does not say what to connect to.
    #[error("{0}")]
    BadUrl(String),
    /// The machine gives no random bytes.
    #[error("the machine gives no random bytes: {0}")]
    NoRandom(#[from] getrandom::Error),
    /// The folder that files lie in cannot be read or written.
    #[error("the folder of files: {0}")]
    Folder(String),
    /// A stored value does not read as what it should be.
    #[error("a stored value cannot be read: {0}")]
    Unreadable(String),
    /// Anything else the database says.
    #[error("database: {0}")]
    Database(DieselError),
}

impl From<DieselError> for Error {
    fn from(error: DieselError) -> Self {
        match error {
            DieselError::NotFound => Self::NotFound,
            // PostgreSQL names the constraint, SQLite the table and columns: both are told whole.
            DieselError::DatabaseError(DatabaseErrorKind::UniqueViolation, info) => {
                Self::Taken(info.constraint_name().unwrap_or(info.message()).to_owned())
            }
            other => Self::Database(other),
        }
    }
}

/// Which engine a connection speaks to.
pub const fn engine(conn: &Conn) -> &'static str {
    match conn {
        Conn::Pg(_) => "postgres",
        Conn::Sqlite(_) => "sqlite",
    }
}
