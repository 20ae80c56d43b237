//! Cost per court, and the lines and hours it is made of.

use actix_web::{HttpRequest, HttpResponse, web};
use serde::Deserialize;
use utoipa::{IntoParams, OpenApi};

use crate::desk::Permit;
use crate::desk::access::{SeeCost, SeeHours};
use crate::desk::cost::{self, CostView, Dates, LinesOf};
use crate::http::answer::{self, List};
use crate::http::read::{Day, Id, ListQuery, Listing, Query};
use crate::http::route::at;
use crate::http::{Problem, State, at_the_desk};
use crate::store::cost::{CostKind, CostLineRow};
use crate::store::hours::HoursRow;

#[derive(OpenApi)]
#[openapi(paths(read, lines, hours))]
pub(super) struct Doc;

pub(super) fn routes(cfg: &mut web::ServiceConfig) {
    cfg.service(at("/costs", "GET").route(web::get().to(read)))
        .service(at("/cost-lines", "GET").route(web::get().to(lines)))
        .service(at("/hours", "GET").route(web::get().to(hours)));
}

/// Dates of the site: at most 400 days, the first and the last included.
#[derive(Debug, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub(super) struct DatesQuery {
    /// The first date.
    #[param(value_type = chrono::NaiveDate)]
    pub(super) from: Option<Day>,
    /// The last date.
    #[param(value_type = chrono::NaiveDate)]
    pub(super) to: Option<Day>,
}

/// The dates asked for; each must be there.
pub(super) fn dates(from: Option<Day>, to: Option<Day>) -> Result<Dates, Problem> {
    let needed = |name: &str, day: Option<Day>| {
        day.map(|day| day.0)
            .ok_or_else(|| Problem::unreadable(name, "give a date of the calendar: 2031-06-10"))
    };
    Ok(Dates::of(needed("from", from)?, needed("to", to)?)?)
}

/// Which cost lines a list shows.
#[derive(Debug, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
struct LinesQuery {
    /// The first date.
    #[param(value_type = chrono::NaiveDate)]
    from: Option<Day>,
    /// The last date.
    #[param(value_type = chrono::NaiveDate)]
    to: Option<Day>,
    /// Of this court only.
    #[param(value_type = Option<i64>)]
    court_id: Option<Id>,
    /// Of this work order only.
    #[param(value_type = Option<i64>)]
    order_id: Option<Id>,
    /// Of this kind only.
    #[param(inline)]
    kind: Option<CostKind>,
}

/// Which hours entries a list shows.
#[derive(Debug, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
struct HoursQuery {
    /// The first date.
    #[param(value_type = chrono::NaiveDate)]
    from: Option<Day>,
    /// The last date.
    #[param(value_type = chrono::NaiveDate)]
    to: Option<Day>,
    /// Of this person only.
    #[param(value_type = Option<i64>)]
    person_id: Option<Id>,
}

/// What each court cost, by kind, and what all of them cost together.
#[utoipa::path(get, path = "/sites/{site_id}/costs", tag = "cost",
    params(("site_id" = i64, Path), DatesQuery), responses((status = 200, body = CostView)))]
async fn read(
    office: State,
    permit: Permit<SeeCost>,
    Query(query): Query<DatesQuery>,
) -> Result<HttpResponse, Problem> {
    let dates = dates(query.from, query.to)?;
    let view = at_the_desk(&office, move |o| cost::cost_read(o, &permit, dates)).await?;
    Ok(HttpResponse::Ok().json(view))
}

/// The cost lines that the figures are made of.
#[utoipa::path(get, path = "/sites/{site_id}/cost-lines", tag = "cost",
    params(("site_id" = i64, Path), LinesQuery, ListQuery),
    responses((status = 200, body = List<CostLineRow>)))]
async fn lines(
    office: State,
    permit: Permit<SeeCost>,
    req: HttpRequest,
    listing: Listing<LinesQuery>,
) -> Result<HttpResponse, Problem> {
    let Listing { filter, page } = listing;
    let dates = dates(filter.from, filter.to)?;
    let of = LinesOf {
        court_id: filter.court_id.map(|id| id.0),
        order_id: filter.order_id.map(|id| id.0),
        kind: filter.kind,
    };
    let rows = at_the_desk(&office, move |o| {
        cost::cost_line_list(o, &permit, dates, of, page)
    })
    .await?;
    Ok(answer::list(&req, rows))
}

/// Who worked when.
#[utoipa::path(get, path = "/sites/{site_id}/hours", tag = "cost",
    params(("site_id" = i64, Path), HoursQuery, ListQuery),
    responses((status = 200, body = List<HoursRow>)))]
async fn hours(
    office: State,
    permit: Permit<SeeHours>,
    req: HttpRequest,
    listing: Listing<HoursQuery>,
) -> Result<HttpResponse, Problem> {
    let Listing { filter, page } = listing;
    let dates = dates(filter.from, filter.to)?;
    let person = filter.person_id.map(|id| id.0);
    let rows = at_the_desk(&office, move |o| {
        cost::hours_list(o, &permit, dates, person, page)
    })
    .await?;
    Ok(answer::list(&req, rows))
}
