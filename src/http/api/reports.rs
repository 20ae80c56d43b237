//! Week reports, and who gets them by mail.

use actix_web::{HttpRequest, HttpResponse, web};
use trade::calendar::IsoWeek;
use utoipa::OpenApi;

use crate::desk::Permit;
use crate::desk::access::{SeeReport, SeeSubscribers, SendReport};
use crate::desk::reports::{self, NewSubscriber, SentReport, WeekReportView};
use crate::http::answer::{self, List};
use crate::http::problem::Kind;
use crate::http::read::{Body, ClientKey, ListQuery, Query};
use crate::http::route::at;
use crate::http::{Problem, State, at_the_desk};
use crate::store::reports::SubscriberRow;

#[derive(OpenApi)]
#[openapi(paths(read, send, subscribers, subscribe, unsubscribe))]
pub(super) struct Doc;

pub(super) fn routes(cfg: &mut web::ServiceConfig) {
    cfg.service(at("/week-reports/{iso_week}", "GET").route(web::get().to(read)))
        .service(at("/week-reports/{iso_week}/send", "POST").route(web::post().to(send)))
        .service(
            at("/report-subscribers", "GET, POST")
                .route(web::get().to(subscribers))
                .route(web::post().to(subscribe)),
        )
        .service(
            at("/report-subscribers/{subscriber_id}", "DELETE")
                .route(web::delete().to(unsubscribe)),
        );
}

/// The week in the path.
fn week_of(text: &str) -> Result<IsoWeek, Problem> {
    text.parse().map_err(|_| {
        let detail = "give an ISO week as 2031-W24, from W01 to W52 or W53";
        // Written as a week, of a year that has no week 53.
        let written_so = text.len() == 8 && text.ends_with("-W53");
        let kind = if written_so {
            Kind::Refused
        } else {
            Kind::Unreadable
        };
        Problem::of_field(kind, "iso_week", detail)
    })
}

/// The report of a week: its figures as the books stand now, the mail it makes, and when it was
/// sent.
#[utoipa::path(get, path = "/sites/{site_id}/week-reports/{iso_week}", tag = "week report",
    params(("site_id" = i64, Path), ("iso_week" = String, Path, example = "2031-W24", pattern = "^[0-9]{4}-W(0[1-9]|[1-4][0-9]|5[0-3])$")),
    responses((status = 200, body = WeekReportView),
        (status = 422, description = "The week has not begun")))]
async fn read(
    office: State,
    permit: Permit<SeeReport>,
    path: web::Path<(i64, String)>,
) -> Result<HttpResponse, Problem> {
    let week = week_of(&path.1)?;
    let view = at_the_desk(&office, move |o| {
        reports::week_report_read(o, &permit, week)
    })
    .await?;
    Ok(HttpResponse::Ok().json(view))
}

/// Has the report of a week mailed to every subscriber, as the books stand now. The mails wait in the
/// outbox until the mail server takes them.
#[utoipa::path(post, path = "/sites/{site_id}/week-reports/{iso_week}/send", tag = "week report",
    params(("site_id" = i64, Path), ("iso_week" = String, Path, example = "2031-W24", pattern = "^[0-9]{4}-W(0[1-9]|[1-4][0-9]|5[0-3])$"),
        ("Idempotency-Key" = String, Header, description = "the client's own UUID of this event")),
    responses((status = 202, body = SentReport),
        (status = 409, description = "Nobody is subscribed"),
        (status = 422, description = "The week has not begun")))]
async fn send(
    office: State,
    permit: Permit<SendReport>,
    key: ClientKey,
    path: web::Path<(i64, String)>,
) -> Result<HttpResponse, Problem> {
    let week = week_of(&path.1)?;
    let sent = at_the_desk(&office, move |o| {
        reports::week_report_send(o, &permit, week, key.0)
    })
    .await?;
    Ok(HttpResponse::Accepted().json(sent))
}

/// Who gets the week report by mail.
#[utoipa::path(get, path = "/sites/{site_id}/report-subscribers", tag = "week report",
    params(("site_id" = i64, Path), ListQuery),
    responses((status = 200, body = List<SubscriberRow>)))]
async fn subscribers(
    office: State,
    permit: Permit<SeeSubscribers>,
    req: HttpRequest,
    Query(query): Query<ListQuery>,
) -> Result<HttpResponse, Problem> {
    let page = query.page()?;
    let rows = at_the_desk(&office, move |o| reports::subscriber_list(o, &permit, page)).await?;
    Ok(answer::list(&req, rows))
}

/// Adds somebody to those who get the week report.
#[utoipa::path(post, path = "/sites/{site_id}/report-subscribers", tag = "week report",
    params(("site_id" = i64, Path),
        ("Idempotency-Key" = String, Header, description = "the client's own UUID of this event")),
    request_body = NewSubscriber,
    responses((status = 201, body = SubscriberRow),
        (status = 409, description = "The address is subscribed already"),
        (status = 422, description = "Refused as it stands")))]
async fn subscribe(
    office: State,
    permit: Permit<SendReport>,
    key: ClientKey,
    Body(new): Body<NewSubscriber>,
) -> Result<HttpResponse, Problem> {
    let row = at_the_desk(&office, move |o| {
        reports::subscriber_add(o, &permit, &new, key.0)
    })
    .await?;
    Ok(HttpResponse::Created().json(row))
}

/// Takes somebody off. Mail to them that still waits is not sent.
#[utoipa::path(delete, path = "/sites/{site_id}/report-subscribers/{subscriber_id}", tag = "week report",
    params(("site_id" = i64, Path), ("subscriber_id" = i64, Path)),
    responses((status = 204)))]
async fn unsubscribe(
    office: State,
    permit: Permit<SendReport>,
    path: web::Path<(i64, i64)>,
) -> Result<HttpResponse, Problem> {
    let (_, id) = path.into_inner();
    at_the_desk(&office, move |o| reports::subscriber_remove(o, &permit, id)).await?;
    Ok(HttpResponse::NoContent().finish())
}
