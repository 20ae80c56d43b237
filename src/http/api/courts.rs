//! Banks and courts.

use actix_web::{HttpRequest, HttpResponse, web};
use utoipa::OpenApi;

use crate::desk::Permit;
use crate::desk::access::{EditSite, SeeSite};
use crate::desk::courts::{self, CourtEdit};
use crate::http::answer::{self, List};
use crate::http::read::{Body, IfMatch, ListQuery, Listing};
use crate::http::route::at;
use crate::http::{Problem, State, at_the_desk};
use crate::store::courts::{BankRow, CourtRow};

#[derive(OpenApi)]
#[openapi(paths(bank_list, list, read, edit))]
pub(super) struct Doc;

pub(super) fn routes(cfg: &mut web::ServiceConfig) {
    cfg.service(at("/banks", "GET").route(web::get().to(bank_list)))
        .service(at("/courts", "GET").route(web::get().to(list)))
        .service(
            at("/courts/{court_id}", "GET, PATCH")
                .route(web::get().to(read))
                .route(web::patch().to(edit)),
        );
}

/// The site's banks.
#[utoipa::path(get, path = "/sites/{site_id}/banks", tag = "courts",
    params(("site_id" = i64, Path), ListQuery), responses((status = 200, body = List<BankRow>)))]
async fn bank_list(
    office: State,
    permit: Permit<SeeSite>,
    req: HttpRequest,
    listing: Listing,
) -> Result<HttpResponse, Problem> {
    let page = listing.page;
    let rows = at_the_desk(&office, move |o| courts::bank_list(o, &permit, page)).await?;
    Ok(answer::list(&req, rows))
}

/// The site's courts.
#[utoipa::path(get, path = "/sites/{site_id}/courts", tag = "courts",
    params(("site_id" = i64, Path), ListQuery), responses((status = 200, body = List<CourtRow>)))]
async fn list(
    office: State,
    permit: Permit<SeeSite>,
    req: HttpRequest,
    listing: Listing,
) -> Result<HttpResponse, Problem> {
    let page = listing.page;
    let rows = at_the_desk(&office, move |o| courts::court_list(o, &permit, page)).await?;
    Ok(answer::list(&req, rows))
}

/// One court, with its ETag.
#[utoipa::path(get, path = "/sites/{site_id}/courts/{court_id}", tag = "courts",
    params(("site_id" = i64, Path), ("court_id" = i64, Path)),
    responses((status = 200, body = CourtRow)))]
async fn read(
    office: State,
    permit: Permit<SeeSite>,
    path: web::Path<(i64, i64)>,
) -> Result<HttpResponse, Problem> {
    let (_, id) = path.into_inner();
    let court = at_the_desk(&office, move |o| courts::court_read(o, &permit, id)).await?;
    Ok(answer::versioned(&court, court.version))
}

/// Changes a court: what is left out stays as it is.
#[utoipa::path(patch, path = "/sites/{site_id}/courts/{court_id}", tag = "courts",
    params(("site_id" = i64, Path), ("court_id" = i64, Path), ("If-Match" = String, Header, description = "the ETag that was read")),
    request_body = CourtEdit,
    responses((status = 200, body = CourtRow), (status = 412, description = "Changed since it was read"), (status = 428, description = "If-Match is missing"),
        (status = 422, description = "Refused as it stands")))]
async fn edit(
    office: State,
    permit: Permit<EditSite>,
    version: IfMatch,
    path: web::Path<(i64, i64)>,
    Body(told): Body<CourtEdit>,
) -> Result<HttpResponse, Problem> {
    let (_, id) = path.into_inner();
    let court = at_the_desk(&office, move |o| {
        courts::court_edit(o, &permit, id, version.0, &told)
    })
    .await?;
    Ok(answer::versioned(&court, court.version))
}
