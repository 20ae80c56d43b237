//! The weather at the site, and its heat.

use actix_web::{HttpRequest, HttpResponse, web};
use utoipa::OpenApi;

use crate::desk::Permit;
use crate::desk::access::{SeeSite, TellWeather};
use crate::desk::weather::{self, HeatView, Imported, WeatherFile, WeatherKept, WeatherToldList};
use crate::http::answer::{self, List};
use crate::http::read::{Body, ClientKey, ListQuery, Listing};
use crate::http::route::at;
use crate::http::{Problem, State, at_the_desk};
use crate::store::weather::WeatherRow;

#[derive(OpenApi)]
#[openapi(paths(list, tell, import, heat))]
pub(super) struct Doc;

pub(super) fn routes(cfg: &mut web::ServiceConfig) {
    cfg.service(
        at("/weather", "GET, POST")
            .route(web::get().to(list))
            .route(web::post().to(tell)),
    )
    .service(at("/weather-files", "POST").route(web::post().to(import)))
    .service(at("/heat", "GET").route(web::get().to(heat)));
}

/// The weather of the site, in the order in which it was told.
#[utoipa::path(get, path = "/sites/{site_id}/weather", tag = "weather",
    params(("site_id" = i64, Path), ListQuery), responses((status = 200, body = List<WeatherRow>)))]
async fn list(
    office: State,
    permit: Permit<SeeSite>,
    req: HttpRequest,
    listing: Listing,
) -> Result<HttpResponse, Problem> {
    let page = listing.page;
    let rows = at_the_desk(&office, move |o| weather::weather_list(o, &permit, page)).await?;
    Ok(answer::list(&req, rows))
}

/// Tells the weather, read off or foretold. What was told before of the same instant and kind is replaced.
#[utoipa::path(post, path = "/sites/{site_id}/weather", tag = "weather",
    params(("site_id" = i64, Path),
        ("Idempotency-Key" = String, Header, description = "the client's own UUID of this event")),
    request_body = WeatherToldList,
    responses((status = 201, body = WeatherKept), (status = 422, description = "Refused as it stands")))]
async fn tell(
    office: State,
    permit: Permit<TellWeather>,
    key: ClientKey,
    Body(told): Body<WeatherToldList>,
) -> Result<HttpResponse, Problem> {
    let kept = at_the_desk(&office, move |o| {
        weather::weather_tell(o, &permit, key.0, &told)
    })
    .await?;
    Ok(HttpResponse::Created().json(kept))
}

/// Takes the weather from a file: the lines that can be read are kept, the others are told with their mend.
#[utoipa::path(post, path = "/sites/{site_id}/weather-files", tag = "weather",
    params(("site_id" = i64, Path),
        ("Idempotency-Key" = String, Header, description = "the client's own UUID of this event")),
    request_body = WeatherFile,
    responses((status = 200, body = Imported), (status = 422, description = "Refused as it stands")))]
async fn import(
    office: State,
    permit: Permit<TellWeather>,
    key: ClientKey,
    Body(file): Body<WeatherFile>,
) -> Result<HttpResponse, Problem> {
    let report = at_the_desk(&office, move |o| {
        weather::weather_import(o, &permit, key.0, &file)
    })
    .await?;
    Ok(HttpResponse::Ok().json(report))
}

/// How hot it is now, in the shade; full sun can add up to 15 °F (US National Weather Service).
#[utoipa::path(get, path = "/sites/{site_id}/heat", tag = "weather", params(("site_id" = i64, Path)),
    responses((status = 200, body = HeatView)))]
async fn heat(office: State, permit: Permit<SeeSite>) -> Result<HttpResponse, Problem> {
    let view = at_the_desk(&office, move |o| weather::heat_now(o, &permit)).await?;
    Ok(HttpResponse::Ok().json(view))
}
