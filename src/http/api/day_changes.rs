//! A planned day changed by hand.

use actix_web::{HttpRequest, HttpResponse, web};
use utoipa::OpenApi;

use crate::desk::Permit;
use crate::desk::access::{PlanDay, SeeDay};
use crate::desk::once::Once;
use crate::desk::plan_runs::by_hand::{self, ChangeAsk, ChangeTold};
use crate::http::answer::{self, List};
use crate::http::read::{Body, ClientKey, Day};
use crate::http::route::at;
use crate::http::{Problem, State, at_the_desk};
use crate::store::Paged;
use crate::store::day_changes::ChangeRow;

#[derive(OpenApi)]
#[openapi(paths(list, change))]
pub(super) struct Doc;

pub(super) fn routes(cfg: &mut web::ServiceConfig) {
    cfg.service(
        at("/days/{date}/changes", "GET, POST")
            .route(web::get().to(list))
            .route(web::post().to(change)),
    );
}

/// What is decided by hand for a date, all on one page: planning keeps to it.
#[utoipa::path(get, path = "/sites/{site_id}/days/{date}/changes", tag = "days",
    params(("site_id" = i64, Path), ("date" = chrono::NaiveDate, Path)),
    responses((status = 200, body = List<ChangeRow>)))]
async fn list(
    office: State,
    permit: Permit<SeeDay>,
    req: HttpRequest,
    path: web::Path<(i64, Day)>,
) -> Result<HttpResponse, Problem> {
    let (_, Day(date)) = path.into_inner();
    let items = at_the_desk(&office, move |o| by_hand::changes_read(o, &permit, date)).await?;
    Ok(answer::list(&req, Paged { items, next: None }))
}

/// Gives a visit of a planned day to a crew, drops it, or frees it again: tells what the day then
/// costs and what moves, and takes it unless it is only to be tried.
#[utoipa::path(post, path = "/sites/{site_id}/days/{date}/changes", tag = "days",
    params(("site_id" = i64, Path), ("date" = chrono::NaiveDate, Path),
        ("Idempotency-Key" = String, Header, description = "a UUID of the client's own")),
    request_body = ChangeAsk,
    responses((status = 200, body = ChangeTold),
        (status = 409, description = "Nothing is planned, it is issued, or the change does not fit"),
        (status = 422, description = "Refused as it stands")))]
async fn change(
    office: State,
    permit: Permit<PlanDay>,
    path: web::Path<(i64, Day)>,
    key: ClientKey,
    Body(body): Body<ChangeAsk>,
) -> Result<HttpResponse, Problem> {
    let (_, Day(date)) = path.into_inner();
    let told = at_the_desk(&office, move |o| {
        let once = Once::new(key.0, format!("days/{date}/changes"), &body)?;
        by_hand::day_change(o, &permit, date, &body, &once)
    })
    .await?;
    Ok(HttpResponse::Ok().json(told))
}
