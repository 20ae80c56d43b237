//! Shaping an answer: lists with their next page, single things with their version.

use actix_web::http::header::{self, EntityTag, IfNoneMatch};
use actix_web::{HttpMessage, HttpRequest, HttpResponse, HttpResponseBuilder};
use serde::Serialize;

use super::read::write_cursor;
use crate::desk::pictures::Content;
use crate::store::Paged;

/// One page of a list.
#[derive(Debug, Serialize, utoipa::ToSchema)]
pub struct List<T> {
    /// The rows of this page.
    pub items: Vec<T>,
    /// Send it as `cursor` for the next page; null on the last one.
    pub next_cursor: Option<String>,
}

/// A page of a list; the next one is also named in a `Link` header (RFC 8288).
pub fn list<T: Serialize>(req: &HttpRequest, page: Paged<T>) -> HttpResponse {
    let next_cursor = page.next.map(write_cursor);
    let mut answer = HttpResponse::Ok();
    if let Some(cursor) = &next_cursor {
        answer.insert_header((
            header::LINK,
            format!("<{}>; rel=\"next\"", next_target(req, cursor)),
        ));
    }
    answer.json(List {
        items: page.items,
        next_cursor,
    })
}

fn next_target(req: &HttpRequest, cursor: &str) -> String {
    let mut query: Vec<(String, String)> =
        serde_urlencoded::from_str(req.query_string()).unwrap_or_default();
    query.retain(|(name, _)| name != "cursor");
    query.push(("cursor".into(), cursor.into()));
    format!(
        "{}?{}",
        req.path(),
        serde_urlencoded::to_string(query).unwrap_or_default()
    )
}

/// One thing, with its version as the `ETag`.
pub fn versioned<T: Serialize>(thing: &T, version: i64) -> HttpResponse {
    HttpResponse::Ok()
        .insert_header((header::ETAG, format!("\"{version}\"")))
        .json(thing)
}

/// Whether the asker has what this tag names (RFC 9110 section 13.1.2).
fn is_known(req: &HttpRequest, tag: &EntityTag) -> bool {
    match req.get_header::<IfNoneMatch>() {
        Some(IfNoneMatch::Any) => true,
        Some(IfNoneMatch::Items(known)) => known.iter().any(|one| one.weak_eq(tag)),
        None => false,
    }
}

/// The head of an answer with this tag, which the asker may keep as `keep` says; and whether they have it already: then the
/// answer is this head alone.
pub fn tagged(
    req: &HttpRequest,
    tag: EntityTag,
    keep: &'static str,
) -> (HttpResponseBuilder, bool) {
    let is_known = is_known(req, &tag);
    let mut answer = if is_known {
        HttpResponse::NotModified()
    } else {
        HttpResponse::Ok()
    };
    answer
        .insert_header(header::ETag(tag))
        .insert_header((header::CACHE_CONTROL, keep));
    (answer, is_known)
}

/// A content, or that the asker has it already. It may be kept by who asked, and is asked for again each time: it can be
/// removed.
pub fn content(req: &HttpRequest, content: Content) -> HttpResponse {
    let tag = EntityTag::new_strong(content.sha256);
    let (mut answer, is_known) = tagged(req, tag, "private, no-cache");
    if is_known {
        return answer.finish();
    }
    answer
        .insert_header((header::CONTENT_DISPOSITION, "inline"))
        .content_type(content.media_type)
        .body(content.bytes)
}
