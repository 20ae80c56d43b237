//! Days: rounds, waterings, issue.

use actix_web::{HttpRequest, HttpResponse, web};
use utoipa::OpenApi;

use crate::desk::Permit;
use crate::desk::access::{IssueDay, SeeDay};
use crate::desk::days::{self, DayView, PlanView, RoundView};
use crate::desk::due::{DueView, due_read};
use crate::desk::once::Once;
use crate::http::answer::{self, List};
use crate::http::read::{ClientKey, Day};
use crate::http::route::at;
use crate::http::{Problem, State, at_the_desk};
use crate::store::Paged;

#[derive(OpenApi)]
#[openapi(paths(read, rounds, due, issue))]
pub(super) struct Doc;

pub(super) fn routes(cfg: &mut web::ServiceConfig) {
    cfg.service(at("/days/{date}", "GET").route(web::get().to(read)))
        .service(at("/days/{date}/rounds", "GET").route(web::get().to(rounds)))
        .service(at("/days/{date}/due", "GET").route(web::get().to(due)))
        .service(at("/days/{date}/issue", "POST").route(web::post().to(issue)));
}

/// A date as it is planned; with the plan's ETag where there is a plan.
#[utoipa::path(get, path = "/sites/{site_id}/days/{date}", tag = "days",
    params(("site_id" = i64, Path), ("date" = chrono::NaiveDate, Path)),
    responses((status = 200, body = DayView)))]
async fn read(
    office: State,
    permit: Permit<SeeDay>,
    path: web::Path<(i64, Day)>,
) -> Result<HttpResponse, Problem> {
    let (_, Day(date)) = path.into_inner();
    let day = at_the_desk(&office, move |o| days::day_read(o, &permit, date)).await?;
    Ok(match &day.plan {
        Some(plan) => answer::versioned(&day, plan.version),
        None => HttpResponse::Ok().json(day),
    })
}

/// The rounds of a date, all on one page: there is one a crew.
#[utoipa::path(get, path = "/sites/{site_id}/days/{date}/rounds", tag = "days",
    params(("site_id" = i64, Path), ("date" = chrono::NaiveDate, Path)),
    responses((status = 200, body = List<RoundView>)))]
async fn rounds(
    office: State,
    permit: Permit<SeeDay>,
    req: HttpRequest,
    path: web::Path<(i64, Day)>,
) -> Result<HttpResponse, Problem> {
    let (_, Day(date)) = path.into_inner();
    let day = at_the_desk(&office, move |o| days::day_read(o, &permit, date)).await?;
    let page = Paged {
        items: day.rounds,
        next: None,
    };
    Ok(answer::list(&req, page))
}

/// Hands the day's planned orders out to the crews.
#[utoipa::path(post, path = "/sites/{site_id}/days/{date}/issue", tag = "days",
    params(("site_id" = i64, Path), ("date" = chrono::NaiveDate, Path),
        ("Idempotency-Key" = String, Header, description = "a UUID of the client's own")),
    responses((status = 200, body = PlanView),
        (status = 409, description = "Nothing is planned, or it is issued already")))]
async fn issue(
    office: State,
    permit: Permit<IssueDay>,
    path: web::Path<(i64, Day)>,
    key: ClientKey,
) -> Result<HttpResponse, Problem> {
    let (_, Day(date)) = path.into_inner();
    let plan = at_the_desk(&office, move |o| {
        let once = Once::new(key.0, format!("days/{date}/issue"), &())?;
        days::day_issue(o, &permit, date, &once)
    })
    .await?;
    Ok(answer::versioned(&plan, plan.version))
}

/// What is due on a date, and what is withheld and until when, before anything is planned.
#[utoipa::path(get, path = "/sites/{site_id}/days/{date}/due", tag = "days",
    params(("site_id" = i64, Path), ("date" = chrono::NaiveDate, Path)),
    responses((status = 200, body = DueView)))]
async fn due(
    office: State,
    permit: Permit<SeeDay>,
    path: web::Path<(i64, Day)>,
) -> Result<HttpResponse, Problem> {
    let (_, Day(date)) = path.into_inner();
    let view = at_the_desk(&office, move |o| due_read(o, &permit, date)).await?;
    Ok(HttpResponse::Ok().json(view))
}
