//! The cookie of a page session.
//!
//! It is `HttpOnly`, `SameSite=Lax` (with `Strict`, a link in a mail would land on sign-in) and
//! lies on every path. It is also `Secure`, under a name with the `__Host-` prefix (RFC 6265bis
//! section 4.1.3), so that no other host and no plain connection can lay one of its own. Only on
//! the loopback, as of a demo at `http://127.0.0.1`, it goes without: there is no HTTPS there, and
//! nobody on the way. By plain HTTP from anywhere else nobody is signed in, and told so.
//!
//! That it is HTTPS is known from our own listener, from a proxy that is trusted, or from the
//! browser itself, in the `Origin` of the sign-in form: whoever makes that one up gets a cookie that
//! does not come back, for nobody but himself.

use actix_web::cookie::{Cookie, SameSite, time::Duration};
use actix_web::http::header;
use actix_web::{HttpRequest, HttpResponse};

use super::see_other;
use crate::desk::sign_in::PageSession;
use crate::desk::stops::StopView;
use crate::http::problem::{Kind, Problem};
use crate::http::reached::Reached;
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
    /// How many incidents no manager has opened, where the user is one.
    pub incidents: i64,
}

/// The session's secret, where the request carries one. The cookie that somebody else can have laid
/// counts on the loopback alone.
pub fn secret(req: &HttpRequest) -> Option<String> {
    let plain = || req.cookie(NAME).filter(|_| !is_secure(req));
    let cookie = req.cookie(HOST_NAME).or_else(plain)?;
    Some(cookie.value().to_owned()).filter(|secret| !secret.is_empty())
}

/// The cookie that keeps a session's secret as long as it lasts.
fn cookie(req: &HttpRequest, session: PageSession) -> Cookie<'static> {
    let life = Duration::seconds(session.life.num_seconds());
    laid(is_secure(req), session.secret, life)
}

/// On to a page, with the cookie of a session that was just begun.
pub fn begin(
    place: &str,
    req: &HttpRequest,
    session: PageSession,
) -> Result<HttpResponse, Problem> {
    let mut on = see_other(place);
    on.add_cookie(&cookie(req, session))
        .map_err(|e| Problem::new(Kind::Failed, e.to_string()))?;
    Ok(on)
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

/// Whether what a form of this request carries can be read on its way: it came neither by HTTPS nor from this machine.
pub fn is_open_to_others(req: &HttpRequest) -> bool {
    let reached = Reached::by(req);
    !by_https(req, &reached) && !reached.on_loopback()
}

fn is_secure(req: &HttpRequest) -> bool {
    let reached = Reached::by(req);
    by_https(req, &reached) || !reached.on_loopback()
}

fn by_https(req: &HttpRequest, reached: &Reached) -> bool {
    let origin = req.headers().get(header::ORIGIN);
    reached.https || origin.is_some_and(|origin| origin.as_bytes().starts_with(b"https://"))
}
