//! Materials and stock moves.

use actix_web::{HttpRequest, HttpResponse, web};
use serde::Deserialize;
use utoipa::{IntoParams, OpenApi};

use crate::desk::Permit;
use crate::desk::access::{EditStores, SeeStores};
use crate::desk::stores::{self, MaterialEdit};
use crate::http::answer::{self, List};
use crate::http::read::{Body, Id, IfMatch, ListQuery, Listing};
use crate::http::route::at;
use crate::http::{Problem, State, at_the_desk};
use crate::store::stores::{MaterialRow, StockMoveRow};

#[derive(OpenApi)]
#[openapi(paths(material_list, material_read, material_edit, move_list))]
pub(super) struct Doc;

pub(super) fn routes(cfg: &mut web::ServiceConfig) {
    cfg.service(at("/materials", "GET").route(web::get().to(material_list)))
        .service(
            at("/materials/{material_id}", "GET, PATCH")
                .route(web::get().to(material_read))
                .route(web::patch().to(material_edit)),
        )
        .service(at("/stock-moves", "GET").route(web::get().to(move_list)));
}

/// Which stock moves a list shows.
#[derive(Debug, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
struct MoveQuery {
    /// Of this material only.
    #[param(value_type = Option<i64>)]
    material_id: Option<Id>,
}

/// The site's materials.
#[utoipa::path(get, path = "/sites/{site_id}/materials", tag = "stores",
    params(("site_id" = i64, Path), ListQuery), responses((status = 200, body = List<MaterialRow>)))]
async fn material_list(
    office: State,
    permit: Permit<SeeStores>,
    req: HttpRequest,
    listing: Listing,
) -> Result<HttpResponse, Problem> {
    let page = listing.page;
    let rows = at_the_desk(&office, move |o| stores::material_list(o, &permit, page)).await?;
    Ok(answer::list(&req, rows))
}

/// One material, with its ETag.
#[utoipa::path(get, path = "/sites/{site_id}/materials/{material_id}", tag = "stores",
    params(("site_id" = i64, Path), ("material_id" = i64, Path)),
    responses((status = 200, body = MaterialRow)))]
async fn material_read(
    office: State,
    permit: Permit<SeeStores>,
    path: web::Path<(i64, i64)>,
) -> Result<HttpResponse, Problem> {
    let (_, id) = path.into_inner();
    let found = at_the_desk(&office, move |o| stores::material_read(o, &permit, id)).await?;
    Ok(answer::versioned(&found, found.version))
}

/// Sets what a material's label says: where the safety sheet is, what is worn, and in which weather it may be put on.
#[utoipa::path(patch, path = "/sites/{site_id}/materials/{material_id}", tag = "stores",
    params(("site_id" = i64, Path), ("material_id" = i64, Path), ("If-Match" = String, Header, description = "the ETag that was read")),
    request_body = MaterialEdit,
    responses((status = 200, body = MaterialRow), (status = 412, description = "Changed since it was read"), (status = 428, description = "If-Match is missing"),
        (status = 422, description = "Refused as it stands")))]
async fn material_edit(
    office: State,
    permit: Permit<EditStores>,
    version: IfMatch,
    path: web::Path<(i64, i64)>,
    Body(told): Body<MaterialEdit>,
) -> Result<HttpResponse, Problem> {
    let (_, id) = path.into_inner();
    let found = at_the_desk(&office, move |o| {
        stores::material_edit(o, &permit, id, version.0, &told)
    })
    .await?;
    Ok(answer::versioned(&found, found.version))
}

/// The site's stock moves, in the order in which they were booked.
#[utoipa::path(get, path = "/sites/{site_id}/stock-moves", tag = "stores",
    params(("site_id" = i64, Path), MoveQuery, ListQuery), responses((status = 200, body = List<StockMoveRow>)))]
async fn move_list(
    office: State,
    permit: Permit<SeeStores>,
    req: HttpRequest,
    listing: Listing<MoveQuery>,
) -> Result<HttpResponse, Problem> {
    let page = listing.page;
    let material = listing.filter.material_id.map(|id| id.0);
    let rows = at_the_desk(&office, move |o| {
        stores::stock_move_list(o, &permit, material, page)
    })
    .await?;
    Ok(answer::list(&req, rows))
}
