//! The site's own words for its things.

use actix_web::{HttpRequest, HttpResponse, web};
use serde::Deserialize;
use utoipa::{IntoParams, OpenApi};

use crate::desk::Permit;
use crate::desk::access::{EditSite, SeeSite};
use crate::desk::site_words::{self, NewSiteWord, SiteWordEdit};
use crate::http::answer::{self, List};
use crate::http::read::{Body, ClientKey, IfMatch, ListQuery, Listing};
use crate::http::route::at;
use crate::http::{Problem, State, at_the_desk};
use crate::store::site_words::{SiteWordRow, WordFilter, WordSubject};

#[derive(OpenApi)]
#[openapi(paths(list, add, read, edit, remove))]
pub(super) struct Doc;

pub(super) fn routes(cfg: &mut web::ServiceConfig) {
    cfg.service(
        at("/site-words", "GET, POST")
            .route(web::get().to(list))
            .route(web::post().to(add)),
    )
    .service(
        at("/site-words/{site_word_id}", "GET, PATCH, DELETE")
            .route(web::get().to(read))
            .route(web::patch().to(edit))
            .route(web::delete().to(remove)),
    );
}

/// Which words a list shows.
#[derive(Debug, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
struct WordQuery {
    /// Of this language only.
    language: Option<String>,
    /// For this kind of thing only.
    subject_kind: Option<WordSubject>,
}

/// The site's own words for its things, in the languages of its people.
#[utoipa::path(get, path = "/sites/{site_id}/site-words", tag = "words",
    params(("site_id" = i64, Path), WordQuery, ListQuery), responses((status = 200, body = List<SiteWordRow>)))]
async fn list(
    office: State,
    permit: Permit<SeeSite>,
    req: HttpRequest,
    listing: Listing<WordQuery>,
) -> Result<HttpResponse, Problem> {
    let filter = WordFilter {
        language: listing.filter.language,
        subject_kind: listing.filter.subject_kind,
    };
    let page = listing.page;
    let rows = at_the_desk(&office, move |o| {
        site_words::word_list(o, &permit, &filter, page)
    })
    .await?;
    Ok(answer::list(&req, rows))
}

/// Adds a word for a thing that has none in its language.
#[utoipa::path(post, path = "/sites/{site_id}/site-words", tag = "words",
    params(("site_id" = i64, Path),
        ("Idempotency-Key" = String, Header, description = "the client's own UUID of this event")),
    request_body = NewSiteWord,
    responses((status = 201, body = SiteWordRow), (status = 409, description = "There is one already"),
        (status = 422, description = "Refused as it stands")))]
async fn add(
    office: State,
    permit: Permit<EditSite>,
    key: ClientKey,
    Body(new): Body<NewSiteWord>,
) -> Result<HttpResponse, Problem> {
    let word = at_the_desk(&office, move |o| {
        site_words::word_new(o, &permit, key.0, &new)
    })
    .await?;
    Ok(HttpResponse::Created().json(word))
}

/// One word, with its ETag.
#[utoipa::path(get, path = "/sites/{site_id}/site-words/{site_word_id}", tag = "words",
    params(("site_id" = i64, Path), ("site_word_id" = i64, Path)),
    responses((status = 200, body = SiteWordRow)))]
async fn read(
    office: State,
    permit: Permit<SeeSite>,
    path: web::Path<(i64, i64)>,
) -> Result<HttpResponse, Problem> {
    let (_, id) = path.into_inner();
    let word = at_the_desk(&office, move |o| site_words::word_read(o, &permit, id)).await?;
    Ok(answer::versioned(&word, word.version))
}

/// Changes a word.
#[utoipa::path(patch, path = "/sites/{site_id}/site-words/{site_word_id}", tag = "words",
    params(("site_id" = i64, Path), ("site_word_id" = i64, Path),
        ("If-Match" = String, Header, description = "the ETag that was read")),
    request_body = SiteWordEdit,
    responses((status = 200, body = SiteWordRow), (status = 412, description = "Changed since it was read"),
        (status = 422, description = "Refused as it stands"), (status = 428, description = "If-Match is missing")))]
async fn edit(
    office: State,
    permit: Permit<EditSite>,
    version: IfMatch,
    path: web::Path<(i64, i64)>,
    Body(edit): Body<SiteWordEdit>,
) -> Result<HttpResponse, Problem> {
    let (_, id) = path.into_inner();
    let word = at_the_desk(&office, move |o| {
        site_words::word_edit(o, &permit, id, version.0, &edit)
    })
    .await?;
    Ok(answer::versioned(&word, word.version))
}

/// Takes a word away.
#[utoipa::path(delete, path = "/sites/{site_id}/site-words/{site_word_id}", tag = "words",
    params(("site_id" = i64, Path), ("site_word_id" = i64, Path)), responses((status = 204)))]
async fn remove(
    office: State,
    permit: Permit<EditSite>,
    path: web::Path<(i64, i64)>,
) -> Result<HttpResponse, Problem> {
    let (_, id) = path.into_inner();
    at_the_desk(&office, move |o| site_words::word_remove(o, &permit, id)).await?;
    Ok(HttpResponse::NoContent().finish())
}
