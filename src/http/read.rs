//! Reading a request: body, path, query and conditional headers. Whatever cannot be read gives a
//! problem document that names the field and the mend.

use std::future::{Ready, ready};

use actix_web::dev::Payload;
use actix_web::error::{PathError, PayloadError, UrlencodedError};
use actix_web::http::header;
use actix_web::{FromRequest, HttpMessage, HttpRequest, web};
use serde::de::DeserializeOwned;

mod calendar;
mod numbers;
mod query;
mod shape;
mod upload;

pub use calendar::{CalendarText, FormBytes, FormFile};
pub use query::{Day, Everything, Id, ListQuery, Listing, Query, read_cursor, write_cursor};
pub use upload::Upload;

use super::in_time::is_too_slow;
use super::problem::{Kind, Problem};
use crate::desk::Permit;
use crate::desk::access::Permission;
use crate::store::users::UserKind;
use crate::store::{Actor, Scope};

/// Largest JSON body, bytes.
pub const BODY_LIMIT: usize = 256 * 1024;

/// A JSON body of the operation's schema. Unknown fields are refused by the type itself
/// (`deny_unknown_fields`).
pub struct Body<T>(pub T);

impl<T: DeserializeOwned + 'static> FromRequest for Body<T> {
    type Error = Problem;
    type Future = std::pin::Pin<Box<dyn Future<Output = Result<Self, Problem>>>>;

    fn from_request(req: &HttpRequest, payload: &mut Payload) -> Self::Future {
        if let Err(problem) = is_plain_json(req) {
            return Box::pin(ready(Err(problem)));
        }
        let bytes = web::Bytes::from_request(req, payload);
        Box::pin(async move {
            let bytes = bytes.await.map_err(|e| {
                if e.as_response_error().status_code() == Kind::TooLarge.row().1 {
                    too_large()
                } else {
                    not_whole(&e)
                }
            })?;
            shape::check(&bytes)?;
            parse_json(&numbers::plain(&bytes)).map(Body)
        })
    }
}

/// Whether the body is said to be JSON, as it is.
fn is_plain_json(req: &HttpRequest) -> Result<(), Problem> {
    let mime = req.mime_type().ok().flatten();
    if mime.is_none_or(|mime| mime.essence_str() != "application/json") {
        return Err(Problem::new(
            Kind::MediaType,
            "send the body as application/json",
        ));
    }
    if req.headers().contains_key(header::CONTENT_ENCODING) {
        // RFC 9110 section 15.5.16: a coding that is not taken is answered like a media type.
        return Err(Problem::new(
            Kind::MediaType,
            "send the body as it is, without Content-Encoding",
        ));
    }
    Ok(())
}

fn parse_json<T: DeserializeOwned>(bytes: &[u8]) -> Result<T, Problem> {
    let mut json = serde_json::Deserializer::from_slice(bytes);
    let value = serde_path_to_error::deserialize(&mut json).map_err(|e| {
        let detail = e.inner().to_string();
        let missing = missing_field(&detail).map(|name| format!("/{}", escape(name)));
        let field = pointer(e.path()) + missing.unwrap_or_default().as_str();
        Problem::unreadable(field, detail)
    })?;
    json.end()
        .map_err(|e| Problem::unreadable("", e.to_string()))?;
    refuse_nul(bytes)?;
    Ok(value)
}

/// The field that a reader missed, by what it says: it is at the object's own pointer then.
fn missing_field(detail: &str) -> Option<&str> {
    detail.strip_prefix("missing field `")?.split('`').next()
}

/// PostgreSQL keeps no NUL in a text: one is refused here, on both engines alike.
fn refuse_nul(bytes: &[u8]) -> Result<(), Problem> {
    // Raw control characters are no JSON, so that a NUL can only be written as an escape.
    if !bytes.windows(6).any(|six| six == b"\\u0000") {
        return Ok(());
    }
    let value: serde_json::Value =
        serde_json::from_slice(bytes).map_err(|e| Problem::unreadable("", e.to_string()))?;
    match nul_in(&value) {
        Some(field) => Err(Problem::unreadable(
            field,
            "leave the NUL character (\\u0000) out of the text",
        )),
        None => Ok(()),
    }
}

/// The JSON pointer of the first text that holds a NUL.
fn nul_in(value: &serde_json::Value) -> Option<String> {
    use serde_json::Value;
    match value {
        Value::String(text) => text.contains('\0').then(String::new),
        Value::Array(items) => items
            .iter()
            .enumerate()
            .find_map(|(index, item)| nul_in(item).map(|rest| format!("/{index}{rest}"))),
        Value::Object(members) => members.iter().find_map(|(key, member)| {
            if key.contains('\0') {
                return Some(String::new());
            }
            nul_in(member).map(|rest| format!("/{}{rest}", escape(key)))
        }),
        Value::Null | Value::Bool(_) | Value::Number(_) => None,
    }
}

/// A name as a part of a JSON pointer.
fn escape(key: &str) -> String {
    key.replace('~', "~0").replace('/', "~1")
}

/// The JSON pointer (RFC 6901) of a path in a body; the whole body is the empty pointer.
fn pointer(path: &serde_path_to_error::Path) -> String {
    use serde_path_to_error::Segment;
    path.iter()
        .filter_map(|segment| match segment {
            Segment::Seq { index } => Some(format!("/{index}")),
            Segment::Map { key } => Some(format!("/{}", escape(key))),
            Segment::Enum { .. } | Segment::Unknown => None,
        })
        .collect()
}

/// Why a body could not be read to its end.
fn not_whole(error: &actix_web::Error) -> Problem {
    match error.as_error::<PayloadError>() {
        Some(error) if is_too_slow(error) => too_slow(),
        _ => Problem::unreadable("body", "the body did not arrive whole: send it again"),
    }
}

fn too_slow() -> Problem {
    Problem::new(
        Kind::TooSlow,
        "the body did not arrive in time: send it again, where the connection is better",
    )
}

/// Why a form could not be read.
pub fn form_fault(error: &UrlencodedError) -> Problem {
    match error {
        UrlencodedError::Payload(why) if is_too_slow(why) => too_slow(),
        UrlencodedError::Overflow { .. } => too_large(),
        other => Problem::new(Kind::Unreadable, other.to_string()),
    }
}

fn too_large() -> Problem {
    Problem::new(
        Kind::TooLarge,
        format!("a body holds at most {BODY_LIMIT} bytes"),
    )
}

/// What the framework's own extractors answer where a request cannot be read.
pub fn configure(cfg: &mut web::ServiceConfig) {
    cfg.app_data(web::PayloadConfig::new(BODY_LIMIT)).app_data(
        web::PathConfig::default().error_handler(|e, req| {
            let ids = req
                .match_info()
                .iter()
                .filter(|(name, _)| name.ends_with("_id"));
            let not_a_number = ids.filter(|(_, text)| text.parse::<i64>().is_err());
            if let Some((name, _)) = not_a_number.last() {
                return Problem::unreadable(name, "an id is a whole number").into();
            }
            let detail = match e {
                PathError::Deserialize(why) => why.to_string(),
                _ => "the path cannot be read".to_owned(),
            };
            let last = req.match_info().iter().last().map(|(name, _)| name);
            Problem::unreadable(last.unwrap_or("path"), detail).into()
        }),
    );
}

/// Who is behind a request, put there by the guard.
#[derive(Clone, Copy, Debug)]
pub struct User {
    /// The user, and from where they ask.
    pub actor: Actor,
    /// What they are.
    pub kind: UserKind,
}

impl FromRequest for User {
    type Error = Problem;
    type Future = Ready<Result<Self, Problem>>;

    fn from_request(req: &HttpRequest, _: &mut Payload) -> Self::Future {
        let user = req.extensions().get::<Self>().copied();
        ready(user.ok_or_else(|| Problem::new(Kind::NotSignedIn, "sign in first")))
    }
}

/// The person behind a request: neither a crew's tablet nor a key has an account of its own. Ready at once, as a permit is.
#[derive(Clone, Copy, Debug)]
pub struct Person(pub Actor);

impl FromRequest for Person {
    type Error = Problem;
    type Future = Ready<Result<Self, Problem>>;

    fn from_request(req: &HttpRequest, _: &mut Payload) -> Self::Future {
        let user = req.extensions().get::<User>().copied();
        ready(match user {
            Some(user) if user.kind == UserKind::Person => Ok(Self(user.actor)),
            Some(_) => Err(Problem::new(
                Kind::NotAllowed,
                "this is for a person who signed in with an address and a password",
            )),
            None => Err(Problem::new(Kind::NotSignedIn, "sign in first")),
        })
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

#[cfg(test)]
mod tests {
    use super::*;

    /// Source: RFC 9110 sections 8.8.3 and 13.1.1 (quoted tags, weak ones never match), RFC 6585
    /// section 3 (428).
    #[test]
    fn a_nul_in_a_text_is_refused_by_its_pointer_and_a_written_backslash_is_not() {
        let fault = |text: &str| refuse_nul(text.as_bytes()).err().map(|p| p.to_string());
        let found = fault(r#"{ "a/b": [1, { "note": "x\u0000y" }] }"#);
        assert!(found.unwrap().starts_with("/a~1b/1/note: "));
        assert_eq!(fault(r#"{ "note": "\\u0000" }"#), None);
    }

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
