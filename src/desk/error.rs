//! Why a use case was not done. Each kind says what the asker can do about it; what went wrong
//! inside is for the log.

use std::borrow::Cow;

use serde_json::{Map, Value};

use crate::store;

/// A stable word for what is wrong, with what its words are filled in with, so that a program can say it in its reader's
/// own language.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Code {
    /// The word, in `snake_case`. Once given it keeps its meaning.
    pub word: &'static str,
    /// What its words are filled in with, by name.
    pub values: Map<String, Value>,
}

impl From<&'static str> for Code {
    fn from(word: &'static str) -> Self {
        Self {
            word,
            values: Map::new(),
        }
    }
}

impl<const N: usize> From<(&'static str, [(&str, Value); N])> for Code {
    fn from((word, values): (&'static str, [(&str, Value); N])) -> Self {
        let values = values.map(|(name, value)| (name.to_owned(), value));
        Self {
            word,
            values: values.into_iter().collect(),
        }
    }
}

/// One field that was refused, and the mend.
#[derive(Clone, Debug, PartialEq, Eq, serde::Serialize, serde::Deserialize, utoipa::ToSchema)]
pub struct FieldFault {
    /// Which one: a JSON pointer (RFC 6901) into the body, or the parameter's name.
    #[schema(example = "/minutes/0/seconds")]
    pub field: String,
    /// What is wrong and how to mend it.
    pub detail: String,
    /// A stable word for what is wrong, where a tablet may meet it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(value_type = Option<String>, example = "minutes_range")]
    pub code: Option<Cow<'static, str>>,
    /// What the words for it are filled in with.
    #[serde(default, skip_serializing_if = "Map::is_empty")]
    #[schema(value_type = Object)]
    pub values: Map<String, Value>,
}

impl FieldFault {
    /// A fault of `field`.
    pub fn new(field: impl Into<String>, detail: impl Into<String>) -> Self {
        Self {
            field: field.into(),
            detail: detail.into(),
            code: None,
            values: Map::new(),
        }
    }

    /// The same with a stable word for it.
    #[must_use]
    pub fn coded(self, code: impl Into<Code>) -> Self {
        let Code { word, values } = code.into();
        Self {
            code: Some(word.into()),
            values,
            ..self
        }
    }
}

/// Why a use case was not done.
#[derive(Debug, thiserror::Error)]
pub enum Error {
    /// The request cannot be read as what it should be.
    #[error("the request cannot be read")]
    Unreadable(Vec<FieldFault>),
    /// Nobody is signed in, or the token does not hold.
    #[error("sign in first: {0}")]
    NotSignedIn(&'static str),
    /// The password is right, but the account has a second factor, and its code is missing or wrong.
    #[error("{0}")]
    NeedsCode(&'static str),
    /// The site asks the user's roles for a second factor, which they have not set up.
    #[error(
        "this site asks your role for a second factor: set one up first, on the page /account or by POST /api/v1/me/second-factor"
    )]
    NeedsSecondFactor,
    /// The actor belongs to the site, but not in a role that may do this.
    #[error("your role at this site does not allow this; it takes {0}")]
    NotAllowed(String),
    /// No such thing where the actor may look.
    #[error("no such {0} here")]
    NotFound(&'static str),
    /// The thing is in a state in which this cannot be done; with a stable word for it where a tablet may meet it.
    #[error("{0}")]
    State(String, Option<Code>),
    /// Somebody else changed it since it was read.
    #[error(
        "it was changed since you read it: read it again, then send the change with its new ETag"
    )]
    Stale,
    /// Well-formed, but refused.
    #[error("the request is refused")]
    Refused(Vec<FieldFault>),
    /// A key that came before with another request.
    #[error("this Idempotency-Key came before with another request: use a new key for new work")]
    KeyReused,
    /// Too many tries.
    #[error("too many tries: wait {0} s")]
    TooMany(u64),
    /// As much is under way as may be; how long to wait, s.
    #[error("{0}")]
    Busy(String, u64),
    /// The service itself failed.
    #[error(transparent)]
    Failed(store::Error),
}

impl Error {
    /// One refused field.
    pub fn refused(field: impl Into<String>, detail: impl Into<String>) -> Self {
        Self::Refused(vec![FieldFault::new(field, detail)])
    }

    /// One refused field, with a stable word for what is wrong.
    pub fn refused_as(
        code: impl Into<Code>,
        field: impl Into<String>,
        detail: impl Into<String>,
    ) -> Self {
        Self::Refused(vec![FieldFault::new(field, detail).coded(code)])
    }

    /// A thing in a state in which this cannot be done.
    pub const fn state(detail: String) -> Self {
        Self::State(detail, None)
    }

    /// The same, with a stable word for it.
    pub fn state_of(code: impl Into<Code>, detail: impl Into<String>) -> Self {
        Self::State(detail.into(), Some(code.into()))
    }
}

impl From<store::Error> for Error {
    fn from(error: store::Error) -> Self {
        match error {
            store::Error::NotFound => Self::NotFound("row"),
            store::Error::Stale => Self::Stale,
            store::Error::NeedsSecondFactor => Self::NeedsSecondFactor,
            other => Self::Failed(other),
        }
    }
}

impl From<getrandom::Error> for Error {
    fn from(error: getrandom::Error) -> Self {
        store::Error::from(error).into()
    }
}

/// Whether a query found nothing.
pub fn is_missing<T>(found: store::Result<T>) -> store::Result<bool> {
    match found {
        Ok(_) => Ok(false),
        Err(store::Error::NotFound) => Ok(true),
        Err(why) => Err(why),
    }
}

/// Says what was looked for where a query found nothing.
pub trait Named<T> {
    /// `thing` is the word of design: `court`, `work order`.
    fn named(self, thing: &'static str) -> Result<T, Error>;

    /// The same where a field of what was told names it.
    fn known_by(self, field: &str) -> Result<T, Error>;
}

impl<T> Named<T> for store::Result<T> {
    fn named(self, thing: &'static str) -> Result<T, Error> {
        self.map_err(|error| match error {
            store::Error::NotFound => Error::NotFound(thing),
            other => other.into(),
        })
    }

    fn known_by(self, field: &str) -> Result<T, Error> {
        self.map_err(|error| match error {
            store::Error::NotFound => Error::refused(field, "this site has none with this id"),
            other => other.into(),
        })
    }
}
