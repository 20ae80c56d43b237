//! What a site sets of how its office works.

use std::collections::BTreeMap;

use actix_web::{HttpResponse, web};
use serde_json::Value;
use utoipa::OpenApi;

use crate::desk::Permit;
use crate::desk::access::{EditSite, SeeSite};
use crate::desk::settings::{self, SettingsView};
use crate::http::answer;
use crate::http::read::{Body, IfMatch};
use crate::http::route::at;
use crate::http::{Problem, State, at_the_desk};

#[derive(OpenApi)]
#[openapi(paths(read, edit))]
pub(super) struct Doc;

pub(super) fn routes(cfg: &mut web::ServiceConfig) {
    cfg.service(
        at("/settings", "GET, PATCH")
            .route(web::get().to(read))
            .route(web::patch().to(edit)),
    );
}

/// A site's settings, each with what it may be and what is usual; with their ETag.
#[utoipa::path(get, path = "/sites/{site_id}/settings", tag = "sites", params(("site_id" = i64, Path)),
    responses((status = 200, body = SettingsView)))]
async fn read(office: State, permit: Permit<SeeSite>) -> Result<HttpResponse, Problem> {
    let view = at_the_desk(&office, move |o| settings::settings_read(o, &permit)).await?;
    Ok(answer::versioned(&view, view.version))
}

/// Changes some settings: all that are given or, where one is refused, none. Null goes back to the usual.
#[utoipa::path(patch, path = "/sites/{site_id}/settings", tag = "sites",
    params(("site_id" = i64, Path), ("If-Match" = String, Header, description = "the ETag that was read")),
    request_body(content = BTreeMap<String, Value>, example = json!({ "overtime_pct": null, "soak_around": "12:15" })),
    responses((status = 200, body = SettingsView), (status = 412, description = "Changed since it was read"),
        (status = 422, description = "Refused as it stands"), (status = 428, description = "If-Match is missing")))]
async fn edit(
    office: State,
    permit: Permit<EditSite>,
    version: IfMatch,
    Body(body): Body<BTreeMap<String, Value>>,
) -> Result<HttpResponse, Problem> {
    let view = at_the_desk(&office, move |o| {
        settings::settings_edit(o, &permit, version.0, &body)
    })
    .await?;
    Ok(answer::versioned(&view, view.version))
}
