//! Calendars, the files sent for them, and what they would change on planned dates.

use actix_web::{HttpRequest, HttpResponse, web};
use utoipa::OpenApi;

use crate::desk::Permit;
use crate::desk::access::{EditCalendars, SeeCalendars};
use crate::desk::calendars::changes;
use crate::desk::calendars::import::{MOST_BYTES, Report, calendar_import};
use crate::desk::calendars::{self, CalendarEdit, CalendarView};
use crate::http::answer::{self, List};
use crate::http::read::{Body, CalendarText, ClientKey, IfMatch, ListQuery, Listing};
use crate::http::route::at;
use crate::http::{Problem, State, at_the_desk};
use crate::store::calendars::ChangeRow;

#[derive(OpenApi)]
#[openapi(paths(list, add, read, edit, remove, import, change_list, accept, refuse))]
pub(super) struct Doc;

pub(super) fn routes(cfg: &mut web::ServiceConfig) {
    cfg.service(
        at("/calendars", "GET, POST")
            .route(web::get().to(list))
            .route(web::post().to(add)),
    )
    .service(
        at("/calendars/{calendar_id}", "GET, PATCH, DELETE")
            .route(web::get().to(read))
            .route(web::patch().to(edit))
            .route(web::delete().to(remove)),
    )
    .service(
        at("/calendars/{calendar_id}/import", "POST")
            .app_data(web::PayloadConfig::new(MOST_BYTES))
            .route(web::post().to(import)),
    )
    .service(at("/calendar-changes", "GET").route(web::get().to(change_list)))
    .service(at("/calendar-changes/{change_id}/accept", "POST").route(web::post().to(accept)))
    .service(at("/calendar-changes/{change_id}/refuse", "POST").route(web::post().to(refuse)));
}

/// The site's calendars, each with what became of its last file.
#[utoipa::path(get, path = "/sites/{site_id}/calendars", tag = "calendars",
    params(("site_id" = i64, Path), ListQuery), responses((status = 200, body = List<CalendarView>)))]
async fn list(
    office: State,
    permit: Permit<SeeCalendars>,
    req: HttpRequest,
    listing: Listing,
) -> Result<HttpResponse, Problem> {
    let page = listing.page;
    let rows = at_the_desk(&office, move |o| calendars::calendar_list(o, &permit, page)).await?;
    Ok(answer::list(&req, rows))
}

/// Adds a calendar.
#[utoipa::path(post, path = "/sites/{site_id}/calendars", tag = "calendars",
    params(("site_id" = i64, Path),
        ("Idempotency-Key" = String, Header, description = "the client's own UUID of this event")),
    request_body = CalendarEdit,
    responses((status = 201, body = CalendarView), (status = 409, description = "Another calendar has its name"),
        (status = 422, description = "Refused as it stands")))]
async fn add(
    office: State,
    permit: Permit<EditCalendars>,
    key: ClientKey,
    Body(edit): Body<CalendarEdit>,
) -> Result<HttpResponse, Problem> {
    let view = at_the_desk(&office, move |o| {
        calendars::calendar_add(o, &permit, &edit, key.0)
    })
    .await?;
    Ok(HttpResponse::Created().json(view))
}

/// One calendar, with its ETag.
#[utoipa::path(get, path = "/sites/{site_id}/calendars/{calendar_id}", tag = "calendars",
    params(("site_id" = i64, Path), ("calendar_id" = i64, Path)), responses((status = 200, body = CalendarView)))]
async fn read(
    office: State,
    permit: Permit<SeeCalendars>,
    path: web::Path<(i64, i64)>,
) -> Result<HttpResponse, Problem> {
    let (_, id) = path.into_inner();
    let view = at_the_desk(&office, move |o| calendars::calendar_read(o, &permit, id)).await?;
    Ok(answer::versioned(&view, view.version))
}

/// Describes a calendar anew. What was taken of it follows with the next file.
#[utoipa::path(patch, path = "/sites/{site_id}/calendars/{calendar_id}", tag = "calendars",
    params(("site_id" = i64, Path), ("calendar_id" = i64, Path),
        ("If-Match" = String, Header, description = "the ETag that was read")),
    request_body = CalendarEdit,
    responses((status = 200, body = CalendarView), (status = 409, description = "Another calendar has its name"),
        (status = 412, description = "Changed since it was read"),
        (status = 422, description = "Refused as it stands"), (status = 428, description = "If-Match is missing")))]
async fn edit(
    office: State,
    permit: Permit<EditCalendars>,
    version: IfMatch,
    path: web::Path<(i64, i64)>,
    Body(edit): Body<CalendarEdit>,
) -> Result<HttpResponse, Problem> {
    let (_, id) = path.into_inner();
    let view = at_the_desk(&office, move |o| {
        calendars::calendar_edit(o, &permit, id, version.0, &edit)
    })
    .await?;
    Ok(answer::versioned(&view, view.version))
}

/// Removes a calendar. The sessions and closures that came of it stand.
#[utoipa::path(delete, path = "/sites/{site_id}/calendars/{calendar_id}", tag = "calendars",
    params(("site_id" = i64, Path), ("calendar_id" = i64, Path)), responses((status = 204)))]
async fn remove(
    office: State,
    permit: Permit<EditCalendars>,
    path: web::Path<(i64, i64)>,
) -> Result<HttpResponse, Problem> {
    let (_, id) = path.into_inner();
    at_the_desk(&office, move |o| calendars::calendar_remove(o, &permit, id)).await?;
    Ok(HttpResponse::NoContent().finish())
}

/// Takes a file in the form of RFC 5545, at most 2 MB, and tells what became of it line by line. Sent twice, it changes
/// nothing the second time. What it leaves out between its first event and its last is taken back; what touches a
/// planned date waits as a proposed change.
#[utoipa::path(post, path = "/sites/{site_id}/calendars/{calendar_id}/import", tag = "calendars",
    params(("site_id" = i64, Path), ("calendar_id" = i64, Path)),
    request_body(content = String, content_type = "text/calendar"),
    responses((status = 200, body = Report), (status = 422, description = "No calendar, or not a whole one")))]
async fn import(
    office: State,
    permit: Permit<EditCalendars>,
    path: web::Path<(i64, i64)>,
    CalendarText(text): CalendarText,
) -> Result<HttpResponse, Problem> {
    let (_, id) = path.into_inner();
    let report = at_the_desk(&office, move |o| calendar_import(o, &permit, id, &text)).await?;
    Ok(HttpResponse::Ok().json(report))
}

/// What calendars would change on planned dates: each waits for a manager's yes or no.
#[utoipa::path(get, path = "/sites/{site_id}/calendar-changes", tag = "calendars",
    params(("site_id" = i64, Path), ListQuery), responses((status = 200, body = List<ChangeRow>)))]
async fn change_list(
    office: State,
    permit: Permit<SeeCalendars>,
    req: HttpRequest,
    listing: Listing,
) -> Result<HttpResponse, Problem> {
    let page = listing.page;
    let rows = at_the_desk(&office, move |o| changes::change_list(o, &permit, page)).await?;
    Ok(answer::list(&req, rows))
}

/// Accepts a change: it is done at once.
#[utoipa::path(post, path = "/sites/{site_id}/calendar-changes/{change_id}/accept", tag = "calendars",
    params(("site_id" = i64, Path), ("change_id" = i64, Path),
        ("Idempotency-Key" = String, Header, description = "the client's own UUID of this event")),
    responses((status = 200, body = ChangeRow), (status = 409, description = "It no longer waits, or can no longer be done")))]
async fn accept(
    office: State,
    permit: Permit<EditCalendars>,
    key: ClientKey,
    path: web::Path<(i64, i64)>,
) -> Result<HttpResponse, Problem> {
    let (_, id) = path.into_inner();
    let row = at_the_desk(&office, move |o| {
        changes::change_accept(o, &permit, id, key.0)
    })
    .await?;
    Ok(HttpResponse::Ok().json(row))
}

/// Refuses a change: it is not proposed again.
#[utoipa::path(post, path = "/sites/{site_id}/calendar-changes/{change_id}/refuse", tag = "calendars",
    params(("site_id" = i64, Path), ("change_id" = i64, Path),
        ("Idempotency-Key" = String, Header, description = "the client's own UUID of this event")),
    responses((status = 200, body = ChangeRow), (status = 409, description = "It no longer waits")))]
async fn refuse(
    office: State,
    permit: Permit<EditCalendars>,
    key: ClientKey,
    path: web::Path<(i64, i64)>,
) -> Result<HttpResponse, Problem> {
    let (_, id) = path.into_inner();
    let row = at_the_desk(&office, move |o| {
        changes::change_refuse(o, &permit, id, key.0)
    })
    .await?;
    Ok(HttpResponse::Ok().json(row))
}
