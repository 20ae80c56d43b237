//! Sites.

use actix_web::{HttpRequest, HttpResponse, web};
use utoipa::OpenApi;

use crate::desk::Permit;
use crate::desk::access::{EditSite, SeeSite};
use crate::desk::sites::{self, SiteEdit};
use crate::http::answer::{self, List};
use crate::http::read::{Body, IfMatch, ListQuery, Listing, User};
use crate::http::route::at;
use crate::http::{Problem, State, at_the_desk};
use crate::store::sites::SiteRow;

#[derive(OpenApi)]
#[openapi(paths(list, read, edit))]
pub(super) struct Doc;

pub(super) fn routes(cfg: &mut web::ServiceConfig) {
    cfg.service(at("/sites", "GET").route(web::get().to(list)));
}

pub(super) fn site_routes(cfg: &mut web::ServiceConfig) {
    cfg.service(
        at("", "GET, PATCH")
            .route(web::get().to(read))
            .route(web::patch().to(edit)),
    );
}

/// The sites the user belongs to.
#[utoipa::path(get, path = "/sites", tag = "sites", params(ListQuery),
    responses((status = 200, body = List<SiteRow>)))]
async fn list(
    office: State,
    user: User,
    req: HttpRequest,
    listing: Listing,
) -> Result<HttpResponse, Problem> {
    let page = listing.page;
    let rows = at_the_desk(&office, move |o| sites::site_list(o, user.actor, page)).await?;
    Ok(answer::list(&req, rows))
}

/// One site, with its ETag.
#[utoipa::path(get, path = "/sites/{site_id}", tag = "sites", params(("site_id" = i64, Path)),
    responses((status = 200, body = SiteRow)))]
async fn read(office: State, permit: Permit<SeeSite>) -> Result<HttpResponse, Problem> {
    let site = at_the_desk(&office, move |o| sites::site_read(o, &permit)).await?;
    Ok(answer::versioned(&site, site.version))
}

/// Changes a site's name and units, and whether managers and finance must sign in with a second factor.
#[utoipa::path(patch, path = "/sites/{site_id}", tag = "sites",
    params(("site_id" = i64, Path), ("If-Match" = String, Header, description = "the ETag that was read")),
    request_body = SiteEdit,
    responses((status = 200, body = SiteRow), (status = 412, description = "Changed since it was read"),
        (status = 422, description = "Refused as it stands"), (status = 428, description = "If-Match is missing")))]
async fn edit(
    office: State,
    permit: Permit<EditSite>,
    version: IfMatch,
    Body(body): Body<SiteEdit>,
) -> Result<HttpResponse, Problem> {
    let site = at_the_desk(&office, move |o| {
        sites::site_edit(o, &permit, version.0, &body)
    })
    .await?;
    Ok(answer::versioned(&site, site.version))
}
