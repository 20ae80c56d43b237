//! Who works alone.

use actix_web::{HttpRequest, HttpResponse, web};
use serde::Deserialize;
use utoipa::{IntoParams, OpenApi};
use uuid::Uuid;

use crate::desk::Permit;
use crate::desk::access::{SeeAlone, TellAlone};
use crate::desk::alone::{self, AloneTold, AloneView, SignTold, SignView};
use crate::http::answer::{self, List};
use crate::http::read::{Body, ClientKey, ListQuery, Listing};
use crate::http::route::at;
use crate::http::{Problem, State, at_the_desk};

#[derive(OpenApi)]
#[openapi(paths(list, start, check_in, end))]
pub(super) struct Doc;

pub(super) fn routes(cfg: &mut web::ServiceConfig) {
    cfg.service(
        at("/alone", "GET, POST")
            .route(web::get().to(list))
            .route(web::post().to(start)),
    )
    .service(at("/alone/{key}/check-in", "POST").route(web::post().to(check_in)))
    .service(at("/alone/{key}/end", "POST").route(web::post().to(end)));
}

/// Which watches a list shows.
#[derive(Debug, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
struct AloneQuery {
    /// `true`: only those that go on; `false`: only those that ended.
    on: Option<bool>,
}

/// Who works alone, and when there was last a sign of them. No state says that somebody is well now.
#[utoipa::path(get, path = "/sites/{site_id}/alone", tag = "alone",
    params(("site_id" = i64, Path), AloneQuery, ListQuery), responses((status = 200, body = List<AloneView>)))]
async fn list(
    office: State,
    permit: Permit<SeeAlone>,
    req: HttpRequest,
    listing: Listing<AloneQuery>,
) -> Result<HttpResponse, Problem> {
    let (on, page) = (listing.filter.on, listing.page);
    let rows = at_the_desk(&office, move |o| alone::alone_list(o, &permit, on, page)).await?;
    Ok(answer::list(&req, rows))
}

/// Somebody begins to work alone. The key of this event names the watch: signs and the end are told under it.
#[utoipa::path(post, path = "/sites/{site_id}/alone", tag = "alone",
    params(("site_id" = i64, Path),
        ("Idempotency-Key" = String, Header, description = "the client's own UUID of this event")),
    request_body = AloneTold,
    responses((status = 201, body = SignView), (status = 422, description = "Refused as it stands")))]
async fn start(
    office: State,
    permit: Permit<TellAlone>,
    key: ClientKey,
    Body(told): Body<AloneTold>,
) -> Result<HttpResponse, Problem> {
    let sign = at_the_desk(&office, move |o| {
        alone::alone_start(o, &permit, key.0, &told)
    })
    .await?;
    Ok(HttpResponse::Created().json(sign))
}

/// A sign that somebody who works alone is well. It may come before the start did, or after the end.
#[utoipa::path(post, path = "/sites/{site_id}/alone/{key}/check-in", tag = "alone",
    params(("site_id" = i64, Path), ("key" = Uuid, Path, description = "the key under which the watch was started"),
        ("Idempotency-Key" = String, Header, description = "the client's own UUID of this event")),
    request_body = SignTold,
    responses((status = 201, body = SignView), (status = 422, description = "Refused as it stands")))]
async fn check_in(
    office: State,
    permit: Permit<TellAlone>,
    path: web::Path<(i64, Uuid)>,
    key: ClientKey,
    Body(told): Body<SignTold>,
) -> Result<HttpResponse, Problem> {
    let watch = path.1.to_string();
    let sign = at_the_desk(&office, move |o| {
        alone::alone_check_in(o, &permit, &watch, key.0, &told)
    })
    .await?;
    Ok(HttpResponse::Created().json(sign))
}

/// Somebody works alone no more. It may come before the start did.
#[utoipa::path(post, path = "/sites/{site_id}/alone/{key}/end", tag = "alone",
    params(("site_id" = i64, Path), ("key" = Uuid, Path, description = "the key under which the watch was started"),
        ("Idempotency-Key" = String, Header, description = "the client's own UUID of this event")),
    request_body = SignTold,
    responses((status = 201, body = SignView), (status = 422, description = "Refused as it stands")))]
async fn end(
    office: State,
    permit: Permit<TellAlone>,
    path: web::Path<(i64, Uuid)>,
    key: ClientKey,
    Body(told): Body<SignTold>,
) -> Result<HttpResponse, Problem> {
    let watch = path.1.to_string();
    let sign = at_the_desk(&office, move |o| {
        alone::alone_end(o, &permit, &watch, key.0, &told)
    })
    .await?;
    Ok(HttpResponse::Created().json(sign))
}
