//! Lightning and heat stops.

use actix_web::{HttpRequest, HttpResponse, web};
use serde::Deserialize;
use utoipa::{IntoParams, OpenApi};

use crate::desk::Permit;
use crate::desk::access::{ReleaseStop, SeeSite, TellStop};
use crate::desk::stops::{self, StopTold, StopView};
use crate::http::answer::{self, List};
use crate::http::read::{Body, ClientKey, ListQuery, Listing};
use crate::http::route::at;
use crate::http::{Problem, State, at_the_desk};
use crate::store::stops::{StopFilter, StopKind};

#[derive(OpenApi)]
#[openapi(paths(list, tell, release, end))]
pub(super) struct Doc;

pub(super) fn routes(cfg: &mut web::ServiceConfig) {
    cfg.service(
        at("/stops", "GET, POST")
            .route(web::get().to(list))
            .route(web::post().to(tell)),
    )
    .service(at("/stops/{stop_id}/release", "POST").route(web::post().to(release)))
    .service(at("/stops/{stop_id}/end", "POST").route(web::post().to(end)));
}

/// Which stops a list shows.
#[derive(Debug, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
struct StopQuery {
    /// Of this kind only.
    #[param(inline)]
    kind: Option<StopKind>,
    /// `true`: only those that are on; `false`: only those that are over.
    on: Option<bool>,
}

/// The site's stops.
#[utoipa::path(get, path = "/sites/{site_id}/stops", tag = "stops",
    params(("site_id" = i64, Path), StopQuery, ListQuery),
    responses((status = 200, body = List<StopView>)))]
async fn list(
    office: State,
    permit: Permit<SeeSite>,
    req: HttpRequest,
    listing: Listing<StopQuery>,
) -> Result<HttpResponse, Problem> {
    let filter = StopFilter {
        kind: listing.filter.kind,
        on: listing.filter.on,
    };
    let page = listing.page;
    let rows = at_the_desk(&office, move |o| stops::stop_list(o, &permit, filter, page)).await?;
    Ok(answer::list(&req, rows))
}

/// Tells lightning, one tap for the whole site, or heat, for the site or one crew. Told again while
/// lightning is on, the wait begins anew.
#[utoipa::path(post, path = "/sites/{site_id}/stops", tag = "stops",
    params(("site_id" = i64, Path),
        ("Idempotency-Key" = String, Header, description = "the client's own UUID of this event")),
    request_body = StopTold,
    responses((status = 200, body = StopView), (status = 422, description = "Refused as it stands")))]
async fn tell(
    office: State,
    permit: Permit<TellStop>,
    key: ClientKey,
    Body(told): Body<StopTold>,
) -> Result<HttpResponse, Problem> {
    let stop = at_the_desk(&office, move |o| stops::stop_tell(o, &permit, key.0, &told)).await?;
    Ok(HttpResponse::Ok().json(stop))
}

/// Releases a lightning stop, once its wait is over: everybody may go back out.
#[utoipa::path(post, path = "/sites/{site_id}/stops/{stop_id}/release", tag = "stops",
    params(("site_id" = i64, Path), ("stop_id" = i64, Path),
        ("Idempotency-Key" = String, Header, description = "the client's own UUID of this event")),
    responses((status = 200, body = StopView),
        (status = 409, description = "Too early, over already, or a heat stop")))]
async fn release(
    office: State,
    permit: Permit<ReleaseStop>,
    path: web::Path<(i64, i64)>,
    key: ClientKey,
) -> Result<HttpResponse, Problem> {
    let (_, id) = path.into_inner();
    let stop = at_the_desk(&office, move |o| stops::stop_release(o, &permit, id, key.0)).await?;
    Ok(HttpResponse::Ok().json(stop))
}

/// Ends a heat stop. Nobody is asked why.
#[utoipa::path(post, path = "/sites/{site_id}/stops/{stop_id}/end", tag = "stops",
    params(("site_id" = i64, Path), ("stop_id" = i64, Path),
        ("Idempotency-Key" = String, Header, description = "the client's own UUID of this event")),
    responses((status = 200, body = StopView),
        (status = 409, description = "Over already, or a lightning stop")))]
async fn end(
    office: State,
    permit: Permit<TellStop>,
    path: web::Path<(i64, i64)>,
    key: ClientKey,
) -> Result<HttpResponse, Problem> {
    let (_, id) = path.into_inner();
    let stop = at_the_desk(&office, move |o| stops::stop_end(o, &permit, id, key.0)).await?;
    Ok(HttpResponse::Ok().json(stop))
}
