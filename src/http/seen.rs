//! A request is seen: it has an id, which its answer, its problem document and every line of the log about it carry, and
//! a line of its own in the log when it is answered, without anything a client wrote into its address.

use std::time::{Duration, Instant};

use actix_web::HttpMessage;
use actix_web::body::{BodySize, MessageBody};
use actix_web::dev::{ServiceRequest, ServiceResponse};
use actix_web::http::header::{HeaderName, HeaderValue};
use actix_web::http::{Method, StatusCode};
use actix_web::middleware::Next;
use tracing::Instrument;
use uuid::Uuid;

use super::reached::from_a_proxy;
use super::read::User;
use super::serving::Times;
use crate::sight;
use crate::store::Scope;

const HEADER: HeaderName = HeaderName::from_static("x-request-id");
/// Longest id that is taken from a proxy, characters.
const LONGEST: usize = 64;

/// The request a task is about.
struct Current {
    id: String,
    give_up: Instant,
}

tokio::task_local! {
    static CURRENT: Current;
}

/// The id of the request at hand, as a URI; none outside of one.
pub fn request_urn() -> Option<String> {
    let urn = |current: &Current| match Uuid::parse_str(&current.id) {
        Ok(id) => format!("urn:uuid:{id}"),
        Err(_) => format!("urn:roundhand:request:{}", current.id),
    };
    CURRENT.try_with(urn).ok()
}

/// How long the request at hand may still take; none outside of one.
pub fn time_left() -> Option<Duration> {
    let left = |current: &Current| current.give_up.saturating_duration_since(Instant::now());
    CURRENT.try_with(left).ok()
}

/// Gives a request its id, and notes its answer.
pub async fn seen(
    req: ServiceRequest,
    next: Next<impl MessageBody>,
) -> Result<ServiceResponse<impl MessageBody>, actix_web::Error> {
    let begun = Instant::now();
    let times = req.app_data::<Times>().copied().unwrap_or_default();
    let id = id_of(&req);
    let method = known(req.method());
    let span = tracing::info_span!("request", request_id = %id);
    let current = Current {
        id: id.clone(),
        give_up: begun + times.answer,
    };
    span.in_scope(|| tracing::debug!(method, "asked"));
    let answered = CURRENT
        .scope(current, next.call(req))
        .instrument(span.clone())
        .await;
    let _in_span = span.enter();
    match answered {
        Ok(mut answer) => {
            note(method, &answer, begun);
            if let Ok(value) = HeaderValue::from_str(&id) {
                answer.headers_mut().insert(HEADER, value);
            }
            Ok(answer)
        }
        Err(error) => {
            let status = error.as_response_error().status_code();
            tracing::error!(method, status = status.as_u16(), %error, "a request came to no answer");
            sight::answered(
                method,
                UNKNOWN,
                status.as_u16(),
                begun.elapsed().as_secs_f64(),
            );
            Err(error)
        }
    }
}

/// What a path is called that no route takes.
const UNKNOWN: &str = "unknown";

fn note(method: &'static str, answer: &ServiceResponse<impl MessageBody>, begun: Instant) {
    let req = answer.request();
    let pattern = req.match_pattern();
    let route = pattern.as_deref().unwrap_or(UNKNOWN);
    let status = answer.status();
    let elapsed = begun.elapsed();
    sight::answered(method, route, status.as_u16(), elapsed.as_secs_f64());
    let notes = req.extensions();
    let user_id = notes.get::<User>().map(|user| user.actor.user_id);
    let site_id = notes.get::<Scope>().map(Scope::site_id);
    let bytes = match answer.response().body().size() {
        BodySize::Sized(bytes) => Some(bytes),
        BodySize::None => Some(0),
        BodySize::Stream => None,
    };
    let ms = u64::try_from(elapsed.as_millis()).unwrap_or(u64::MAX);
    let status_code = status.as_u16();
    // Probes come every few seconds: they are told only to who asks for more.
    if status == StatusCode::OK && matches!(route, "/healthz" | "/readyz") {
        tracing::debug!(method, route, status = status_code, ms, bytes, "answered");
    } else {
        tracing::info!(
            method,
            route,
            status = status_code,
            ms,
            bytes,
            user_id,
            site_id,
            "answered"
        );
    }
}

/// The id a trusted proxy gave it, where it is well-formed, else one of our own.
fn id_of(req: &ServiceRequest) -> String {
    let told = req.headers().get(&HEADER).and_then(|id| id.to_str().ok());
    let told = told.filter(|id| is_well_formed(id) && from_a_proxy(req.request()));
    told.map_or_else(|| Uuid::now_v7().to_string(), str::to_owned)
}

fn is_well_formed(id: &str) -> bool {
    let plain = |byte: u8| byte.is_ascii_alphanumeric() || byte == b'-';
    (1..=LONGEST).contains(&id.len()) && id.bytes().all(plain)
}

/// A method by its name, where it is one that is known: whatever else a client may make up is one word.
fn known(method: &Method) -> &'static str {
    match method.as_str() {
        "GET" => "GET",
        "HEAD" => "HEAD",
        "POST" => "POST",
        "PUT" => "PUT",
        "PATCH" => "PATCH",
        "DELETE" => "DELETE",
        "OPTIONS" => "OPTIONS",
        _ => "other",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_id_is_letters_digits_and_dashes() {
        for id in ["0197a3c0-58a1-7cc3-98c4-dc0c0c07398f", "a", &"x".repeat(64)] {
            assert!(is_well_formed(id), "{id}");
        }
        for id in ["", "a b", "a\"b", "ä", "a{}", &"x".repeat(65)] {
            assert!(!is_well_formed(id), "{id}");
        }
    }
}
