//! What was seen of courts, and how each is for it.

use actix_web::{HttpRequest, HttpResponse, web};
use utoipa::OpenApi;

use crate::desk::Permit;
use crate::desk::access::{InspectCourt, SeeSite};
use crate::desk::inspections::{self, ConditionsView, InspectionTold};
use crate::http::answer::{self, List};
use crate::http::read::{Body, ClientKey, ListQuery, Listing};
use crate::http::route::at;
use crate::http::{Problem, State, at_the_desk};
use crate::store::inspections::InspectionRow;

#[derive(OpenApi)]
#[openapi(paths(conditions, list, add))]
pub(super) struct Doc;

pub(super) fn routes(cfg: &mut web::ServiceConfig) {
    cfg.service(at("/conditions", "GET").route(web::get().to(conditions)))
        .service(
            at("/courts/{court_id}/inspections", "GET, POST")
                .route(web::get().to(list))
                .route(web::post().to(add)),
        );
}

/// How every court is now, for what was seen of it.
#[utoipa::path(get, path = "/sites/{site_id}/conditions", tag = "courts", params(("site_id" = i64, Path)),
    responses((status = 200, body = ConditionsView)))]
async fn conditions(office: State, permit: Permit<SeeSite>) -> Result<HttpResponse, Problem> {
    let view = at_the_desk(&office, move |o| inspections::conditions_now(o, &permit)).await?;
    Ok(HttpResponse::Ok().json(view))
}

/// The looks at a court, in the order in which they were told.
#[utoipa::path(get, path = "/sites/{site_id}/courts/{court_id}/inspections", tag = "courts",
    params(("site_id" = i64, Path), ("court_id" = i64, Path), ListQuery),
    responses((status = 200, body = List<InspectionRow>)))]
async fn list(
    office: State,
    permit: Permit<SeeSite>,
    req: HttpRequest,
    path: web::Path<(i64, i64)>,
    listing: Listing,
) -> Result<HttpResponse, Problem> {
    let (_, id) = path.into_inner();
    let page = listing.page;
    let rows = at_the_desk(&office, move |o| {
        inspections::inspection_list(o, &permit, id, page)
    })
    .await?;
    Ok(answer::list(&req, rows))
}

/// Tells how a court was found.
#[utoipa::path(post, path = "/sites/{site_id}/courts/{court_id}/inspections", tag = "courts",
    params(("site_id" = i64, Path), ("court_id" = i64, Path),
        ("Idempotency-Key" = String, Header, description = "the client's own UUID of this event")),
    request_body = InspectionTold,
    responses((status = 201, body = InspectionRow), (status = 422, description = "Refused as it stands")))]
async fn add(
    office: State,
    permit: Permit<InspectCourt>,
    key: ClientKey,
    path: web::Path<(i64, i64)>,
    Body(told): Body<InspectionTold>,
) -> Result<HttpResponse, Problem> {
    let (_, id) = path.into_inner();
    let row = at_the_desk(&office, move |o| {
        inspections::inspection_add(o, &permit, id, key.0, &told)
    })
    .await?;
    Ok(HttpResponse::Created().json(row))
}
