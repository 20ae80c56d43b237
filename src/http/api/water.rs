//! Water: valves, rules, what is a court's own, the runs of a day, levels, and what was used.

use actix_web::{HttpRequest, HttpResponse, web};
use serde::Deserialize;
use utoipa::{IntoParams, OpenApi};

use super::cost::{DatesQuery, dates};
use crate::desk::Permit;
use crate::desk::access::{EditWater, SeeCost, SeeWater, TellWater};
use crate::desk::once::Once;
use crate::desk::water::{
    self, CourtWaterEdit, CourtWaterView, DayWaterView, LevelAsk, LevelView, RuleEdit, RunTold,
    ToldView, ValveEdit, ValveView, WaterUseView,
};
use crate::http::answer::{self, List};
use crate::http::read::{Body, ClientKey, Day, Id, IfMatch, ListQuery, Listing, Query};
use crate::http::route::at;
use crate::http::{Problem, State, at_the_desk};
use crate::store::water::{LevelRow, RuleRow};

#[derive(OpenApi)]
#[openapi(paths(
    valve_list,
    valve_add,
    valve_read,
    valve_edit,
    valve_remove,
    rule_list,
    rule_add,
    rule_read,
    rule_edit,
    rule_remove,
    court_read,
    court_edit,
    level_list,
    level_add,
    day,
    sheet,
    told,
    used
))]
pub(super) struct Doc;

pub(super) fn routes(cfg: &mut web::ServiceConfig) {
    cfg.service(
        at("/valves", "GET, POST")
            .route(web::get().to(valve_list))
            .route(web::post().to(valve_add)),
    )
    .service(
        at("/valves/{valve_id}", "GET, PATCH, DELETE")
            .route(web::get().to(valve_read))
            .route(web::patch().to(valve_edit))
            .route(web::delete().to(valve_remove)),
    )
    .service(
        at("/water-rules", "GET, POST")
            .route(web::get().to(rule_list))
            .route(web::post().to(rule_add)),
    )
    .service(
        at("/water-rules/{water_rule_id}", "GET, PATCH, DELETE")
            .route(web::get().to(rule_read))
            .route(web::patch().to(rule_edit))
            .route(web::delete().to(rule_remove)),
    )
    .service(
        at("/courts/{court_id}/water", "GET, PATCH")
            .route(web::get().to(court_read))
            .route(web::patch().to(court_edit)),
    )
    .service(
        at("/level-readings", "GET, POST")
            .route(web::get().to(level_list))
            .route(web::post().to(level_add)),
    )
    .service(at("/days/{date}/water", "GET").route(web::get().to(day)))
    .service(at("/days/{date}/water/sheet", "GET").route(web::get().to(sheet)))
    .service(at("/waterings/{watering_id}/told", "POST").route(web::post().to(told)))
    .service(at("/water-used", "GET").route(web::get().to(used)));
}

/// The site's valves, each with the courts it wets.
#[utoipa::path(get, path = "/sites/{site_id}/valves", tag = "water",
    params(("site_id" = i64, Path), ListQuery), responses((status = 200, body = List<ValveView>)))]
async fn valve_list(
    office: State,
    permit: Permit<SeeWater>,
    req: HttpRequest,
    listing: Listing,
) -> Result<HttpResponse, Problem> {
    let page = listing.page;
    let rows = at_the_desk(&office, move |o| water::valve_list(o, &permit, page)).await?;
    Ok(answer::list(&req, rows))
}

/// Adds a valve.
#[utoipa::path(post, path = "/sites/{site_id}/valves", tag = "water",
    params(("site_id" = i64, Path),
        ("Idempotency-Key" = String, Header, description = "the client's own UUID of this event")),
    request_body = ValveEdit,
    responses((status = 201, body = ValveView), (status = 422, description = "Refused as it stands")))]
async fn valve_add(
    office: State,
    permit: Permit<EditWater>,
    key: ClientKey,
    Body(body): Body<ValveEdit>,
) -> Result<HttpResponse, Problem> {
    let valve = at_the_desk(&office, move |o| {
        let once = Once::new(key.0, "add valve".into(), &body)?;
        water::valve_add(o, &permit, &body, &once)
    })
    .await?;
    Ok(HttpResponse::Created().json(valve))
}

/// One valve, with its ETag.
#[utoipa::path(get, path = "/sites/{site_id}/valves/{valve_id}", tag = "water",
    params(("site_id" = i64, Path), ("valve_id" = i64, Path)),
    responses((status = 200, body = ValveView)))]
async fn valve_read(
    office: State,
    permit: Permit<SeeWater>,
    path: web::Path<(i64, i64)>,
) -> Result<HttpResponse, Problem> {
    let (_, id) = path.into_inner();
    let valve = at_the_desk(&office, move |o| water::valve_read(o, &permit, id)).await?;
    Ok(answer::versioned(&valve, valve.version))
}

/// Changes a valve: all of it, as it is sent.
#[utoipa::path(patch, path = "/sites/{site_id}/valves/{valve_id}", tag = "water",
    params(("site_id" = i64, Path), ("valve_id" = i64, Path),
        ("If-Match" = String, Header, description = "the ETag that was read")),
    request_body = ValveEdit,
    responses((status = 200, body = ValveView), (status = 412, description = "Changed since it was read"),
        (status = 422, description = "Refused as it stands"), (status = 428, description = "If-Match is missing")))]
async fn valve_edit(
    office: State,
    permit: Permit<EditWater>,
    path: web::Path<(i64, i64)>,
    version: IfMatch,
    Body(body): Body<ValveEdit>,
) -> Result<HttpResponse, Problem> {
    let (_, id) = path.into_inner();
    let valve = at_the_desk(&office, move |o| {
        water::valve_edit(o, &permit, id, version.0, &body)
    })
    .await?;
    Ok(answer::versioned(&valve, valve.version))
}

/// Takes a valve out of use. What it has watered stays.
#[utoipa::path(delete, path = "/sites/{site_id}/valves/{valve_id}", tag = "water",
    params(("site_id" = i64, Path), ("valve_id" = i64, Path),
        ("If-Match" = String, Header, description = "the ETag that was read")),
    responses((status = 204), (status = 412, description = "Changed since it was read"),
        (status = 428, description = "If-Match is missing")))]
async fn valve_remove(
    office: State,
    permit: Permit<EditWater>,
    path: web::Path<(i64, i64)>,
    version: IfMatch,
) -> Result<HttpResponse, Problem> {
    let (_, id) = path.into_inner();
    at_the_desk(&office, move |o| {
        water::valve_remove(o, &permit, id, version.0)
    })
    .await?;
    Ok(HttpResponse::NoContent().finish())
}

/// The rules that water runs by.
#[utoipa::path(get, path = "/sites/{site_id}/water-rules", tag = "water",
    params(("site_id" = i64, Path), ListQuery), responses((status = 200, body = List<RuleRow>)))]
async fn rule_list(
    office: State,
    permit: Permit<SeeWater>,
    req: HttpRequest,
    listing: Listing,
) -> Result<HttpResponse, Problem> {
    let page = listing.page;
    let rows = at_the_desk(&office, move |o| water::rule_list(o, &permit, page)).await?;
    Ok(answer::list(&req, rows))
}

/// Adds a rule: hours a line is free, hours that local rules allow, or an allowance a day.
#[utoipa::path(post, path = "/sites/{site_id}/water-rules", tag = "water",
    params(("site_id" = i64, Path),
        ("Idempotency-Key" = String, Header, description = "the client's own UUID of this event")),
    request_body = RuleEdit,
    responses((status = 201, body = RuleRow), (status = 422, description = "Refused as it stands")))]
async fn rule_add(
    office: State,
    permit: Permit<EditWater>,
    see: Permit<SeeWater>,
    key: ClientKey,
    Body(body): Body<RuleEdit>,
) -> Result<HttpResponse, Problem> {
    let rule = at_the_desk(&office, move |o| {
        let once = Once::new(key.0, "add rule of water".into(), &body)?;
        let id = water::rule_add(o, &permit, &body, &once)?;
        water::rule_read(o, &see, id)
    })
    .await?;
    Ok(HttpResponse::Created().json(rule))
}

/// One rule, with its ETag.
#[utoipa::path(get, path = "/sites/{site_id}/water-rules/{water_rule_id}", tag = "water",
    params(("site_id" = i64, Path), ("water_rule_id" = i64, Path)),
    responses((status = 200, body = RuleRow)))]
async fn rule_read(
    office: State,
    permit: Permit<SeeWater>,
    path: web::Path<(i64, i64)>,
) -> Result<HttpResponse, Problem> {
    let (_, id) = path.into_inner();
    let rule = at_the_desk(&office, move |o| water::rule_read(o, &permit, id)).await?;
    Ok(answer::versioned(&rule, rule.version))
}

/// Changes a rule: all of it, as it is sent.
#[utoipa::path(patch, path = "/sites/{site_id}/water-rules/{water_rule_id}", tag = "water",
    params(("site_id" = i64, Path), ("water_rule_id" = i64, Path),
        ("If-Match" = String, Header, description = "the ETag that was read")),
    request_body = RuleEdit,
    responses((status = 200, body = RuleRow), (status = 412, description = "Changed since it was read"),
        (status = 422, description = "Refused as it stands"), (status = 428, description = "If-Match is missing")))]
async fn rule_edit(
    office: State,
    permit: Permit<EditWater>,
    path: web::Path<(i64, i64)>,
    version: IfMatch,
    Body(body): Body<RuleEdit>,
) -> Result<HttpResponse, Problem> {
    let (_, id) = path.into_inner();
    let rule = at_the_desk(&office, move |o| {
        water::rule_edit(o, &permit, id, version.0, &body)
    })
    .await?;
    Ok(answer::versioned(&rule, rule.version))
}

/// Takes a rule away.
#[utoipa::path(delete, path = "/sites/{site_id}/water-rules/{water_rule_id}", tag = "water",
    params(("site_id" = i64, Path), ("water_rule_id" = i64, Path),
        ("If-Match" = String, Header, description = "the ETag that was read")),
    responses((status = 204), (status = 412, description = "Changed since it was read"),
        (status = 428, description = "If-Match is missing")))]
async fn rule_remove(
    office: State,
    permit: Permit<EditWater>,
    path: web::Path<(i64, i64)>,
    version: IfMatch,
) -> Result<HttpResponse, Problem> {
    let (_, id) = path.into_inner();
    at_the_desk(&office, move |o| {
        water::rule_remove(o, &permit, id, version.0)
    })
    .await?;
    Ok(HttpResponse::NoContent().finish())
}

/// What is a court's own of its water, with its ETag.
#[utoipa::path(get, path = "/sites/{site_id}/courts/{court_id}/water", tag = "water",
    params(("site_id" = i64, Path), ("court_id" = i64, Path)),
    responses((status = 200, body = CourtWaterView)))]
async fn court_read(
    office: State,
    permit: Permit<SeeWater>,
    path: web::Path<(i64, i64)>,
) -> Result<HttpResponse, Problem> {
    let (_, id) = path.into_inner();
    let court = at_the_desk(&office, move |o| water::court_water_read(o, &permit, id)).await?;
    Ok(answer::versioned(&court, court.version))
}

/// Sets how long a court drains, and the level it is kept at from below.
#[utoipa::path(patch, path = "/sites/{site_id}/courts/{court_id}/water", tag = "water",
    params(("site_id" = i64, Path), ("court_id" = i64, Path),
        ("If-Match" = String, Header, description = "the ETag that was read")),
    request_body = CourtWaterEdit,
    responses((status = 200, body = CourtWaterView), (status = 412, description = "Changed since it was read"),
        (status = 422, description = "Refused as it stands"), (status = 428, description = "If-Match is missing")))]
async fn court_edit(
    office: State,
    permit: Permit<EditWater>,
    path: web::Path<(i64, i64)>,
    version: IfMatch,
    Body(body): Body<CourtWaterEdit>,
) -> Result<HttpResponse, Problem> {
    let (_, id) = path.into_inner();
    let court = at_the_desk(&office, move |o| {
        water::court_water_edit(o, &permit, id, version.0, &body)
    })
    .await?;
    Ok(answer::versioned(&court, court.version))
}

/// Which level readings a list shows.
#[derive(Debug, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
struct LevelsQuery {
    /// Of this court only.
    #[param(value_type = Option<i64>)]
    court_id: Option<Id>,
}

/// The level readings of courts that are watered from below.
#[utoipa::path(get, path = "/sites/{site_id}/level-readings", tag = "water",
    params(("site_id" = i64, Path), LevelsQuery, ListQuery),
    responses((status = 200, body = List<LevelRow>)))]
async fn level_list(
    office: State,
    permit: Permit<SeeWater>,
    req: HttpRequest,
    listing: Listing<LevelsQuery>,
) -> Result<HttpResponse, Problem> {
    let Listing { filter, page } = listing;
    let court = filter.court_id.map(|id| id.0);
    let rows = at_the_desk(&office, move |o| water::level_list(o, &permit, court, page)).await?;
    Ok(answer::list(&req, rows))
}

/// Keeps a level that was read today, and says what to do about it: a small step, then a day's wait.
#[utoipa::path(post, path = "/sites/{site_id}/level-readings", tag = "water",
    params(("site_id" = i64, Path),
        ("Idempotency-Key" = String, Header, description = "the client's own UUID of this event")),
    request_body = LevelAsk,
    responses((status = 201, body = LevelView), (status = 422, description = "Refused as it stands")))]
async fn level_add(
    office: State,
    permit: Permit<TellWater>,
    key: ClientKey,
    Body(body): Body<LevelAsk>,
) -> Result<HttpResponse, Problem> {
    let level = at_the_desk(&office, move |o| {
        let once = Once::new(key.0, "read level".into(), &body)?;
        water::level_add(o, &permit, &body, &once)
    })
    .await?;
    Ok(HttpResponse::Created().json(level))
}

/// The water of a date: its runs, and what each court gets of the night, why, and what it stays short of.
#[utoipa::path(get, path = "/sites/{site_id}/days/{date}/water", tag = "water",
    params(("site_id" = i64, Path), ("date" = chrono::NaiveDate, Path)),
    responses((status = 200, body = DayWaterView)))]
async fn day(
    office: State,
    permit: Permit<SeeWater>,
    path: web::Path<(i64, Day)>,
) -> Result<HttpResponse, Problem> {
    let (_, Day(date)) = path.into_inner();
    let view = at_the_desk(&office, move |o| water::day_water(o, &permit, date)).await?;
    Ok(HttpResponse::Ok().json(view))
}

/// The runs of a date as a sheet for the controller, comma-separated (RFC 4180).
#[utoipa::path(get, path = "/sites/{site_id}/days/{date}/water/sheet", tag = "water",
    params(("site_id" = i64, Path), ("date" = chrono::NaiveDate, Path)),
    responses((status = 200, body = String, content_type = "text/csv")))]
async fn sheet(
    office: State,
    permit: Permit<SeeWater>,
    path: web::Path<(i64, Day)>,
) -> Result<HttpResponse, Problem> {
    let (_, Day(date)) = path.into_inner();
    let text = at_the_desk(&office, move |o| water::sheet_csv(o, &permit, date)).await?;
    Ok(HttpResponse::Ok()
        .content_type("text/csv; charset=utf-8; header=present")
        .insert_header((
            "content-disposition",
            format!("attachment; filename=\"water-{date}.csv\""),
        ))
        .body(text))
}

/// Says whether a run came, by meter, controller or opening walk. One that did not is laid again before play where its
/// courts can still drain.
#[utoipa::path(post, path = "/sites/{site_id}/waterings/{watering_id}/told", tag = "water",
    params(("site_id" = i64, Path), ("watering_id" = i64, Path),
        ("Idempotency-Key" = String, Header, description = "the client's own UUID of this event")),
    request_body = RunTold,
    responses((status = 200, body = ToldView), (status = 409, description = "It has not begun, or was withdrawn"),
        (status = 422, description = "Refused as it stands")))]
async fn told(
    office: State,
    permit: Permit<TellWater>,
    key: ClientKey,
    path: web::Path<(i64, i64)>,
    Body(body): Body<RunTold>,
) -> Result<HttpResponse, Problem> {
    let (_, id) = path.into_inner();
    let view = at_the_desk(&office, move |o| {
        let once = Once::new(key.0, format!("waterings/{id}/told"), &body)?;
        water::run_told(o, &permit, id, &body, &once)
    })
    .await?;
    Ok(HttpResponse::Ok().json(view))
}

/// Litres and cost a court, over at most 400 days.
#[utoipa::path(get, path = "/sites/{site_id}/water-used", tag = "water",
    params(("site_id" = i64, Path), DatesQuery), responses((status = 200, body = WaterUseView)))]
async fn used(
    office: State,
    permit: Permit<SeeCost>,
    Query(query): Query<DatesQuery>,
) -> Result<HttpResponse, Problem> {
    let dates = dates(query.from, query.to)?;
    let view = at_the_desk(&office, move |o| water::water_used(o, &permit, dates)).await?;
    Ok(HttpResponse::Ok().json(view))
}
