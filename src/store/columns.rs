//! How values stand in columns on both engines.

use std::fmt;
use std::str::FromStr;

use chrono::{DateTime, DurationRound, NaiveDateTime, TimeDelta, Utc};
use diesel::backend::Backend;
use diesel::deserialize::{self, FromSql, FromSqlRow};
use diesel::expression::AsExpression;
use diesel::serialize::{self, Output, ToSql};
use diesel::sql_types::{Text, Timestamp};
use serde::{Deserialize, Serialize};

/// An instant in UTC, cut to the millisecond, so that it comes back from either engine as it went
/// in (PostgreSQL keeps microseconds, chrono nanoseconds). In JSON: RFC 3339.
#[derive(
    Clone,
    Copy,
    Debug,
    PartialEq,
    Eq,
    PartialOrd,
    Ord,
    Hash,
    AsExpression,
    FromSqlRow,
    Serialize,
    Deserialize,
    utoipa::ToSchema,
)]
#[diesel(sql_type = Timestamp)]
#[serde(from = "DateTime<Utc>", into = "DateTime<Utc>")]
#[schema(value_type = String, format = DateTime)]
pub struct Instant(NaiveDateTime);

impl Instant {
    /// The instant as chrono has it.
    pub fn utc(self) -> DateTime<Utc> {
        self.0.and_utc()
    }
}

impl From<DateTime<Utc>> for Instant {
    fn from(at: DateTime<Utc>) -> Self {
        let naive = at.naive_utc();
        Self(
            naive
                .duration_trunc(TimeDelta::milliseconds(1))
                .unwrap_or(naive),
        )
    }
}

impl From<Instant> for DateTime<Utc> {
    fn from(at: Instant) -> Self {
        at.utc()
    }
}

impl fmt::Display for Instant {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(
            &self
                .utc()
                .to_rfc3339_opts(chrono::SecondsFormat::Millis, true),
        )
    }
}

impl<DB: Backend> FromSql<Timestamp, DB> for Instant
where
    NaiveDateTime: FromSql<Timestamp, DB>,
{
    fn from_sql(bytes: DB::RawValue<'_>) -> deserialize::Result<Self> {
        NaiveDateTime::from_sql(bytes).map(Self)
    }
}

impl<DB: Backend> ToSql<Timestamp, DB> for Instant
where
    NaiveDateTime: ToSql<Timestamp, DB>,
{
    fn to_sql<'b>(&'b self, out: &mut Output<'b, '_, DB>) -> serialize::Result {
        self.0.to_sql(out)
    }
}

/// A word from a fixed list, kept as text: any type that is written and read as one.
#[derive(
    Clone, Copy, Debug, PartialEq, Eq, Hash, AsExpression, FromSqlRow, Serialize, Deserialize,
)]
#[diesel(sql_type = Text)]
#[serde(transparent)]
pub struct Word<T>(pub T);

impl<T: FromStr, DB: Backend> FromSql<Text, DB> for Word<T>
where
    String: FromSql<Text, DB>,
{
    fn from_sql(bytes: DB::RawValue<'_>) -> deserialize::Result<Self> {
        let text = String::from_sql(bytes)?;
        text.parse()
            .map(Word)
            .map_err(|_| format!("the column holds an unknown word: {text}").into())
    }
}

impl<T: AsRef<str> + fmt::Debug, DB: Backend> ToSql<Text, DB> for Word<T>
where
    str: ToSql<Text, DB>,
{
    fn to_sql<'b>(&'b self, out: &mut Output<'b, '_, DB>) -> serialize::Result {
        self.0.as_ref().to_sql(out)
    }
}

/// A value kept as JSON text. It is written with [`json`].
#[derive(Clone, Debug, PartialEq, Eq, FromSqlRow, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Json<T>(pub T);

impl<T: serde::de::DeserializeOwned, DB: Backend> FromSql<Text, DB> for Json<T>
where
    String: FromSql<Text, DB>,
{
    fn from_sql(bytes: DB::RawValue<'_>) -> deserialize::Result<Self> {
        Ok(Json(serde_json::from_str(&String::from_sql(bytes)?)?))
    }
}

/// Bytes as text, two hexadecimal digits a byte.
pub fn hex(bytes: &[u8]) -> String {
    use std::fmt::Write as _;
    bytes.iter().fold(String::new(), |mut text, byte| {
        // Writing to a String cannot fail.
        let _ = write!(text, "{byte:02x}");
        text
    })
}

/// The text of a value that goes into a JSON column.
pub fn json<T: Serialize>(value: &T) -> super::Result<String> {
    serde_json::to_string(value).map_err(|e| super::Error::Unreadable(e.to_string()))
}

/// Declares an enum that is a fixed list of words, in text, JSON and columns alike.
macro_rules! words {
    ($(#[doc = $doc:literal])+ $name:ident { $($(#[$vmeta:meta])* $variant:ident = $word:literal,)+ }) => {
        $(#[doc = $doc])+
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Serialize,
            serde::Deserialize, diesel::expression::AsExpression,
            diesel::deserialize::FromSqlRow)]
        #[diesel(sql_type = diesel::sql_types::Text)]
        pub enum $name { $($(#[$vmeta])* #[serde(rename = $word)] $variant,)+ }

        impl $name {
            /// Every word of the list, in order.
            pub const ALL: &[Self] = &[$(Self::$variant),+];

            /// The word itself.
            pub const fn as_str(self) -> &'static str {
                match self { $(Self::$variant => $word),+ }
            }
        }

        impl std::fmt::Display for $name {
            fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                f.write_str(self.as_str())
            }
        }

        impl std::str::FromStr for $name {
            type Err = String;
            fn from_str(text: &str) -> Result<Self, String> {
                Self::ALL.iter().copied().find(|w| w.as_str() == text)
                    .ok_or_else(|| format!("unknown word: {text}"))
            }
        }

        // By hand: the derive does not see the words through the macro and would list the variants.
        impl utoipa::PartialSchema for $name {
            fn schema() -> utoipa::openapi::RefOr<utoipa::openapi::schema::Schema> {
                utoipa::openapi::schema::ObjectBuilder::new()
                    .schema_type(utoipa::openapi::schema::Type::String)
                    .description(Some(concat!($($doc, "\n"),+).trim()))
                    .enum_values(Some([$($word),+]))
                    .into()
            }
        }

        impl utoipa::ToSchema for $name {
            fn name() -> std::borrow::Cow<'static, str> {
                stringify!($name).into()
            }
        }

        impl<DB: diesel::backend::Backend> diesel::deserialize::FromSql<diesel::sql_types::Text, DB> for $name
        where String: diesel::deserialize::FromSql<diesel::sql_types::Text, DB>
        {
            fn from_sql(bytes: DB::RawValue<'_>) -> diesel::deserialize::Result<Self> {
                let text = <String as diesel::deserialize::FromSql<diesel::sql_types::Text, DB>>::from_sql(bytes)?;
                text.parse().map_err(Into::into)
            }
        }

        impl<DB: diesel::backend::Backend> diesel::serialize::ToSql<diesel::sql_types::Text, DB> for $name
        where str: diesel::serialize::ToSql<diesel::sql_types::Text, DB>
        {
            fn to_sql<'b>(&'b self, out: &mut diesel::serialize::Output<'b, '_, DB>) -> diesel::serialize::Result {
                self.as_str().to_sql(out)
            }
        }
    };
}
pub(crate) use words;
