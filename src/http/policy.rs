//! What every answer tells a browser: where a page may load from, and that types are not guessed.

use actix_web::body::MessageBody;
use actix_web::dev::{ServiceRequest, ServiceResponse};
use actix_web::http::header::{self, HeaderValue};
use actix_web::middleware::Next;

/// Of the pages, and of all else: own files only, nothing inline, in nobody's frame.
const OWN_FILES: HeaderValue = HeaderValue::from_static(
    "default-src 'none'; style-src 'self'; img-src 'self'; script-src 'self'; connect-src 'self'; \
     form-action 'self'; frame-ancestors 'none'; base-uri 'none'",
);

/// Of the reader of the OpenAPI document, which writes styles into its page and draws its icons from
/// `data:` addresses. Its scripts are files too.
const READER: HeaderValue = HeaderValue::from_static(
    "default-src 'none'; style-src 'self' 'unsafe-inline'; img-src 'self' data:; script-src 'self'; \
     connect-src 'self'; form-action 'self'; frame-ancestors 'none'; base-uri 'none'",
);

/// Sets the headers of every answer.
pub async fn told(
    req: ServiceRequest,
    next: Next<impl MessageBody>,
) -> Result<ServiceResponse<impl MessageBody>, actix_web::Error> {
    let policy = if req.path().starts_with("/api/docs") {
        READER
    } else {
        OWN_FILES
    };
    let mut answer = next.call(req).await?;
    let headers = answer.headers_mut();
    headers.insert(header::CONTENT_SECURITY_POLICY, policy);
    headers.insert(
        header::X_CONTENT_TYPE_OPTIONS,
        HeaderValue::from_static("nosniff"),
    );
    headers.insert(
        header::REFERRER_POLICY,
        HeaderValue::from_static("same-origin"),
    );
    Ok(answer)
}
