//! Pictures as the pages show them: the same as of the API, for who is signed in to the pages.

use actix_web::{HttpRequest, HttpResponse, web};

use crate::desk::Permit;
use crate::desk::access::SeePictures;
use crate::desk::pictures::{picture_content, picture_thumbnail};
use crate::http::problem::Problem;
use crate::http::route::at;
use crate::http::{State, answer, at_the_desk};

pub(super) fn site_routes(cfg: &mut web::ServiceConfig) {
    cfg.service(at("/pictures/{picture_id:[0-9]+}/content", "GET").route(web::get().to(content)))
        .service(
            at("/pictures/{picture_id:[0-9]+}/thumbnail", "GET").route(web::get().to(thumbnail)),
        );
}

/// Where a picture lies: its `content` or its `thumbnail`.
pub fn address(site_id: i64, picture_id: i64, which: &str) -> String {
    format!("/sites/{site_id}/pictures/{picture_id}/{which}")
}

async fn content(
    office: State,
    permit: Permit<SeePictures>,
    req: HttpRequest,
    path: web::Path<(i64, i64)>,
) -> Result<HttpResponse, Problem> {
    let (_, id) = path.into_inner();
    let content = at_the_desk(&office, move |o| picture_content(o, &permit, id)).await?;
    Ok(answer::content(req.headers(), content))
}

async fn thumbnail(
    office: State,
    permit: Permit<SeePictures>,
    req: HttpRequest,
    path: web::Path<(i64, i64)>,
) -> Result<HttpResponse, Problem> {
    let (_, id) = path.into_inner();
    let content = at_the_desk(&office, move |o| picture_thumbnail(o, &permit, id)).await?;
    Ok(answer::content(req.headers(), content))
}
