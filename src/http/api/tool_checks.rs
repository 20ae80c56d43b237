//! Checks of tools and courts.

use actix_web::{HttpResponse, web};
use utoipa::OpenApi;

use crate::desk::Permit;
use crate::desk::access::CheckTool;
use crate::desk::tool_checks::{ToolCheckTold, ToolCheckView, tool_check};
use crate::http::read::{Body, ClientKey};
use crate::http::route::at;
use crate::http::{Problem, State, at_the_desk};

#[derive(OpenApi)]
#[openapi(paths(tell))]
pub(super) struct Doc;

pub(super) fn routes(cfg: &mut web::ServiceConfig) {
    cfg.service(at("/tool-checks", "POST").route(web::post().to(tell)));
}

/// Takes the check of a tool or a court: lengths that were measured, and what the eye says. The newest of each part stands
/// with it in `wear-parts`.
#[utoipa::path(post, path = "/sites/{site_id}/tool-checks", tag = "tools",
    params(("site_id" = i64, Path),
        ("Idempotency-Key" = String, Header, description = "the client's own UUID of this event")),
    request_body = ToolCheckTold,
    responses((status = 201, body = ToolCheckView), (status = 422, description = "Refused as it stands")))]
async fn tell(
    office: State,
    permit: Permit<CheckTool>,
    key: ClientKey,
    Body(told): Body<ToolCheckTold>,
) -> Result<HttpResponse, Problem> {
    let check = at_the_desk(&office, move |o| tool_check(o, &permit, key.0, &told)).await?;
    Ok(HttpResponse::Created().json(check))
}
