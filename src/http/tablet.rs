//! The crew's tablet page: a shell of plain files that holds no data, needs no sign-in, and works without signal once it was
//! loaded. What it shows comes by the API.
//!
//! All its files lie under one address that holds a hash over all of them, so that a browser has them of one version or not at
//! all, and may keep them for ever.

use std::sync::LazyLock;

use actix_web::http::header::{self, EntityTag};
use actix_web::{HttpRequest, HttpResponse, web};
use base64::Engine;
use base64::engine::general_purpose::URL_SAFE_NO_PAD;
use rust_embed::{EmbeddedFile, RustEmbed};
use sha2::{Digest, Sha256};

use super::answer::tagged;
use super::problem::{Kind, Problem};
use super::route::at;

#[derive(RustEmbed)]
#[folder = "src/http/tablet/"]
#[exclude = "*.md"]
struct Files;

/// What the page says, one file a language.
#[derive(RustEmbed)]
#[folder = "src/words/"]
#[include = "*/tablet.ftl"]
struct Words;

const PAGE: &str = "index.html";
const WORKER: &str = "sw.js";
const MANIFEST: &str = "manifest.webmanifest";
const LANGUAGES: &str = "words/languages.json";
const FOR_EVER: &str = "public, max-age=31536000, immutable";
/// Kept, and asked for anew each time: the answer is mostly 304.
const ASK_AGAIN: &str = "no-cache";

/// The version of the whole shell.
static TAG: LazyLock<String> = LazyLock::new(|| {
    let mut hash = Sha256::new();
    for name in names() {
        hash.update(name.as_bytes());
        if let Some(file) = file(&name) {
            hash.update(&file.data);
        }
    }
    URL_SAFE_NO_PAD.encode(&hash.finalize()[..9])
});

/// Every route of the tablet's page.
pub fn routes(cfg: &mut web::ServiceConfig) {
    cfg.service(at("/tablet", "GET").route(web::get().to(page)))
        .service(at("/tablet/sw.js", "GET").route(web::get().to(worker)))
        .service(at("/tablet/manifest.webmanifest", "GET").route(web::get().to(manifest)))
        .service(at("/tablet/{tag}/{name:.+}", "GET").route(web::get().to(part)));
}

/// The languages the page speaks, by the names of their folders.
pub(super) fn languages() -> Vec<String> {
    let mut all: Vec<String> = Words::iter()
        .filter_map(|path| Some(path.strip_suffix("/tablet.ftl")?.to_owned()))
        .collect();
    all.sort_unstable();
    all
}

/// The names of all files, in a fixed order.
fn names() -> Vec<String> {
    let mut all: Vec<String> = Files::iter().map(std::borrow::Cow::into_owned).collect();
    all.extend(
        languages()
            .iter()
            .map(|language| format!("words/{language}.ftl")),
    );
    all.push(LANGUAGES.to_owned());
    all.sort_unstable();
    all
}

fn file(name: &str) -> Option<EmbeddedFile> {
    let language = name
        .strip_prefix("words/")
        .and_then(|n| n.strip_suffix(".ftl"));
    match language {
        Some(language) => Words::get(&format!("{language}/tablet.ftl")),
        None => Files::get(name),
    }
}

/// The addresses of all that the page needs without signal.
fn addresses() -> Vec<String> {
    let own = [PAGE, WORKER, MANIFEST];
    let names = names()
        .into_iter()
        .filter(|name| !own.contains(&name.as_str()));
    let mut all: Vec<String> = names
        .map(|name| format!("/tablet/{}/{name}", *TAG))
        .collect();
    all.push("/tablet".to_owned());
    all.push(format!("/tablet/{MANIFEST}"));
    all
}

/// One of the files that name their version: the words for it are put in.
fn filled(name: &str) -> Result<String, Problem> {
    let file = file(name).ok_or_else(|| Problem::new(Kind::NotFound, "no such file"))?;
    let text = String::from_utf8_lossy(&file.data);
    let files = serde_json::to_string(&addresses()).unwrap_or_default();
    Ok(text
        .replace("__VERSION__", &TAG)
        .replace("__FILES__", &files))
}

async fn page(req: HttpRequest) -> Result<HttpResponse, Problem> {
    asked_again(&req, PAGE, "text/html; charset=utf-8")
}

async fn manifest(req: HttpRequest) -> Result<HttpResponse, Problem> {
    asked_again(&req, MANIFEST, "application/manifest+json")
}

/// The worker answers for the page and what is below it.
async fn worker(req: HttpRequest) -> Result<HttpResponse, Problem> {
    let mut answer = asked_again(&req, WORKER, "text/javascript; charset=utf-8")?;
    answer.headers_mut().insert(
        header::HeaderName::from_static("service-worker-allowed"),
        header::HeaderValue::from_static("/tablet"),
    );
    Ok(answer)
}

fn asked_again(req: &HttpRequest, name: &str, kind: &'static str) -> Result<HttpResponse, Problem> {
    let (mut answer, is_known) = tagged(req, EntityTag::new_weak(TAG.clone()), ASK_AGAIN);
    if is_known {
        return Ok(answer.finish());
    }
    Ok(answer.content_type(kind).body(filled(name)?))
}

/// A file of the shell. One of another version is not given: files of two versions do not go together.
async fn part(path: web::Path<(String, String)>) -> Result<HttpResponse, Problem> {
    let (tag, name) = path.into_inner();
    let no_such = || Problem::new(Kind::NotFound, "no such file of this version");
    if tag != *TAG {
        return Err(no_such());
    }
    let mut answer = HttpResponse::Ok();
    answer.insert_header((header::CACHE_CONTROL, FOR_EVER));
    if name == LANGUAGES {
        return Ok(answer.json(languages()));
    }
    let file = file(&name).ok_or_else(no_such)?;
    // No list of endings knows the words' own.
    let kind = if name.starts_with("words/") {
        "text/plain; charset=utf-8"
    } else {
        file.metadata.mimetype()
    };
    Ok(answer
        .insert_header((header::CONTENT_TYPE, kind))
        .body(file.data.into_owned()))
}
