//! Crews' tablets.

use actix_web::{HttpRequest, HttpResponse, web};
use utoipa::OpenApi;

use crate::desk::Permit;
use crate::desk::access::{PairDevice, RevokeDevice};
use crate::desk::devices::{self, DeviceCode, NewDevice};
use crate::http::answer::{self, List};
use crate::http::read::{Body, ClientKey, ListQuery, Listing};
use crate::http::route::at;
use crate::http::{Problem, State, at_the_desk};
use crate::store::devices::DeviceRow;

#[derive(OpenApi)]
#[openapi(paths(list, add, revoke, code))]
pub(super) struct Doc;

pub(super) fn routes(cfg: &mut web::ServiceConfig) {
    cfg.service(
        at("/devices", "GET, POST")
            .route(web::get().to(list))
            .route(web::post().to(add)),
    )
    .service(at("/devices/{device_id}", "DELETE").route(web::delete().to(revoke)))
    .service(at("/devices/{device_id}/code", "POST").route(web::post().to(code)));
}

/// The site's tablets, those whose access was taken away included.
#[utoipa::path(get, path = "/sites/{site_id}/devices", tag = "devices", params(("site_id" = i64, Path), ListQuery),
    responses((status = 200, body = List<DeviceRow>)))]
async fn list(
    office: State,
    permit: Permit<PairDevice>,
    req: HttpRequest,
    listing: Listing,
) -> Result<HttpResponse, Problem> {
    let page = listing.page;
    let rows = at_the_desk(&office, move |o| devices::device_list(o, &permit, page)).await?;
    Ok(answer::list(&req, rows))
}

/// Adds a tablet, and gives the code that pairs it: good once, for ten minutes, by `POST /api/v1/pair`.
#[utoipa::path(post, path = "/sites/{site_id}/devices", tag = "devices",
    params(("site_id" = i64, Path), ("Idempotency-Key" = String, Header, description = "a UUID that names this event")),
    request_body = NewDevice, responses((status = 201, body = DeviceCode)))]
async fn add(
    office: State,
    permit: Permit<PairDevice>,
    key: ClientKey,
    Body(new): Body<NewDevice>,
) -> Result<HttpResponse, Problem> {
    let made = at_the_desk(&office, move |o| {
        devices::device_add(o, &permit, &new, key.0)
    })
    .await?;
    Ok(HttpResponse::Created()
        .insert_header(("cache-control", "no-store"))
        .json(made))
}

/// Takes a tablet's access away, at once.
#[utoipa::path(delete, path = "/sites/{site_id}/devices/{device_id}", tag = "devices",
    params(("site_id" = i64, Path), ("device_id" = i64, Path)),
    responses((status = 204), (status = 409, description = "It was taken away before")))]
async fn revoke(
    office: State,
    permit: Permit<RevokeDevice>,
    path: web::Path<(i64, i64)>,
) -> Result<HttpResponse, Problem> {
    let (_, id) = path.into_inner();
    at_the_desk(&office, move |o| devices::device_revoke(o, &permit, id)).await?;
    Ok(HttpResponse::NoContent().finish())
}

/// A new code for a tablet that lost its session, or was never paired.
#[utoipa::path(post, path = "/sites/{site_id}/devices/{device_id}/code", tag = "devices",
    params(("site_id" = i64, Path), ("device_id" = i64, Path),
        ("Idempotency-Key" = String, Header, description = "a UUID that names this event")),
    responses((status = 201, body = DeviceCode), (status = 409, description = "Its access was taken away")))]
async fn code(
    office: State,
    permit: Permit<PairDevice>,
    key: ClientKey,
    path: web::Path<(i64, i64)>,
) -> Result<HttpResponse, Problem> {
    let (_, id) = path.into_inner();
    let made = at_the_desk(&office, move |o| {
        devices::device_code(o, &permit, id, key.0)
    })
    .await?;
    Ok(HttpResponse::Created()
        .insert_header(("cache-control", "no-store"))
        .json(made))
}
