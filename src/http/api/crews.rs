//! People, crews and shifts.

use actix_web::{HttpRequest, HttpResponse, web};
use serde::Deserialize;
use utoipa::{IntoParams, OpenApi};

use crate::desk::Permit;
use crate::desk::access::{EditCrews, SeeCrews};
use crate::desk::crews::{self, CrewView, PersonEdit, ShiftView};
use crate::http::answer::{self, List};
use crate::http::read::{Body, Day, IfMatch, ListQuery, Listing};
use crate::http::route::at;
use crate::http::{Problem, State, at_the_desk};
use crate::store::crews::{CrewRow, PersonRow};

#[derive(OpenApi)]
#[openapi(paths(
    crew_list,
    crew_read,
    person_list,
    person_read,
    person_edit,
    shift_list
))]
pub(super) struct Doc;

pub(super) fn routes(cfg: &mut web::ServiceConfig) {
    cfg.service(at("/crews", "GET").route(web::get().to(crew_list)))
        .service(at("/crews/{crew_id}", "GET").route(web::get().to(crew_read)))
        .service(at("/people", "GET").route(web::get().to(person_list)))
        .service(
            at("/people/{person_id}", "GET, PATCH")
                .route(web::get().to(person_read))
                .route(web::patch().to(person_edit)),
        )
        .service(at("/shifts", "GET").route(web::get().to(shift_list)));
}

/// Which shifts a list shows.
#[derive(Debug, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
struct ShiftQuery {
    /// Of this date of the site only.
    #[param(value_type = Option<chrono::NaiveDate>)]
    date: Option<Day>,
}

/// The site's crews.
#[utoipa::path(get, path = "/sites/{site_id}/crews", tag = "crews",
    params(("site_id" = i64, Path), ListQuery), responses((status = 200, body = List<CrewRow>)))]
async fn crew_list(
    office: State,
    permit: Permit<SeeCrews>,
    req: HttpRequest,
    listing: Listing,
) -> Result<HttpResponse, Problem> {
    let page = listing.page;
    let rows = at_the_desk(&office, move |o| crews::crew_list(o, &permit, page)).await?;
    Ok(answer::list(&req, rows))
}

/// One crew with its people, with its ETag.
#[utoipa::path(get, path = "/sites/{site_id}/crews/{crew_id}", tag = "crews",
    params(("site_id" = i64, Path), ("crew_id" = i64, Path)),
    responses((status = 200, body = CrewView)))]
async fn crew_read(
    office: State,
    permit: Permit<SeeCrews>,
    path: web::Path<(i64, i64)>,
) -> Result<HttpResponse, Problem> {
    let (_, id) = path.into_inner();
    let found = at_the_desk(&office, move |o| crews::crew_read(o, &permit, id)).await?;
    Ok(answer::versioned(&found, found.crew.version))
}

/// The site's people.
#[utoipa::path(get, path = "/sites/{site_id}/people", tag = "crews",
    params(("site_id" = i64, Path), ListQuery), responses((status = 200, body = List<PersonRow>)))]
async fn person_list(
    office: State,
    permit: Permit<SeeCrews>,
    req: HttpRequest,
    listing: Listing,
) -> Result<HttpResponse, Problem> {
    let page = listing.page;
    let rows = at_the_desk(&office, move |o| crews::person_list(o, &permit, page)).await?;
    Ok(answer::list(&req, rows))
}

/// One person, with its ETag.
#[utoipa::path(get, path = "/sites/{site_id}/people/{person_id}", tag = "crews",
    params(("site_id" = i64, Path), ("person_id" = i64, Path)),
    responses((status = 200, body = PersonRow)))]
async fn person_read(
    office: State,
    permit: Permit<SeeCrews>,
    path: web::Path<(i64, i64)>,
) -> Result<HttpResponse, Problem> {
    let (_, id) = path.into_inner();
    let found = at_the_desk(&office, move |o| crews::person_read(o, &permit, id)).await?;
    Ok(answer::versioned(&found, found.version))
}

/// Sets a person's first day.
#[utoipa::path(patch, path = "/sites/{site_id}/people/{person_id}", tag = "crews",
    params(("site_id" = i64, Path), ("person_id" = i64, Path), ("If-Match" = String, Header, description = "the ETag that was read")),
    request_body = PersonEdit,
    responses((status = 200, body = PersonRow), (status = 412, description = "Changed since it was read"), (status = 428, description = "If-Match is missing"),
        (status = 422, description = "Refused as it stands")))]
async fn person_edit(
    office: State,
    permit: Permit<EditCrews>,
    version: IfMatch,
    path: web::Path<(i64, i64)>,
    Body(told): Body<PersonEdit>,
) -> Result<HttpResponse, Problem> {
    let (_, id) = path.into_inner();
    let found = at_the_desk(&office, move |o| {
        crews::person_edit(o, &permit, id, version.0, &told)
    })
    .await?;
    Ok(answer::versioned(&found, found.version))
}

/// The site's shifts, each with its people.
#[utoipa::path(get, path = "/sites/{site_id}/shifts", tag = "crews",
    params(("site_id" = i64, Path), ShiftQuery, ListQuery), responses((status = 200, body = List<ShiftView>)))]
async fn shift_list(
    office: State,
    permit: Permit<SeeCrews>,
    req: HttpRequest,
    listing: Listing<ShiftQuery>,
) -> Result<HttpResponse, Problem> {
    let page = listing.page;
    let date = listing.filter.date.map(|date| date.0);
    let rows = at_the_desk(&office, move |o| crews::shift_list(o, &permit, date, page)).await?;
    Ok(answer::list(&req, rows))
}
