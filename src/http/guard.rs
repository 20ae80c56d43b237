//! Who is asking: proved before a handler reads anything of the request.

use actix_web::body::MessageBody;
use actix_web::dev::{ServiceRequest, ServiceResponse};
use actix_web::http::header;
use actix_web::middleware::Next;
use actix_web::{HttpMessage, web};

use super::problem::{Kind, Problem};
use super::read::User;
use super::{State, at_the_desk};
use crate::desk::{Office, access};

/// Lets a request pass that carries an access token, and notes its user.
pub async fn signed_in(
    req: ServiceRequest,
    next: Next<impl MessageBody>,
) -> Result<ServiceResponse<impl MessageBody>, actix_web::Error> {
    let user = bearer_user(&req)?;
    req.extensions_mut().insert(user);
    next.call(req).await
}

/// Proves that the user belongs to the site in the path, and notes the scope.
pub async fn of_the_site(
    req: ServiceRequest,
    next: Next<impl MessageBody>,
) -> Result<ServiceResponse<impl MessageBody>, actix_web::Error> {
    let office = office(&req)?;
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
    let scope = at_the_desk(&office, move |office| {
        access::scope(office, user.0, site_id)
    })
    .await?;
    req.extensions_mut().insert(scope);
    next.call(req).await
}

fn bearer_user(req: &ServiceRequest) -> Result<User, Problem> {
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
    let office = office(req)?;
    office
        .tokens
        .user_of(token, office.clock.now())
        .map(User)
        .map_err(|why| Problem::new(Kind::NotSignedIn, why))
}

fn office(req: &ServiceRequest) -> Result<State, Problem> {
    req.app_data::<web::Data<Office>>()
        .cloned()
        .ok_or_else(|| Problem::new(Kind::Failed, "the service is not set up"))
}
