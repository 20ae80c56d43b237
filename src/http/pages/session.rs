//! The cookie of a page session.
//!
//! It is `HttpOnly`, `SameSite=Lax` (with `Strict`, a link in a mail would land on sign-in) and
//! lies on every path. Where the browser reaches the service by HTTPS it is also `Secure`, under a
//! name with the `__Host-` prefix (RFC 6265bis section 4.1.3), so that no other host and no plain
//! connection can lay one of its own. A demo at `http://127.0.0.1` and a tablet in the local
//! network have no HTTPS; there the cookie goes without, since browsers would drop it.
//!
//! That it is HTTPS is told by the browser itself, in the `Origin` of the sign-in form, or by a
//! proxy in front, in `Forwarded` or `X-Forwarded-Proto`. Whoever makes one of these up gets a
//! stricter cookie, or none that works, for nobody but himself.

use actix_web::HttpRequest;
use actix_web::cookie::{Cookie, SameSite, time::Duration};
use actix_web::http::header;

use crate::desk::sign_in::PageSession;
use crate::desk::stops::StopView;
use crate::store::users::UserKind;

const NAME: &str = "roundhand_session";
const HOST_NAME: &str = "__Host-roundhand_session";

/// Who reads a page, noted on the request by the guard.
#[derive(Clone, Debug)]
pub struct PageUser {
    /// The user's id.
    pub id: i64,
    /// What they are.
    pub kind: UserKind,
    /// The name the pages show.
    pub name: String,
    /// Whether the whole installation is theirs.
    pub is_owner: bool,
    /// The stops that are on at the site of the page: every page of the site says so.
    pub stops: Vec<StopView>,
}

/// The session's secret, where the request carries one. By HTTPS only the cookie that nobody else
/// can have laid counts.
pub fn secret(req: &HttpRequest) -> Option<String> {
    let plain = || req.cookie(NAME).filter(|_| !by_https(req));
    let cookie = req.cookie(HOST_NAME).or_else(plain)?;
    Some(cookie.value().to_owned()).filter(|secret| !secret.is_empty())
}

/// The cookie that keeps a session's secret as long as it lasts.
pub fn cookie(req: &HttpRequest, session: PageSession) -> Cookie<'static> {
    let life = Duration::seconds(session.life.num_seconds());
    laid(by_https(req), session.secret, life)
}

/// The cookies that take away whatever session the browser holds.
pub fn gone(req: &HttpRequest) -> Vec<Cookie<'static>> {
    [HOST_NAME, NAME]
        .into_iter()
        .filter(|name| req.cookie(name).is_some())
        .map(|name| laid(name == HOST_NAME, String::new(), Duration::ZERO))
        .collect()
}

fn laid(secure: bool, value: String, life: Duration) -> Cookie<'static> {
    Cookie::build(if secure { HOST_NAME } else { NAME }, value)
        .path("/")
        .http_only(true)
        .same_site(SameSite::Lax)
        .secure(secure)
        .max_age(life)
        .finish()
}

fn by_https(req: &HttpRequest) -> bool {
    let origin = req.headers().get(header::ORIGIN);
    origin.is_some_and(|origin| origin.as_bytes().starts_with(b"https://"))
        || req.connection_info().scheme() == "https"
}
