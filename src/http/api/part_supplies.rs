//! How new parts come: from whom, how soon, and which material of the stores they are.

use actix_web::{HttpRequest, HttpResponse, web};
use utoipa::OpenApi;

use crate::desk::Permit;
use crate::desk::access::{EditStores, SeeTools};
use crate::desk::wear::{self, PartSupplyEdit, PartSupplyTold};
use crate::http::answer::{self, List};
use crate::http::read::{Body, ClientKey, IfMatch, ListQuery, Listing};
use crate::http::route::at;
use crate::http::{Problem, State, at_the_desk};
use crate::store::wear::PartSupplyRow;

#[derive(OpenApi)]
#[openapi(paths(list, read, tell, edit))]
pub(super) struct Doc;

pub(super) fn routes(cfg: &mut web::ServiceConfig) {
    cfg.service(
        at("/part-supplies", "GET, POST")
            .route(web::get().to(list))
            .route(web::post().to(tell)),
    )
    .service(
        at("/part-supplies/{part_supply_id}", "GET, PATCH")
            .route(web::get().to(read))
            .route(web::patch().to(edit)),
    );
}

/// How new parts come, by what they are.
#[utoipa::path(get, path = "/sites/{site_id}/part-supplies", tag = "wear",
    params(("site_id" = i64, Path), ListQuery), responses((status = 200, body = List<PartSupplyRow>)))]
async fn list(
    office: State,
    permit: Permit<SeeTools>,
    req: HttpRequest,
    listing: Listing,
) -> Result<HttpResponse, Problem> {
    let page = listing.page;
    let rows = at_the_desk(&office, move |o| wear::part_supply_list(o, &permit, page)).await?;
    Ok(answer::list(&req, rows))
}

/// One of them, with its ETag.
#[utoipa::path(get, path = "/sites/{site_id}/part-supplies/{part_supply_id}", tag = "wear",
    params(("site_id" = i64, Path), ("part_supply_id" = i64, Path)),
    responses((status = 200, body = PartSupplyRow)))]
async fn read(
    office: State,
    permit: Permit<SeeTools>,
    path: web::Path<(i64, i64)>,
) -> Result<HttpResponse, Problem> {
    let (_, id) = path.into_inner();
    let found = at_the_desk(&office, move |o| wear::part_supply_read(o, &permit, id)).await?;
    Ok(answer::versioned(&found, found.version))
}

/// Says how new parts of a kind come that nothing was said of yet.
#[utoipa::path(post, path = "/sites/{site_id}/part-supplies", tag = "wear",
    params(("site_id" = i64, Path),
        ("Idempotency-Key" = String, Header, description = "the client's own UUID of this event")),
    request_body = PartSupplyTold,
    responses((status = 201, body = PartSupplyRow), (status = 409, description = "It was said before"),
        (status = 422, description = "Refused as it stands")))]
async fn tell(
    office: State,
    permit: Permit<EditStores>,
    key: ClientKey,
    Body(told): Body<PartSupplyTold>,
) -> Result<HttpResponse, Problem> {
    let found = at_the_desk(&office, move |o| {
        wear::part_supply_tell(o, &permit, key.0, &told)
    })
    .await?;
    Ok(HttpResponse::Created().json(found))
}

/// Changes how new parts of a kind come.
#[utoipa::path(patch, path = "/sites/{site_id}/part-supplies/{part_supply_id}", tag = "wear",
    params(("site_id" = i64, Path), ("part_supply_id" = i64, Path),
        ("If-Match" = String, Header, description = "the ETag that was read")),
    request_body = PartSupplyEdit,
    responses((status = 200, body = PartSupplyRow), (status = 412, description = "Changed since it was read"),
        (status = 428, description = "If-Match is missing"), (status = 422, description = "Refused as it stands")))]
async fn edit(
    office: State,
    permit: Permit<EditStores>,
    version: IfMatch,
    path: web::Path<(i64, i64)>,
    Body(told): Body<PartSupplyEdit>,
) -> Result<HttpResponse, Problem> {
    let (_, id) = path.into_inner();
    let found = at_the_desk(&office, move |o| {
        wear::part_supply_edit(o, &permit, id, version.0, &told)
    })
    .await?;
    Ok(answer::versioned(&found, found.version))
}
