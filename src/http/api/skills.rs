//! People's skills.

use actix_web::{HttpResponse, web};
use utoipa::OpenApi;

use crate::desk::Permit;
use crate::desk::access::{EditCrews, SeeCrews};
use crate::desk::skills::{self, SkillsTold, SkillsView};
use crate::http::answer;
use crate::http::read::{Body, IfMatch};
use crate::http::route::at;
use crate::http::{Problem, State, at_the_desk};

#[derive(OpenApi)]
#[openapi(paths(read, set))]
pub(super) struct Doc;

pub(super) fn routes(cfg: &mut web::ServiceConfig) {
    cfg.service(
        at("/people/{person_id}/skills", "GET, PUT")
            .route(web::get().to(read))
            .route(web::put().to(set)),
    );
}

/// A person's skills with the dates until which they hold, with their ETag.
#[utoipa::path(get, path = "/sites/{site_id}/people/{person_id}/skills", tag = "crews",
    params(("site_id" = i64, Path), ("person_id" = i64, Path)),
    responses((status = 200, body = SkillsView)))]
async fn read(
    office: State,
    permit: Permit<SeeCrews>,
    path: web::Path<(i64, i64)>,
) -> Result<HttpResponse, Problem> {
    let (_, id) = path.into_inner();
    let view = at_the_desk(&office, move |o| skills::skills_read(o, &permit, id)).await?;
    Ok(answer::versioned(&view, view.version))
}

/// Gives a person these skills and no others. Work that takes a skill is planned only for a crew in which somebody has
/// it in date on that day.
#[utoipa::path(put, path = "/sites/{site_id}/people/{person_id}/skills", tag = "crews",
    params(("site_id" = i64, Path), ("person_id" = i64, Path), ("If-Match" = String, Header, description = "the ETag that was read")),
    request_body = SkillsTold,
    responses((status = 200, body = SkillsView), (status = 412, description = "Changed since it was read"), (status = 428, description = "If-Match is missing"),
        (status = 422, description = "Refused as it stands")))]
async fn set(
    office: State,
    permit: Permit<EditCrews>,
    version: IfMatch,
    path: web::Path<(i64, i64)>,
    Body(told): Body<SkillsTold>,
) -> Result<HttpResponse, Problem> {
    let (_, id) = path.into_inner();
    let view = at_the_desk(&office, move |o| {
        skills::skills_set(o, &permit, id, version.0, &told)
    })
    .await?;
    Ok(answer::versioned(&view, view.version))
}
