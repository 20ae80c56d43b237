//! When people came and went, and who changed crews in the course of a day.

use actix_web::{HttpResponse, web};
use utoipa::OpenApi;

use crate::desk::Permit;
use crate::desk::access::{ChangeShift, SeeHours, TellAttendance};
use crate::desk::attendance::{
    self, AttendanceDay, AttendanceTold, AttendanceView, ShiftChangeTold, ShiftChangeView,
};
use crate::http::read::{Body, ClientKey, Day};
use crate::http::route::at;
use crate::http::{Problem, State, at_the_desk};

#[derive(OpenApi)]
#[openapi(paths(tell, day, change))]
pub(super) struct Doc;

pub(super) fn routes(cfg: &mut web::ServiceConfig) {
    cfg.service(at("/attendance", "POST").route(web::post().to(tell)))
        .service(at("/days/{date}/attendance", "GET").route(web::get().to(day)))
        .service(at("/shifts/{shift_id}/people", "POST").route(web::post().to(change)));
}

/// Somebody comes, begins or ends a break, or goes. Whatever is told is kept; what does not fit is called odd.
#[utoipa::path(post, path = "/sites/{site_id}/attendance", tag = "attendance",
    params(("site_id" = i64, Path),
        ("Idempotency-Key" = String, Header, description = "the client's own UUID of this event")),
    request_body = AttendanceTold,
    responses((status = 201, body = AttendanceView), (status = 422, description = "Refused as it stands")))]
async fn tell(
    office: State,
    permit: Permit<TellAttendance>,
    key: ClientKey,
    Body(told): Body<AttendanceTold>,
) -> Result<HttpResponse, Problem> {
    let event = at_the_desk(&office, move |o| {
        attendance::attendance_tell(o, &permit, key.0, &told)
    })
    .await?;
    Ok(HttpResponse::Created().json(event))
}

/// Who was there when on a date. These are clocks as they were told, and not yet hours for pay.
#[utoipa::path(get, path = "/sites/{site_id}/days/{date}/attendance", tag = "attendance",
    params(("site_id" = i64, Path), ("date" = chrono::NaiveDate, Path)),
    responses((status = 200, body = AttendanceDay)))]
async fn day(
    office: State,
    permit: Permit<SeeHours>,
    path: web::Path<(i64, Day)>,
) -> Result<HttpResponse, Problem> {
    let date = path.1.0;
    let day = at_the_desk(&office, move |o| {
        attendance::attendance_day(o, &permit, date)
    })
    .await?;
    Ok(HttpResponse::Ok().json(day))
}

/// Somebody joins a crew for the day, or leaves it. Who joins leaves the other crews of the date.
#[utoipa::path(post, path = "/sites/{site_id}/shifts/{shift_id}/people", tag = "attendance",
    params(("site_id" = i64, Path), ("shift_id" = i64, Path),
        ("Idempotency-Key" = String, Header, description = "the client's own UUID of this event")),
    request_body = ShiftChangeTold,
    responses((status = 201, body = ShiftChangeView), (status = 422, description = "Refused as it stands")))]
async fn change(
    office: State,
    permit: Permit<ChangeShift>,
    path: web::Path<(i64, i64)>,
    key: ClientKey,
    Body(told): Body<ShiftChangeTold>,
) -> Result<HttpResponse, Problem> {
    let (_, id) = path.into_inner();
    let change = at_the_desk(&office, move |o| {
        attendance::shift_change(o, &permit, id, key.0, &told)
    })
    .await?;
    Ok(HttpResponse::Created().json(change))
}
