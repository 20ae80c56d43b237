//! Reading a request: body, path, query and conditional headers. Whatever cannot be read gives a
//! problem document that names the field and the mend.

use std::future::{Ready, ready};

use actix_web::dev::Payload;
use actix_web::error::{JsonPayloadError, PathError, QueryPayloadError};
use actix_web::http::header;
use actix_web::{FromRequest, HttpMessage, HttpRequest, web};
use base64::Engine;
use base64::engine::general_purpose::URL_SAFE_NO_PAD;
use chrono::NaiveDate;
use serde::Deserialize;
use serde::de::DeserializeOwned;

use super::problem::{Kind, Problem};
use crate::desk::Permit;
use crate::desk::access::Permission;
use crate::store::{Page, Scope};

/// Largest JSON body, bytes.
pub const BODY_LIMIT: usize = 256 * 1024;

/// A JSON body of the operation's schema. Unknown fields are refused by the type itself
/// (`deny_unknown_fields`).
pub struct Body<T>(pub T);

impl<T: DeserializeOwned + 'static> FromRequest for Body<T> {
    type Error = Problem;
    type Future = std::pin::Pin<Box<dyn Future<Output = Result<Self, Problem>>>>;

    fn from_request(req: &HttpRequest, payload: &mut Payload) -> Self::Future {
        if req
            .mime_type()
            .ok()
            .flatten()
            .is_none_or(|mime| mime.subtype() != "json")
        {
            return Box::pin(ready(Err(Problem::new(
                Kind::MediaType,
                "send the body as application/json",
            ))));
        }
        let bytes = web::Bytes::from_request(req, payload);
        Box::pin(async move {
            let bytes = bytes.await.map_err(|e| {
                if e.as_response_error().status_code() == Kind::TooLarge.row().1 {
                    too_large()
                } else {
                    Problem::unreadable("body", "the body did not arrive whole: send it again")
                }
            })?;
            parse_json(&bytes).map(Body)
        })
    }
}

fn parse_json<T: DeserializeOwned>(bytes: &[u8]) -> Result<T, Problem> {
    let mut json = serde_json::Deserializer::from_slice(bytes);
    let value = serde_path_to_error::deserialize(&mut json)
        .map_err(|e| Problem::unreadable(pointer(e.path()), e.inner().to_string()))?;
    json.end()
        .map_err(|e| Problem::unreadable("", e.to_string()))?;
    Ok(value)
}

/// The JSON pointer (RFC 6901) of a path in a body; the whole body is the empty pointer.
fn pointer(path: &serde_path_to_error::Path) -> String {
    use serde_path_to_error::Segment;
    path.iter()
        .filter_map(|segment| match segment {
            Segment::Seq { index } => Some(format!("/{index}")),
            Segment::Map { key } => Some(format!("/{}", key.replace('~', "~0").replace('/', "~1"))),
            Segment::Enum { .. } | Segment::Unknown => None,
        })
        .collect()
}

fn too_large() -> Problem {
    Problem::new(
        Kind::TooLarge,
        format!("a body holds at most {BODY_LIMIT} bytes"),
    )
}

/// What the framework's own extractors answer where a request cannot be read.
pub fn configure(cfg: &mut web::ServiceConfig) {
    cfg.app_data(web::PayloadConfig::new(BODY_LIMIT))
        .app_data(
            web::JsonConfig::default()
                .limit(BODY_LIMIT)
                .error_handler(|e, _| {
                    match e {
                        JsonPayloadError::Overflow { .. }
                        | JsonPayloadError::OverflowKnownLength { .. } => too_large(),
                        other => Problem::unreadable("body", other.to_string()),
                    }
                    .into()
                }),
        )
        .app_data(web::PathConfig::default().error_handler(|e, req| {
            let known = matches!(e, PathError::Deserialize(_));
            let detail = if known {
                e.to_string()
            } else {
                "the path cannot be read".into()
            };
            Problem::unreadable(req.match_info().as_str().to_owned(), detail).into()
        }))
        .app_data(web::QueryConfig::default().error_handler(|e, _| {
            let QueryPayloadError::Deserialize(inner) = &e else {
                return Problem::unreadable("query", e.to_string()).into();
            };
            Problem::unreadable("query", inner.to_string()).into()
        }));
}

/// The user behind a request, put there by the guard.
#[derive(Clone, Copy, Debug)]
pub struct User(pub i64);

impl FromRequest for User {
    type Error = Problem;
    type Future = Ready<Result<Self, Problem>>;

    fn from_request(req: &HttpRequest, _: &mut Payload) -> Self::Future {
        let user = req.extensions().get::<Self>().copied();
        ready(user.ok_or_else(|| Problem::new(Kind::NotSignedIn, "sign in first")))
    }
}

/// The permit of an operation, from the scope the guard proved. Ready at once, so that nobody's
/// body is read before the permit is known.
impl<P: Permission> FromRequest for Permit<P> {
    type Error = Problem;
    type Future = Ready<Result<Self, Problem>>;

    fn from_request(req: &HttpRequest, _: &mut Payload) -> Self::Future {
        let scope = req.extensions().get::<Scope>().cloned();
        ready(match scope {
            Some(scope) => Self::of(scope).map_err(Problem::from),
            None => Err(Problem::new(Kind::NotSignedIn, "sign in first")),
        })
    }
}

/// The version an edit starts from: `If-Match: "7"`.
#[derive(Clone, Copy, Debug)]
pub struct IfMatch(pub i64);

impl FromRequest for IfMatch {
    type Error = Problem;
    type Future = Ready<Result<Self, Problem>>;

    fn from_request(req: &HttpRequest, _: &mut Payload) -> Self::Future {
        ready(version_of(req.headers().get(header::IF_MATCH)))
    }
}

fn version_of(value: Option<&header::HeaderValue>) -> Result<IfMatch, Problem> {
    let Some(value) = value else {
        return Err(Problem::new(
            Kind::NeedsEtag,
            "send If-Match with the ETag you read, so that nobody's change is overwritten",
        ));
    };
    let tag = value.to_str().unwrap_or_default().trim();
    if tag.starts_with("W/") {
        // RFC 9110 section 13.1.1: If-Match compares strongly, a weak tag never matches.
        return Err(Problem::from(crate::desk::Error::Stale));
    }
    tag.strip_prefix('"')
        .and_then(|t| t.strip_suffix('"'))
        .and_then(|t| t.parse().ok())
        .map(IfMatch)
        .ok_or_else(|| {
            Problem::unreadable(
                "If-Match",
                "send the one ETag you read, in its quotes: \"7\"",
            )
        })
}

/// The client's own key of something that happened: `Idempotency-Key: "UUID"`.
#[derive(Clone, Debug)]
pub struct ClientKey(pub String);

impl FromRequest for ClientKey {
    type Error = Problem;
    type Future = Ready<Result<Self, Problem>>;

    fn from_request(req: &HttpRequest, _: &mut Payload) -> Self::Future {
        let key = req
            .headers()
            .get("idempotency-key")
            .and_then(|v| v.to_str().ok())
            .unwrap_or("");
        let key = uuid::Uuid::parse_str(key.trim().trim_matches('"'));
        ready(key.map(|key| Self(key.to_string())).map_err(|_| {
            Problem::unreadable(
                "Idempotency-Key",
                "send a UUID of your own that names this one event, and the same one when you send it again",
            )
        }))
    }
}

/// The list parameters `limit` and `cursor`.
#[derive(Clone, Debug, Deserialize, utoipa::IntoParams)]
#[into_params(parameter_in = Query)]
pub struct ListQuery {
    /// Rows a page, 1 to 200; 50 where not given.
    #[param(minimum = 1, maximum = 200)]
    limit: Option<i64>,
    /// Where the page starts: `next_cursor` of the page before.
    cursor: Option<String>,
}

impl ListQuery {
    /// The page asked for.
    pub fn page(&self) -> Result<Page, Problem> {
        let limit = self.limit.unwrap_or(50);
        if !(1..=Page::MOST).contains(&limit) {
            return Err(Problem::unreadable("limit", "ask for 1 to 200 rows a page"));
        }
        let after = match &self.cursor {
            None => 0,
            Some(text) => read_cursor(text).ok_or_else(|| {
                Problem::unreadable(
                    "cursor",
                    "send next_cursor of the page before, or leave it out",
                )
            })?,
        };
        Ok(Page { after, limit })
    }
}

/// A date of the query, `2031-06-10`, where it is given.
pub fn date_of(name: &str, text: Option<&str>) -> Result<Option<NaiveDate>, Problem> {
    let date = text.map(str::parse).transpose();
    date.map_err(|_| Problem::unreadable(name, "give a date of the calendar: 2031-06-10"))
}

/// An id of the query, where it is given.
pub fn id_of(name: &str, text: Option<&str>) -> Result<Option<i64>, Problem> {
    let id = text.map(str::parse).transpose();
    id.map_err(|_| Problem::unreadable(name, "an id is a whole number"))
}

/// A cursor is opaque to the client.
pub fn write_cursor(id: i64) -> String {
    URL_SAFE_NO_PAD.encode(format!("after:{id}"))
}

fn read_cursor(text: &str) -> Option<i64> {
    let bytes = URL_SAFE_NO_PAD.decode(text).ok()?;
    String::from_utf8(bytes)
        .ok()?
        .strip_prefix("after:")?
        .parse()
        .ok()
        .filter(|id| *id >= 0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_cursor_comes_back_as_it_went_and_a_made_up_one_is_refused() {
        assert_eq!(read_cursor(&write_cursor(93)), Some(93));
        assert_eq!(read_cursor("93"), None);
        assert_eq!(read_cursor(&URL_SAFE_NO_PAD.encode("after:-1")), None);
    }

    /// Source: RFC 9110 sections 8.8.3 and 13.1.1 (quoted tags, weak ones never match), RFC 6585
    /// section 3 (428).
    #[test]
    fn an_edit_needs_a_strong_etag() {
        let kind = |text: Option<&str>| {
            let value = text.map(|t| header::HeaderValue::from_str(t).unwrap());
            version_of(value.as_ref())
                .map(|v| v.0)
                .map_err(|p| p.kind())
        };
        assert_eq!(kind(Some("\"7\"")), Ok(7));
        assert_eq!(kind(None), Err(Kind::NeedsEtag));
        assert_eq!(kind(Some("W/\"7\"")), Err(Kind::Stale));
        assert_eq!(kind(Some("7")), Err(Kind::Unreadable));
    }
}
