//! Keys for pulls.

use actix_web::{HttpRequest, HttpResponse, web};
use utoipa::OpenApi;

use crate::desk::Permit;
use crate::desk::access::{EditKeys, SeeKeys};
use crate::desk::api_keys::{self, MadeKey, NewApiKey};
use crate::http::answer::{self, List};
use crate::http::read::{Body, ClientKey, ListQuery, Listing};
use crate::http::route::at;
use crate::http::{Problem, State, at_the_desk};
use crate::store::api_keys::ApiKeyRow;

#[derive(OpenApi)]
#[openapi(paths(list, make, remove, extend))]
pub(super) struct Doc;

pub(super) fn routes(cfg: &mut web::ServiceConfig) {
    cfg.service(
        at("/api-keys", "GET, POST")
            .route(web::get().to(list))
            .route(web::post().to(make)),
    )
    .service(at("/api-keys/{key_id}", "DELETE").route(web::delete().to(remove)))
    .service(at("/api-keys/{key_id}/extend", "POST").route(web::post().to(extend)));
}

/// The keys that reach the site, without the keys themselves.
#[utoipa::path(get, path = "/sites/{site_id}/api-keys", tag = "keys", params(("site_id" = i64, Path), ListQuery),
    responses((status = 200, body = List<ApiKeyRow>)))]
async fn list(
    office: State,
    permit: Permit<SeeKeys>,
    req: HttpRequest,
    listing: Listing,
) -> Result<HttpResponse, Problem> {
    let page = listing.page;
    let rows = at_the_desk(&office, move |o| api_keys::key_list(o, &permit, page)).await?;
    Ok(answer::list(&req, rows))
}

/// Makes a read-only key that reaches the site. It is shown once, and goes into the `Authorization: Bearer` header.
#[utoipa::path(post, path = "/sites/{site_id}/api-keys", tag = "keys",
    params(("site_id" = i64, Path), ("Idempotency-Key" = String, Header, description = "a UUID that names this event")),
    request_body = NewApiKey, responses((status = 201, body = MadeKey)))]
async fn make(
    office: State,
    permit: Permit<EditKeys>,
    key: ClientKey,
    Body(new): Body<NewApiKey>,
) -> Result<HttpResponse, Problem> {
    let made = at_the_desk(&office, move |o| {
        api_keys::key_make(o, &permit, &new, key.0)
    })
    .await?;
    Ok(HttpResponse::Created()
        .insert_header(("cache-control", "no-store"))
        .json(made))
}

/// Takes the site away from a key, at once.
#[utoipa::path(delete, path = "/sites/{site_id}/api-keys/{key_id}", tag = "keys",
    params(("site_id" = i64, Path), ("key_id" = i64, Path)), responses((status = 204)))]
async fn remove(
    office: State,
    permit: Permit<EditKeys>,
    path: web::Path<(i64, i64)>,
) -> Result<HttpResponse, Problem> {
    let (_, id) = path.into_inner();
    at_the_desk(&office, move |o| api_keys::key_remove(o, &permit, id)).await?;
    Ok(HttpResponse::NoContent().finish())
}

/// Lets a key that one has made for another site reach this one too. Nothing happens where it does.
#[utoipa::path(post, path = "/sites/{site_id}/api-keys/{key_id}/extend", tag = "keys",
    params(("site_id" = i64, Path), ("key_id" = i64, Path)), responses((status = 200, body = ApiKeyRow)))]
async fn extend(
    office: State,
    permit: Permit<EditKeys>,
    path: web::Path<(i64, i64)>,
) -> Result<HttpResponse, Problem> {
    let (_, id) = path.into_inner();
    let row = at_the_desk(&office, move |o| api_keys::key_extend(o, &permit, id)).await?;
    Ok(HttpResponse::Ok().json(row))
}
