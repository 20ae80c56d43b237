//! Nets: when each was gauged and looked at, and when that is due again.

use actix_web::{HttpResponse, web};
use utoipa::OpenApi;

use crate::desk::Permit;
use crate::desk::access::SeeTools;
use crate::desk::nets::{NetsNow, nets_now};
use crate::http::route::at;
use crate::http::{Problem, State, at_the_desk};

#[derive(OpenApi)]
#[openapi(paths(now))]
pub(super) struct Doc;

pub(super) fn routes(cfg: &mut web::ServiceConfig) {
    cfg.service(at("/nets", "GET").route(web::get().to(now)));
}

/// When each net was last gauged and its parts looked at by eye, what came of it, and whether that is overdue.
#[utoipa::path(get, path = "/sites/{site_id}/nets", tag = "wear",
    params(("site_id" = i64, Path)), responses((status = 200, body = NetsNow)))]
async fn now(office: State, permit: Permit<SeeTools>) -> Result<HttpResponse, Problem> {
    let nets = at_the_desk(&office, move |o| nets_now(o, &permit)).await?;
    Ok(HttpResponse::Ok().json(nets))
}
