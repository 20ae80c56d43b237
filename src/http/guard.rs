//! Who is asking: proved before a handler reads anything of the request.

use actix_web::body::{EitherBody, MessageBody};
use actix_web::dev::{ServiceRequest, ServiceResponse};
use actix_web::http::header;
use actix_web::middleware::Next;
use actix_web::{HttpMessage, web};

use super::address::ClientAddress;
use super::pages::session;
use super::problem::{Kind, Problem};
use super::read::User;
use super::{State, at_the_desk};
use crate::desk::{Office, access, api_keys, sign_in};
use crate::store::users::UserKind;
use crate::store::{Actor, Scope};

/// An answer that went through, or one of the guard's own. A guard answers a refusal itself, so
/// that what wraps it can still set headers on the refusal.
pub type Guarded<B> = Result<ServiceResponse<EitherBody<B>>, actix_web::Error>;

/// Lets a request pass that carries an access token, or comes from one of our own pages with its session, and notes its user.
pub async fn signed_in<B: MessageBody + 'static>(req: ServiceRequest, next: Next<B>) -> Guarded<B> {
    let user = if req.headers().contains_key(header::AUTHORIZATION) {
        bearer_user(&req).await
    } else {
        user_of_our_page(&req).await
    };
    let user = user.map(|user| {
        req.extensions_mut().insert(user);
    });
    pass(req, next, user).await
}

/// A script of one of our own pages asks with the session of the page. A browser says of every request whose page made it
/// (W3C Fetch Metadata): what another site's page sends carries the cookie too, and is refused, reading included.
async fn user_of_our_page(req: &ServiceRequest) -> Result<User, Problem> {
    let without = || {
        Problem::new(
            Kind::NotSignedIn,
            "send the access token: Authorization: Bearer …",
        )
    };
    let secret = session::secret(req.request()).ok_or_else(without)?;
    let site = req.headers().get("sec-fetch-site");
    if site.is_none_or(|site| site.as_bytes() != b"same-origin") {
        return Err(without());
    }
    let user = at_the_desk(&office(req)?, move |office| {
        sign_in::page_user(office, &secret)
    })
    .await?;
    let actor = Actor {
        user_id: user.id,
        from: ClientAddress::of(req.request()).0,
    };
    Ok(User {
        actor,
        kind: user.kind,
    })
}

/// Proves that the user belongs to the site in the path, and notes the scope.
pub async fn of_the_site<B: MessageBody + 'static>(
    req: ServiceRequest,
    next: Next<B>,
) -> Guarded<B> {
    let scope = site_scope(&req).await.map(|scope| {
        req.extensions_mut().insert(scope);
    });
    pass(req, next, scope).await
}

/// Goes on, or answers why not.
pub async fn pass<B: MessageBody + 'static>(
    req: ServiceRequest,
    next: Next<B>,
    may: Result<(), Problem>,
) -> Guarded<B> {
    match may {
        Ok(()) => Ok(next.call(req).await?.map_into_left_body()),
        Err(problem) => Ok(req.error_response(problem).map_into_right_body()),
    }
}

async fn site_scope(req: &ServiceRequest) -> Result<Scope, Problem> {
    let office = office(req)?;
    let user = req.extensions().get::<User>().copied();
    let user = user.ok_or_else(|| Problem::new(Kind::NotSignedIn, "sign in first"))?;
    let site_id = req
        .match_info()
        .get("site_id")
        .and_then(|id| id.parse().ok());
    let site_id = site_id.ok_or_else(|| {
        Problem::unreadable(
            "site_id",
            "a site's id is a whole number, as GET /api/v1/sites gives it",
        )
    })?;
    at_the_desk(&office, move |office| {
        access::scope(office, user.actor, site_id)
    })
    .await
}

async fn bearer_user(req: &ServiceRequest) -> Result<User, Problem> {
    let value = req
        .headers()
        .get(header::AUTHORIZATION)
        .and_then(|v| v.to_str().ok());
    let token = value.and_then(|v| {
        let (scheme, token) = v.split_once(' ')?;
        scheme.eq_ignore_ascii_case("bearer").then(|| token.trim())
    });
    let Some(token) = token else {
        return Err(Problem::new(
            Kind::NotSignedIn,
            "send the access token: Authorization: Bearer …",
        ));
    };
    let token = token.to_owned();
    let (user_id, kind) = at_the_desk(&office(req)?, move |office| {
        if token.starts_with(api_keys::PREFIX) {
            Ok((api_keys::key_bearer(office, &token)?, UserKind::Key))
        } else {
            sign_in::bearer(office, &token)
        }
    })
    .await?;
    let from = ClientAddress::of(req.request()).0;
    let actor = Actor { user_id, from };
    Ok(User { actor, kind })
}

/// The service's state, in a guard.
pub fn office(req: &ServiceRequest) -> Result<State, Problem> {
    req.app_data::<web::Data<Office>>()
        .cloned()
        .ok_or_else(|| Problem::new(Kind::Failed, "the service is not set up"))
}
