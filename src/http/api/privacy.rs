//! A person's own data: given out whole, and taken away.

use actix_web::{HttpResponse, web};
use utoipa::OpenApi;

use crate::desk::Permit;
use crate::desk::access::HandOutPerson;
use crate::desk::privacy::{self, Erased, Erasure, PersonExport};
use crate::http::read::{Body, ClientKey};
use crate::http::route::at;
use crate::http::{Problem, State, at_the_desk};

#[derive(OpenApi)]
#[openapi(paths(export, erase))]
pub(super) struct Doc;

pub(super) fn routes(cfg: &mut web::ServiceConfig) {
    cfg.service(at("/people/{person_id}/export", "POST").route(web::post().to(export)))
        .service(at("/people/{person_id}/erase", "POST").route(web::post().to(erase)));
}

/// Everything the site knows of a person, for whoever has a right to it. That it was given out stands in the audit trail.
#[utoipa::path(post, path = "/sites/{site_id}/people/{person_id}/export", tag = "privacy",
    params(("site_id" = i64, Path), ("person_id" = i64, Path)), responses((status = 200, body = PersonExport)))]
async fn export(
    office: State,
    permit: Permit<HandOutPerson>,
    path: web::Path<(i64, i64)>,
) -> Result<HttpResponse, Problem> {
    let (_, id) = path.into_inner();
    let all = at_the_desk(&office, move |o| privacy::person_export(o, &permit, id)).await?;
    Ok(HttpResponse::Ok()
        .insert_header(("cache-control", "no-store"))
        .insert_header((
            "content-disposition",
            format!("attachment; filename=\"person-{id}.json\""),
        ))
        .json(all))
}

/// Erases a person: names and addresses go, hours and costs stay under the person's number, and the audit trail still
/// proves. It cannot be taken back.
#[utoipa::path(post, path = "/sites/{site_id}/people/{person_id}/erase", tag = "privacy",
    params(("site_id" = i64, Path), ("person_id" = i64, Path),
        ("Idempotency-Key" = String, Header, description = "a UUID that names this event")),
    request_body = Erasure,
    responses((status = 200, body = Erased), (status = 409, description = "They own the installation, or are the site's last manager")))]
async fn erase(
    office: State,
    permit: Permit<HandOutPerson>,
    key: ClientKey,
    path: web::Path<(i64, i64)>,
    Body(asked): Body<Erasure>,
) -> Result<HttpResponse, Problem> {
    let (_, id) = path.into_inner();
    let erased = at_the_desk(&office, move |o| {
        privacy::person_erase(o, &permit, id, &asked, key.0)
    })
    .await?;
    Ok(HttpResponse::Ok().json(erased))
}
