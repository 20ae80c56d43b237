//! Style sheets and icons, embedded in the binary. The address holds the content's hash, so that a
//! browser may keep them for ever and still never shows an old one.

use actix_web::http::header::{CacheControl, CacheDirective, ContentType};
use actix_web::{HttpResponse, Resource, web};
use base64::Engine;
use base64::engine::general_purpose::URL_SAFE_NO_PAD;
use rust_embed::{EmbeddedFile, RustEmbed};

use crate::http::problem::{Kind, Problem};
use crate::http::route::at;

#[derive(RustEmbed)]
#[folder = "src/http/assets/"]
struct Assets;

const YEAR_S: u32 = 365 * 24 * 3_600;

/// Where an asset lies: `/assets/q83v…/office.css`.
pub fn address(name: &str) -> String {
    let Some(file) = Assets::get(name) else {
        tracing::error!(name, "a page names an asset that is not there");
        return format!("/assets/none/{name}");
    };
    format!("/assets/{}/{name}", tag(&file))
}

/// The first 12 bytes of the content's SHA-256 are more than enough to tell versions apart.
fn tag(file: &EmbeddedFile) -> String {
    URL_SAFE_NO_PAD.encode(&file.metadata.sha256_hash()[..12])
}

/// The route of all assets.
pub fn route() -> Resource {
    at("/assets/{tag}/{name:.+}", "GET").route(web::get().to(serve))
}

/// An address of another version gets the present file, which is then not kept: two instances may
/// be of different versions while one is replaced.
async fn serve(path: web::Path<(String, String)>) -> Result<HttpResponse, Problem> {
    let (asked, name) = path.into_inner();
    let file = Assets::get(&name).ok_or_else(|| Problem::new(Kind::NotFound, "no such asset"))?;
    let keep = if asked == tag(&file) {
        vec![
            CacheDirective::Public,
            CacheDirective::MaxAge(YEAR_S),
            CacheDirective::Extension("immutable".into(), None),
        ]
    } else {
        vec![CacheDirective::NoStore]
    };
    let kind = file.metadata.mimetype().parse().map(ContentType);
    Ok(HttpResponse::Ok()
        .insert_header(CacheControl(keep))
        .insert_header(kind.unwrap_or_else(|_| ContentType::octet_stream()))
        .body(file.data.into_owned()))
}
