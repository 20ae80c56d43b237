//! Defects of courts.

use actix_web::{HttpRequest, HttpResponse, web};
use serde::Deserialize;
use utoipa::{IntoParams, OpenApi};

use crate::desk::Permit;
use crate::desk::access::{IssueDay, SeeSite, TellDefect};
use crate::desk::defects::{self, DefectTold};
use crate::http::answer::{self, List};
use crate::http::read::{Body, ClientKey, Id, ListQuery, Listing};
use crate::http::route::at;
use crate::http::{Problem, State, at_the_desk};
use crate::store::defects::{DefectFilter, DefectRow};

#[derive(OpenApi)]
#[openapi(paths(list, read, add, mend))]
pub(super) struct Doc;

pub(super) fn routes(cfg: &mut web::ServiceConfig) {
    cfg.service(at("/defects", "GET").route(web::get().to(list)))
        .service(at("/defects/{defect_id}", "GET").route(web::get().to(read)))
        .service(at("/defects/{defect_id}/mend", "POST").route(web::post().to(mend)))
        .service(at("/courts/{court_id}/defects", "POST").route(web::post().to(add)));
}

/// Which defects a list shows.
#[derive(Debug, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
struct DefectQuery {
    /// Of this court only.
    #[param(value_type = Option<i64>)]
    court_id: Option<Id>,
    /// `true`: only those that wait to be mended; `false`: only those that do not.
    open: Option<bool>,
}

/// What was seen on the site's courts.
#[utoipa::path(get, path = "/sites/{site_id}/defects", tag = "defects",
    params(("site_id" = i64, Path), DefectQuery, ListQuery),
    responses((status = 200, body = List<DefectRow>)))]
async fn list(
    office: State,
    permit: Permit<SeeSite>,
    req: HttpRequest,
    listing: Listing<DefectQuery>,
) -> Result<HttpResponse, Problem> {
    let filter = DefectFilter {
        court_id: listing.filter.court_id.map(|id| id.0),
        open: listing.filter.open,
    };
    let page = listing.page;
    let rows = at_the_desk(&office, move |o| {
        defects::defect_list(o, &permit, filter, page)
    })
    .await?;
    Ok(answer::list(&req, rows))
}

/// One defect.
#[utoipa::path(get, path = "/sites/{site_id}/defects/{defect_id}", tag = "defects",
    params(("site_id" = i64, Path), ("defect_id" = i64, Path)),
    responses((status = 200, body = DefectRow)))]
async fn read(
    office: State,
    permit: Permit<SeeSite>,
    path: web::Path<(i64, i64)>,
) -> Result<HttpResponse, Problem> {
    let (_, id) = path.into_inner();
    let row = at_the_desk(&office, move |o| defects::defect_read(o, &permit, id)).await?;
    Ok(HttpResponse::Ok().json(row))
}

/// Tells something that was seen on a court and needs work of its own. Where the day has a plan, an order that mends it
/// waits for the manager to hand it out.
#[utoipa::path(post, path = "/sites/{site_id}/courts/{court_id}/defects", tag = "defects",
    params(("site_id" = i64, Path), ("court_id" = i64, Path),
        ("Idempotency-Key" = String, Header, description = "the client's own UUID of this event")),
    request_body = DefectTold,
    responses((status = 201, body = DefectRow), (status = 422, description = "Refused as it stands")))]
async fn add(
    office: State,
    permit: Permit<TellDefect>,
    path: web::Path<(i64, i64)>,
    key: ClientKey,
    Body(told): Body<DefectTold>,
) -> Result<HttpResponse, Problem> {
    let (_, court_id) = path.into_inner();
    let row = at_the_desk(&office, move |o| {
        defects::defect_add(o, &permit, court_id, key.0, &told)
    })
    .await?;
    Ok(HttpResponse::Created().json(row))
}

/// Makes an order that mends a defect which has none, on today's plan; it waits to be handed out.
#[utoipa::path(post, path = "/sites/{site_id}/defects/{defect_id}/mend", tag = "defects",
    params(("site_id" = i64, Path), ("defect_id" = i64, Path),
        ("Idempotency-Key" = String, Header, description = "the client's own UUID of this event")),
    responses((status = 200, body = DefectRow),
        (status = 409, description = "Mended, or has an order, or nothing is planned")))]
async fn mend(
    office: State,
    permit: Permit<IssueDay>,
    path: web::Path<(i64, i64)>,
    key: ClientKey,
) -> Result<HttpResponse, Problem> {
    let (_, id) = path.into_inner();
    let row = at_the_desk(&office, move |o| {
        defects::defect_mend(o, &permit, id, key.0)
    })
    .await?;
    Ok(HttpResponse::Ok().json(row))
}
