//! Holds of courts.

use actix_web::{HttpRequest, HttpResponse, web};
use serde::Deserialize;
use utoipa::{IntoParams, OpenApi};

use crate::desk::Permit;
use crate::desk::access::{HoldCourt, ReleaseHold, SeeSite};
use crate::desk::holds::{self, HoldTold, HoldView, ReleaseTold};
use crate::http::answer::{self, List};
use crate::http::read::{Body, ClientKey, Id, ListQuery, Listing};
use crate::http::route::at;
use crate::http::{Problem, State, at_the_desk};
use crate::store::holds::HoldFilter;

#[derive(OpenApi)]
#[openapi(paths(list, hold, release))]
pub(super) struct Doc;

pub(super) fn routes(cfg: &mut web::ServiceConfig) {
    cfg.service(at("/holds", "GET").route(web::get().to(list)))
        .service(at("/holds/{hold_id}/release", "POST").route(web::post().to(release)))
        .service(at("/courts/{court_id}/holds", "POST").route(web::post().to(hold)));
}

/// Which holds a list shows.
#[derive(Debug, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
struct HoldQuery {
    /// Of this court only.
    #[param(value_type = Option<i64>)]
    court_id: Option<Id>,
    /// `true`: only those that are on; `false`: only those that were released.
    on: Option<bool>,
}

/// The site's holds.
#[utoipa::path(get, path = "/sites/{site_id}/holds", tag = "holds",
    params(("site_id" = i64, Path), HoldQuery, ListQuery),
    responses((status = 200, body = List<HoldView>)))]
async fn list(
    office: State,
    permit: Permit<SeeSite>,
    req: HttpRequest,
    listing: Listing<HoldQuery>,
) -> Result<HttpResponse, Problem> {
    let filter = HoldFilter {
        court_id: listing.filter.court_id.map(|id| id.0),
        on: listing.filter.on,
    };
    let page = listing.page;
    let rows = at_the_desk(&office, move |o| holds::hold_list(o, &permit, filter, page)).await?;
    Ok(answer::list(&req, rows))
}

/// Holds a court at once: nobody plays on it until the hold is released.
#[utoipa::path(post, path = "/sites/{site_id}/courts/{court_id}/holds", tag = "holds",
    params(("site_id" = i64, Path), ("court_id" = i64, Path),
        ("Idempotency-Key" = String, Header, description = "the client's own UUID of this event")),
    request_body = HoldTold,
    responses((status = 200, body = HoldView), (status = 422, description = "Refused as it stands")))]
async fn hold(
    office: State,
    permit: Permit<HoldCourt>,
    path: web::Path<(i64, i64)>,
    key: ClientKey,
    Body(told): Body<HoldTold>,
) -> Result<HttpResponse, Problem> {
    let (_, court_id) = path.into_inner();
    let hold = at_the_desk(&office, move |o| {
        holds::court_hold(o, &permit, court_id, key.0, &told)
    })
    .await?;
    Ok(HttpResponse::Ok().json(hold))
}

/// Releases a hold. The court is open again once no other hold of it is on.
#[utoipa::path(post, path = "/sites/{site_id}/holds/{hold_id}/release", tag = "holds",
    params(("site_id" = i64, Path), ("hold_id" = i64, Path),
        ("Idempotency-Key" = String, Header, description = "the client's own UUID of this event")),
    request_body = ReleaseTold,
    responses((status = 200, body = HoldView), (status = 409, description = "Released already")))]
async fn release(
    office: State,
    permit: Permit<ReleaseHold>,
    path: web::Path<(i64, i64)>,
    key: ClientKey,
    Body(told): Body<ReleaseTold>,
) -> Result<HttpResponse, Problem> {
    let (_, id) = path.into_inner();
    let hold = at_the_desk(&office, move |o| {
        holds::hold_release(o, &permit, id, key.0, &told)
    })
    .await?;
    Ok(HttpResponse::Ok().json(hold))
}
