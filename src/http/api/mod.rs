//! The API under `/api/v1`, one file a resource. Each file gives its routes and its part of the
//! OpenAPI document; the guard has proved user and site before a handler runs.

pub mod accounts;
pub mod alone;
pub mod api_keys;
pub mod attendance;
pub mod audit;
pub mod calendars;
pub mod care;
pub mod cost;
pub mod courts;
pub mod crews;
pub mod day_changes;
pub mod days;
pub mod defects;
pub mod devices;
pub mod document;
pub mod holds;
pub mod incidents;
pub mod inspections;
pub mod installation;
pub mod live;
pub mod look_ahead;
pub mod members;
pub mod nets;
pub mod order_life;
pub mod orders;
pub mod part_supplies;
pub mod pictures;
pub mod plan_runs;
pub mod play;
pub mod privacy;
pub mod reports;
pub mod settings;
pub mod sign_in;
pub mod site_words;
pub mod sites;
pub mod skills;
pub mod stops;
pub mod stores;
pub mod tablet;
pub mod tool_checks;
pub mod tools;
pub mod water;
pub mod wear;
pub mod weather;

use actix_web::middleware::from_fn;
use actix_web::web;

use super::guard;
use super::problem::{Kind, Problem};

/// Every route of the API.
pub fn routes(cfg: &mut web::ServiceConfig) {
    let of_a_site = web::scope("/sites/{site_id}")
        .wrap(from_fn(guard::of_the_site))
        .configure(sites::site_routes)
        .configure(settings::routes)
        .configure(site_words::routes)
        .configure(members::routes)
        .configure(devices::routes)
        .configure(api_keys::routes)
        .configure(courts::routes)
        .configure(calendars::routes)
        .configure(play::routes)
        .configure(inspections::routes)
        .configure(wear::routes)
        .configure(part_supplies::routes)
        .configure(nets::routes)
        .configure(weather::routes)
        .configure(crews::routes)
        .configure(privacy::routes)
        .configure(skills::routes)
        .configure(care::routes)
        .configure(tools::routes)
        .configure(stores::routes)
        .configure(plan_runs::routes)
        .configure(days::routes)
        .configure(day_changes::routes)
        .configure(look_ahead::routes)
        .configure(orders::routes)
        .configure(tablet::routes)
        .configure(live::routes)
        .configure(order_life::routes)
        .configure(defects::routes)
        .configure(stops::routes)
        .configure(holds::routes)
        .configure(pictures::routes)
        .configure(incidents::routes)
        .configure(alone::routes)
        .configure(attendance::routes)
        .configure(tool_checks::routes)
        .configure(cost::routes)
        .configure(reports::routes)
        .configure(audit::routes)
        .configure(water::routes)
        .default_service(web::to(nowhere));
    let for_users = web::scope("")
        .wrap(from_fn(guard::signed_in))
        .configure(sites::routes)
        .configure(sign_in::user_routes)
        .configure(accounts::user_routes)
        .configure(installation::routes)
        .service(of_a_site)
        .default_service(web::to(nowhere));
    cfg.configure(document::routes)
        .service(
            web::scope("/api/v1")
                .configure(sign_in::routes)
                .configure(accounts::routes)
                .service(for_users),
        )
        .service(web::scope("/api").default_service(web::to(nowhere)));
}

async fn nowhere() -> Result<actix_web::HttpResponse, Problem> {
    Err(Problem::new(
        Kind::NotFound,
        "nothing is at this path; /api/openapi.json lists what is",
    ))
}
