//! What every answer tells a browser: where a page may load from, that types are not guessed, what else it may do, who may
//! keep it, and that it comes by HTTPS from now on.

use actix_web::body::MessageBody;
use actix_web::dev::{ServiceRequest, ServiceResponse};
use actix_web::http::header::{self, HeaderName, HeaderValue};
use actix_web::middleware::Next;

use super::reached::Reached;

const PERMISSIONS: HeaderName = HeaderName::from_static("permissions-policy");

/// Of the pages, and of all else: own files only, nothing inline, in nobody's frame.
const OWN_FILES: &str = "default-src 'none'; object-src 'none'; style-src 'self'; img-src 'self'; script-src 'self'; connect-src 'self'; \
     form-action 'self'; frame-ancestors 'none'; base-uri 'none'";

/// Of the reader of the OpenAPI document, which draws its icons from `data:` addresses, and writes one style into its page:
/// that one is known by its hash.
const READER: &str = "default-src 'none'; object-src 'none'; style-src 'self' 'sha256-RL3ie0nH+Lzz2YNqQN83mnU0J1ot4QL7b99vMdIX99w='; img-src 'self' data:; script-src 'self'; connect-src 'self'; \
     form-action 'self'; frame-ancestors 'none'; base-uri 'none'";

/// Of the crew's tablet: it works without signal, shows pictures that were not sent yet, and takes a voice note.
const TABLET: &str = "default-src 'none'; object-src 'none'; style-src 'self'; img-src 'self' blob:; media-src 'self' blob:; script-src 'self'; connect-src 'self'; \
     manifest-src 'self'; worker-src 'self'; form-action 'self'; frame-ancestors 'none'; base-uri 'none'";

/// A voice note needs the microphone; a picture comes from the system's own camera, for which nothing is asked.
const TABLET_MAY: &str =
    "camera=(), display-capture=(), geolocation=(), microphone=(self), payment=(), usb=()";

/// What is the same for every answer.
const ALWAYS: [(HeaderName, &str); 5] = [
    (header::X_CONTENT_TYPE_OPTIONS, "nosniff"),
    (header::REFERRER_POLICY, "same-origin"),
    // Nothing here asks for where somebody stands, or for a camera, a microphone, a payment.
    (
        PERMISSIONS,
        "camera=(), display-capture=(), geolocation=(), microphone=(), payment=(), usb=()",
    ),
    (
        HeaderName::from_static("cross-origin-opener-policy"),
        "same-origin",
    ),
    (
        HeaderName::from_static("cross-origin-resource-policy"),
        "same-origin",
    ),
];

/// By HTTPS alone, for a year (RFC 6797), and so for the names below this one: the service has a name of its own. Not in the
/// browsers' own lists: that is for whoever owns the whole domain.
const BY_HTTPS: &str = "max-age=31536000; includeSubDomains";

/// Sets the headers of every answer.
pub async fn told(
    req: ServiceRequest,
    next: Next<impl MessageBody>,
) -> Result<ServiceResponse<impl MessageBody>, actix_web::Error> {
    let of_reader = req.path().starts_with("/api/docs");
    let of_tablet = req.path() == "/tablet" || req.path().starts_with("/tablet/");
    // By plain HTTP the header says nothing, and must not be sent (RFC 6797 section 7.2).
    let by_https = Reached::by(req.request()).https;
    let mut answer = next.call(req).await?;
    let headers = answer.headers_mut();
    let mut set = |name: HeaderName, value| {
        headers.insert(name, HeaderValue::from_static(value));
    };
    set(
        header::CONTENT_SECURITY_POLICY,
        match (of_reader, of_tablet) {
            (true, _) => READER,
            (_, true) => TABLET,
            _ => OWN_FILES,
        },
    );
    for (name, value) in ALWAYS {
        set(name, value);
    }
    if of_tablet {
        set(PERMISSIONS, TABLET_MAY);
    }
    if by_https {
        set(header::STRICT_TRANSPORT_SECURITY, BY_HTTPS);
    }
    // It is one user's own, and out of date in a minute. What may be kept says so of itself.
    if !of_reader && !headers.contains_key(header::CACHE_CONTROL) {
        headers.insert(header::CACHE_CONTROL, HeaderValue::from_static("no-store"));
    }
    Ok(answer)
}
