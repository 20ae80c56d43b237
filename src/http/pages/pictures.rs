//! Pictures as the pages show them: the same as of the API, for who is signed in to the pages.

use actix_web::web;
use maud::{Markup, html};

use crate::desk::pictures::PictureView;
use crate::http::api::pictures::{content, thumbnail};
use crate::http::route::at;
use crate::store::pictures::PictureKind;
use crate::words::{say, say_with};

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

/// Pictures by their thumbnails and voice notes by a link, each leading to the whole; those that were removed are left out.
pub fn shown(site_id: i64, pictures: &[PictureView]) -> Markup {
    html! {
        @for picture in pictures.iter().filter(|picture| picture.removed_at.is_none()) {
            @let content = address(site_id, picture.id, "content");
            @if picture.kind == PictureKind::Picture {
                a href=(content) {
                    img src=(address(site_id, picture.id, "thumbnail"))
                        alt=(say_with("picture-alt", &[("id", picture.id.into())]));
                }
            } @else {
                p { a.button href=(content) { (say("picture-voice-note")) } }
            }
        }
    }
}
