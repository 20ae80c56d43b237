//! Planning runs: asked for, watched, stopped and taken.

use actix_web::http::header;
use actix_web::{HttpRequest, HttpResponse, web};
use utoipa::OpenApi;

use crate::desk::Permit;
use crate::desk::access::PlanDay;
use crate::desk::once::Once;
use crate::desk::plan_runs::{self, RunAsk};
use crate::http::answer::{self, List};
use crate::http::read::{Body, ClientKey, Day, ListQuery, Listing};
use crate::http::route::at;
use crate::http::{Problem, State, at_the_desk};
use crate::store::day_plans::runs::RunRow;

#[derive(OpenApi)]
#[openapi(paths(ask, list, read, stop, take))]
pub(super) struct Doc;

pub(super) fn routes(cfg: &mut web::ServiceConfig) {
    cfg.service(
        at("/days/{date}/plan-runs", "GET, POST")
            .route(web::get().to(list))
            .route(web::post().to(ask)),
    )
    .service(at("/plan-runs/{run_id}", "GET").route(web::get().to(read)))
    .service(at("/plan-runs/{run_id}/stop", "POST").route(web::post().to(stop)))
    .service(at("/plan-runs/{run_id}/take", "POST").route(web::post().to(take)));
}

/// Asks for a plan of a date. It is searched for in the background: watch the run at `Location`,
/// and take its plan when it is ready.
#[utoipa::path(post, path = "/sites/{site_id}/days/{date}/plan-runs", tag = "days",
    params(("site_id" = i64, Path), ("date" = chrono::NaiveDate, Path),
        ("Idempotency-Key" = String, Header, description = "a UUID of the client's own")),
    request_body = RunAsk,
    responses((status = 202, body = RunRow, headers(("Location" = String, description = "the run"))),
        (status = 409, description = "Issued already, nobody on shift, or another run is under way"),
        (status = 429, description = "As much is planned as may be at once: Retry-After says how long to wait"),
        (status = 422, description = "Refused as it stands")))]
async fn ask(
    office: State,
    permit: Permit<PlanDay>,
    path: web::Path<(i64, Day)>,
    key: ClientKey,
    Body(body): Body<RunAsk>,
) -> Result<HttpResponse, Problem> {
    let (site_id, Day(date)) = path.into_inner();
    let shared = office.clone().into_inner();
    let run = at_the_desk(&office, move |_| {
        let once = Once::new(key.0, format!("days/{date}/plan-runs"), &body)?;
        plan_runs::run_ask(&shared, &permit, date, &body, &once)
    })
    .await?;
    Ok(HttpResponse::Accepted()
        .insert_header((
            header::LOCATION,
            format!("/api/v1/sites/{site_id}/plan-runs/{}", run.id),
        ))
        .json(run))
}

/// The planning runs of a date.
#[utoipa::path(get, path = "/sites/{site_id}/days/{date}/plan-runs", tag = "days",
    params(("site_id" = i64, Path), ("date" = chrono::NaiveDate, Path), ListQuery),
    responses((status = 200, body = List<RunRow>)))]
async fn list(
    office: State,
    permit: Permit<PlanDay>,
    req: HttpRequest,
    path: web::Path<(i64, Day)>,
    listing: Listing,
) -> Result<HttpResponse, Problem> {
    let (_, Day(date)) = path.into_inner();
    let page = listing.page;
    let rows = at_the_desk(&office, move |o| {
        plan_runs::run_list(o, &permit, date, page)
    })
    .await?;
    Ok(answer::list(&req, rows))
}

/// One planning run, as far as it is.
#[utoipa::path(get, path = "/sites/{site_id}/plan-runs/{run_id}", tag = "days",
    params(("site_id" = i64, Path), ("run_id" = i64, Path)),
    responses((status = 200, body = RunRow)))]
async fn read(
    office: State,
    permit: Permit<PlanDay>,
    path: web::Path<(i64, i64)>,
) -> Result<HttpResponse, Problem> {
    let (_, id) = path.into_inner();
    let run = at_the_desk(&office, move |o| plan_runs::run_read(o, &permit, id)).await?;
    Ok(HttpResponse::Ok().json(run))
}

/// Tells a run to stop with the best plan it has.
#[utoipa::path(post, path = "/sites/{site_id}/plan-runs/{run_id}/stop", tag = "days",
    params(("site_id" = i64, Path), ("run_id" = i64, Path),
        ("Idempotency-Key" = String, Header, description = "a UUID of the client's own")),
    responses((status = 200, body = RunRow), (status = 409, description = "It has ended already")))]
async fn stop(
    office: State,
    permit: Permit<PlanDay>,
    path: web::Path<(i64, i64)>,
    key: ClientKey,
) -> Result<HttpResponse, Problem> {
    let (_, id) = path.into_inner();
    let run = at_the_desk(&office, move |o| {
        let once = Once::new(key.0, format!("plan-runs/{id}/stop"), &())?;
        plan_runs::run_stop(o, &permit, id, &once)
    })
    .await?;
    Ok(HttpResponse::Ok().json(run))
}

/// Takes a ready run's plan: it becomes the day's plan, in place of the one before.
#[utoipa::path(post, path = "/sites/{site_id}/plan-runs/{run_id}/take", tag = "days",
    params(("site_id" = i64, Path), ("run_id" = i64, Path),
        ("Idempotency-Key" = String, Header, description = "a UUID of the client's own")),
    responses((status = 200, body = RunRow),
        (status = 409, description = "Not ready, issued already, or the day has changed since")))]
async fn take(
    office: State,
    permit: Permit<PlanDay>,
    path: web::Path<(i64, i64)>,
    key: ClientKey,
) -> Result<HttpResponse, Problem> {
    let (_, id) = path.into_inner();
    let run = at_the_desk(&office, move |o| {
        let once = Once::new(key.0, format!("plan-runs/{id}/take"), &())?;
        plan_runs::run_take(o, &permit, id, &once)
    })
    .await?;
    Ok(HttpResponse::Ok().json(run))
}
