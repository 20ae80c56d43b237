//! The look ahead: what the next days ask for.

use actix_web::{HttpResponse, web};
use serde::Deserialize;
use utoipa::{IntoParams, OpenApi};

use crate::desk::Permit;
use crate::desk::access::SeeDay;
use crate::desk::look_ahead::{self, AheadView, USUAL_DAYS};
use crate::http::read::{Day, Query};
use crate::http::route::at;
use crate::http::{Problem, State, at_the_desk};

#[derive(OpenApi)]
#[openapi(paths(read))]
pub(super) struct Doc;

pub(super) fn routes(cfg: &mut web::ServiceConfig) {
    cfg.service(at("/look-ahead", "GET").route(web::get().to(read)));
}

/// Which dates.
#[derive(Clone, Copy, Debug, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
struct Dates {
    /// The first date.
    #[param(value_type = chrono::NaiveDate)]
    from: Day,
    /// How many, 1 to 28; 14 where it is not given.
    days: Option<u64>,
}

/// What the dates from `from` on ask for, against the hours of the people on shift.
#[utoipa::path(get, path = "/sites/{site_id}/look-ahead", tag = "days",
    params(("site_id" = i64, Path), Dates),
    responses((status = 200, body = AheadView), (status = 422, description = "Refused as it stands")))]
async fn read(
    office: State,
    permit: Permit<SeeDay>,
    Query(dates): Query<Dates>,
) -> Result<HttpResponse, Problem> {
    let days = dates.days.unwrap_or(USUAL_DAYS);
    let view = at_the_desk(&office, move |o| {
        look_ahead::look_ahead(o, &permit, dates.from.0, days)
    })
    .await?;
    Ok(HttpResponse::Ok().json(view))
}
