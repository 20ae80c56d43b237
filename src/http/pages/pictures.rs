//! Pictures as the pages show them: the same as of the API, for who is signed in to the pages.

use actix_web::web;

use crate::http::api::pictures::{content, thumbnail};
use crate::http::route::at;

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
