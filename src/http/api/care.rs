//! The care standard.

use actix_web::http::header;
use actix_web::{HttpRequest, HttpResponse, web};
use serde::Deserialize;
use utoipa::{IntoParams, OpenApi};

use crate::desk::Permit;
use crate::desk::access::{EditCare, SeeCare};
use crate::desk::care::{
    self, CareStandard, CareTaskEdit, CareTaskView, Language, LastDoneOfBank, ShippedStandard,
    StandardBegun, StandardReport, ToldLast, ToldReport,
};
use crate::desk::once::Once;
use crate::http::answer::{self, List};
use crate::http::read::{Body, ClientKey, IfMatch, ListQuery, Listing, Query};
use crate::http::route::at;
use crate::http::{Problem, State, at_the_desk};

#[derive(OpenApi)]
#[openapi(paths(list, read, edit, shipped, take, begin, last, told))]
pub(super) struct Doc;

pub(super) fn routes(cfg: &mut web::ServiceConfig) {
    cfg.service(at("/care-tasks", "GET").route(web::get().to(list)))
        .service(
            at("/care-tasks/{care_task_id}", "GET, PATCH")
                .route(web::get().to(read))
                .route(web::patch().to(edit)),
        )
        .service(
            at("/care-standard", "GET, POST")
                .route(web::get().to(shipped))
                .route(web::post().to(take)),
        )
        .service(at("/care-standard/shipped", "POST").route(web::post().to(begin)))
        .service(at("/banks/{bank_id}/care-told", "GET").route(web::get().to(last)))
        .service(at("/care-told", "POST").route(web::post().to(told)));
}

/// In which language texts come.
#[derive(Debug, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
struct InLanguage {
    /// `en` or `es`; where it is left out, as `Accept-Language` prefers.
    #[param(inline)]
    language: Option<Language>,
}

/// Which tasks, and in which language their texts come.
#[derive(Debug, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
struct TaskFilter {
    /// `en` or `es`; where it is left out, as `Accept-Language` prefers.
    #[param(inline)]
    language: Option<Language>,
    /// False for those that the site has given up; those that it does, where it is left out.
    in_use: Option<bool>,
}

impl InLanguage {
    /// The language's tag: the one asked for, else the first known one of the header, else English.
    fn tag(&self, req: &HttpRequest) -> &'static str {
        if let Some(language) = self.language {
            return language.tag();
        }
        let header = req.headers().get(header::ACCEPT_LANGUAGE);
        let accepted = header.and_then(|value| value.to_str().ok()).unwrap_or("");
        let known = accepted.split(',').find_map(|part| {
            let tag = part.trim().get(..2)?.to_ascii_lowercase();
            match tag.as_str() {
                "en" => Some("en"),
                "es" => Some("es"),
                _ => None,
            }
        });
        known.unwrap_or("en")
    }
}

/// The site's care tasks.
#[utoipa::path(get, path = "/sites/{site_id}/care-tasks", tag = "care",
    params(("site_id" = i64, Path), TaskFilter, ListQuery), responses((status = 200, body = List<CareTaskView>)))]
async fn list(
    office: State,
    permit: Permit<SeeCare>,
    req: HttpRequest,
    listing: Listing<TaskFilter>,
) -> Result<HttpResponse, Problem> {
    let (page, filter) = (listing.page, listing.filter);
    let language = InLanguage {
        language: filter.language,
    };
    let (language, in_use) = (language.tag(&req), filter.in_use.unwrap_or(true));
    let rows = at_the_desk(&office, move |o| {
        care::care_task_list(o, &permit, language, in_use, page)
    })
    .await?;
    Ok(answer::list(&req, rows))
}

/// One care task, with its ETag.
#[utoipa::path(get, path = "/sites/{site_id}/care-tasks/{care_task_id}", tag = "care",
    params(("site_id" = i64, Path), ("care_task_id" = i64, Path), InLanguage),
    responses((status = 200, body = CareTaskView)))]
async fn read(
    office: State,
    permit: Permit<SeeCare>,
    req: HttpRequest,
    path: web::Path<(i64, i64)>,
    Query(query): Query<InLanguage>,
) -> Result<HttpResponse, Problem> {
    let ((_, id), language) = (path.into_inner(), query.tag(&req));
    let view = at_the_desk(&office, move |o| {
        care::care_task_read(o, &permit, language, id)
    })
    .await?;
    Ok(answer::versioned(&view, view.version))
}

/// Changes how pressing a care task is, when it falls due, how long it takes, and how long the court rests after it.
#[utoipa::path(patch, path = "/sites/{site_id}/care-tasks/{care_task_id}", tag = "care",
    params(("site_id" = i64, Path), ("care_task_id" = i64, Path), InLanguage,
        ("If-Match" = String, Header, description = "the ETag that was read")),
    request_body = CareTaskEdit,
    responses((status = 200, body = CareTaskView), (status = 412, description = "Changed since it was read"),
        (status = 422, description = "Refused as it stands"), (status = 428, description = "If-Match is missing")))]
async fn edit(
    office: State,
    permit: Permit<EditCare>,
    req: HttpRequest,
    path: web::Path<(i64, i64)>,
    Query(query): Query<InLanguage>,
    version: IfMatch,
    Body(body): Body<CareTaskEdit>,
) -> Result<HttpResponse, Problem> {
    let ((_, id), language) = (path.into_inner(), query.tag(&req));
    let view = at_the_desk(&office, move |o| {
        care::care_task_change(o, &permit, language, id, version.0, &body)
    })
    .await?;
    Ok(answer::versioned(&view, view.version))
}

/// The care standard that comes with the program, as a site may change and take it.
#[utoipa::path(get, path = "/sites/{site_id}/care-standard", tag = "care", params(("site_id" = i64, Path)),
    responses((status = 200, body = ShippedStandard)))]
async fn shipped(office: State, permit: Permit<SeeCare>) -> Result<HttpResponse, Problem> {
    let standard = at_the_desk(&office, move |_| care::care_standard_shipped(&permit)).await?;
    Ok(HttpResponse::Ok().json(standard))
}

/// Takes a care standard whole. What cannot stand is refused with the reason, task by task, and the rest taken; what the
/// standard does not name is given up, unless something was refused.
#[utoipa::path(post, path = "/sites/{site_id}/care-standard", tag = "care",
    params(("site_id" = i64, Path),
        ("Idempotency-Key" = String, Header, description = "the client's own UUID of this event")),
    request_body = CareStandard,
    responses((status = 200, body = StandardReport), (status = 422, description = "Refused as it stands")))]
async fn take(
    office: State,
    permit: Permit<EditCare>,
    key: ClientKey,
    Body(body): Body<CareStandard>,
) -> Result<HttpResponse, Problem> {
    let report = at_the_desk(&office, move |o| {
        let once = Once::new(key.0, "care-standard".into(), &body)?;
        care::care_standard_take(o, &permit, &body, &once)
    })
    .await?;
    Ok(HttpResponse::Ok().json(report))
}

/// Takes the care standard that comes with the program, at a site that has none yet.
#[utoipa::path(post, path = "/sites/{site_id}/care-standard/shipped", tag = "care",
    params(("site_id" = i64, Path),
        ("Idempotency-Key" = String, Header, description = "the client's own UUID of this event")),
    request_body = StandardBegun,
    responses((status = 200, body = StandardReport), (status = 409, description = "Not in this state")))]
async fn begin(
    office: State,
    permit: Permit<EditCare>,
    key: ClientKey,
    Body(body): Body<StandardBegun>,
) -> Result<HttpResponse, Problem> {
    let report = at_the_desk(&office, move |o| {
        let once = Once::new(key.0, "care-standard/shipped".into(), &body)?;
        care::care_standard_begin(o, &permit, &body, &once)
    })
    .await?;
    Ok(HttpResponse::Ok().json(report))
}

/// When the tasks of a bank and of its courts were last done, as far as anybody knows.
#[utoipa::path(get, path = "/sites/{site_id}/banks/{bank_id}/care-told", tag = "care",
    params(("site_id" = i64, Path), ("bank_id" = i64, Path), InLanguage),
    responses((status = 200, body = LastDoneOfBank)))]
async fn last(
    office: State,
    permit: Permit<SeeCare>,
    req: HttpRequest,
    path: web::Path<(i64, i64)>,
    Query(query): Query<InLanguage>,
) -> Result<HttpResponse, Problem> {
    let ((_, bank), language) = (path.into_inner(), query.tag(&req));
    let view = at_the_desk(&office, move |o| {
        care::care_told_read(o, &permit, language, bank)
    })
    .await?;
    Ok(HttpResponse::Ok().json(view))
}

/// Notes when tasks were last done, by bank or by court: at set-up, or where work was done without an order.
#[utoipa::path(post, path = "/sites/{site_id}/care-told", tag = "care",
    params(("site_id" = i64, Path),
        ("Idempotency-Key" = String, Header, description = "the client's own UUID of this event")),
    request_body = ToldLast,
    responses((status = 200, body = ToldReport), (status = 422, description = "Refused as it stands")))]
async fn told(
    office: State,
    permit: Permit<EditCare>,
    key: ClientKey,
    Body(body): Body<ToldLast>,
) -> Result<HttpResponse, Problem> {
    let report = at_the_desk(&office, move |o| {
        let once = Once::new(key.0, "care-told".into(), &body)?;
        care::care_told(o, &permit, &body, &once)
    })
    .await?;
    Ok(HttpResponse::Ok().json(report))
}
