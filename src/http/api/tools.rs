//! Tools, wear parts and readings.

use actix_web::{HttpRequest, HttpResponse, web};
use serde::Deserialize;
use utoipa::{IntoParams, OpenApi};

use crate::desk::Permit;
use crate::desk::access::SeeTools;
use crate::desk::tools::{self, WearPartView};
use crate::http::answer::{self, List};
use crate::http::read::{Id, ListQuery, Listing};
use crate::http::route::at;
use crate::http::{Problem, State, at_the_desk};
use crate::store::tools::{ReadingRow, ToolClassRow, ToolRow};

#[derive(OpenApi)]
#[openapi(paths(
    class_list,
    tool_list,
    tool_read,
    wear_part_list,
    wear_part_reading_list,
    reading_list
))]
pub(super) struct Doc;

pub(super) fn routes(cfg: &mut web::ServiceConfig) {
    cfg.service(at("/tool-classes", "GET").route(web::get().to(class_list)))
        .service(at("/tools", "GET").route(web::get().to(tool_list)))
        .service(at("/tools/{tool_id}", "GET").route(web::get().to(tool_read)))
        .service(at("/wear-parts", "GET").route(web::get().to(wear_part_list)))
        .service(
            at("/wear-parts/{wear_part_id}/readings", "GET")
                .route(web::get().to(wear_part_reading_list)),
        )
        .service(at("/readings", "GET").route(web::get().to(reading_list)));
}

/// Which readings a list shows.
#[derive(Debug, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
struct ReadingQuery {
    /// Of this wear part only.
    #[param(value_type = Option<i64>)]
    wear_part_id: Option<Id>,
}

/// The site's tool classes.
#[utoipa::path(get, path = "/sites/{site_id}/tool-classes", tag = "tools",
    params(("site_id" = i64, Path), ListQuery), responses((status = 200, body = List<ToolClassRow>)))]
async fn class_list(
    office: State,
    permit: Permit<SeeTools>,
    req: HttpRequest,
    listing: Listing,
) -> Result<HttpResponse, Problem> {
    let page = listing.page;
    let rows = at_the_desk(&office, move |o| tools::tool_class_list(o, &permit, page)).await?;
    Ok(answer::list(&req, rows))
}

/// The site's tools.
#[utoipa::path(get, path = "/sites/{site_id}/tools", tag = "tools",
    params(("site_id" = i64, Path), ListQuery), responses((status = 200, body = List<ToolRow>)))]
async fn tool_list(
    office: State,
    permit: Permit<SeeTools>,
    req: HttpRequest,
    listing: Listing,
) -> Result<HttpResponse, Problem> {
    let page = listing.page;
    let rows = at_the_desk(&office, move |o| tools::tool_list(o, &permit, page)).await?;
    Ok(answer::list(&req, rows))
}

/// One tool, with its ETag.
#[utoipa::path(get, path = "/sites/{site_id}/tools/{tool_id}", tag = "tools",
    params(("site_id" = i64, Path), ("tool_id" = i64, Path)),
    responses((status = 200, body = ToolRow)))]
async fn tool_read(
    office: State,
    permit: Permit<SeeTools>,
    path: web::Path<(i64, i64)>,
) -> Result<HttpResponse, Problem> {
    let (_, id) = path.into_inner();
    let found = at_the_desk(&office, move |o| tools::tool_read(o, &permit, id)).await?;
    Ok(answer::versioned(&found, found.version))
}

/// The site's wear parts, each with its newest reading.
#[utoipa::path(get, path = "/sites/{site_id}/wear-parts", tag = "tools",
    params(("site_id" = i64, Path), ListQuery), responses((status = 200, body = List<WearPartView>)))]
async fn wear_part_list(
    office: State,
    permit: Permit<SeeTools>,
    req: HttpRequest,
    listing: Listing,
) -> Result<HttpResponse, Problem> {
    let page = listing.page;
    let rows = at_the_desk(&office, move |o| tools::wear_part_list(o, &permit, page)).await?;
    Ok(answer::list(&req, rows))
}

/// The readings of one wear part, in the order in which they were booked.
#[utoipa::path(get, path = "/sites/{site_id}/wear-parts/{wear_part_id}/readings", tag = "tools",
    params(("site_id" = i64, Path), ("wear_part_id" = i64, Path), ListQuery),
    responses((status = 200, body = List<ReadingRow>)))]
async fn wear_part_reading_list(
    office: State,
    permit: Permit<SeeTools>,
    req: HttpRequest,
    path: web::Path<(i64, i64)>,
    listing: Listing,
) -> Result<HttpResponse, Problem> {
    let (_, id) = path.into_inner();
    let page = listing.page;
    let rows = at_the_desk(&office, move |o| {
        tools::wear_part_reading_list(o, &permit, id, page)
    })
    .await?;
    Ok(answer::list(&req, rows))
}

/// The site's readings, in the order in which they were booked.
#[utoipa::path(get, path = "/sites/{site_id}/readings", tag = "tools",
    params(("site_id" = i64, Path), ReadingQuery, ListQuery), responses((status = 200, body = List<ReadingRow>)))]
async fn reading_list(
    office: State,
    permit: Permit<SeeTools>,
    req: HttpRequest,
    listing: Listing<ReadingQuery>,
) -> Result<HttpResponse, Problem> {
    let page = listing.page;
    let part = listing.filter.wear_part_id.map(|id| id.0);
    let rows = at_the_desk(&office, move |o| {
        tools::reading_list(o, &permit, part, page)
    })
    .await?;
    Ok(answer::list(&req, rows))
}
