//! The office's HTML pages, server-rendered, one file a page.
//!
//! Every page is put together by [`parts::frame`], says its text by Fluent keys, carries no inline
//! script and no style attribute, and works without script: what changes something is a form.
//! Handlers return [`Problem`](super::Problem) as those of the API do; [`faults`] says it in plain
//! words. [`guard`] has proved the user, and for a site's pages the site, before a handler runs.

pub mod access;
pub mod account;
pub mod ahead;
pub mod assets;
pub mod attendance;
pub mod audit;
pub mod by_hand;
pub mod calendars;
pub mod care;
pub mod courts;
pub mod day;
pub mod faults;
pub mod first_owner;
pub mod guard;
pub mod home;
pub mod incidents;
pub mod installation;
pub mod nets;
pub mod order;
pub mod pair;
pub mod parts;
pub mod password;
pub mod pictures;
pub mod plan_run;
pub mod play;
pub mod replan;
pub mod sent;
pub mod session;
pub mod sign_in;
pub mod site_words;
pub mod stops;
pub mod water;
pub mod wear;
pub mod weather;

use actix_web::http::header;
use actix_web::middleware::from_fn;
use actix_web::{HttpResponse, web};
use chrono::NaiveDate;
use maud::Markup;

use super::guard::of_the_site;
use super::problem::{Kind, Problem};
use super::read::form_fault;

/// Every route of the pages. They take every path that nothing before them took.
pub fn routes(cfg: &mut web::ServiceConfig) {
    let of_a_site = web::scope("/sites/{site_id:[0-9]+}")
        .wrap(from_fn(guard::stops_of_the_site))
        .wrap(from_fn(of_the_site))
        .configure(day::site_routes)
        .configure(ahead::site_routes)
        .configure(attendance::site_routes)
        .configure(audit::site_routes)
        .configure(by_hand::site_routes)
        .configure(calendars::site_routes)
        .configure(care::site_routes)
        .configure(courts::site_routes)
        .configure(incidents::site_routes)
        .configure(nets::site_routes)
        .configure(order::site_routes)
        .configure(pictures::site_routes)
        .configure(plan_run::site_routes)
        .configure(play::site_routes)
        .configure(replan::site_routes)
        .configure(sent::site_routes)
        .configure(site_words::site_routes)
        .configure(stops::site_routes)
        .configure(water::site_routes)
        .configure(wear::site_routes)
        .configure(weather::site_routes)
        .configure(access::site_routes)
        .default_service(web::to(nowhere));
    let for_users = web::scope("")
        .wrap(from_fn(guard::signed_in))
        .configure(home::routes)
        .configure(account::routes)
        .configure(installation::routes)
        .service(of_a_site)
        .default_service(web::to(nowhere));
    cfg.service(
        web::scope("")
            .app_data(
                web::FormConfig::default().error_handler(|error, _| form_fault(&error).into()),
            )
            .wrap(from_fn(guard::from_our_own_page))
            .wrap(from_fn(faults::in_plain_words))
            .service(assets::route())
            .configure(sign_in::routes)
            .configure(password::routes)
            .configure(first_owner::routes)
            .configure(pair::routes)
            .service(for_users),
    );
}

/// Goes on to another page: after a form was taken, or because a page has moved.
fn see_other(place: &str) -> HttpResponse {
    HttpResponse::SeeOther()
        .insert_header((header::LOCATION, place))
        .finish()
}

/// A page that was made.
fn answer(page: Markup) -> HttpResponse {
    HttpResponse::Ok()
        .content_type(header::ContentType::html())
        .body(page.into_string())
}

/// The date in a path.
fn date_of(text: &str) -> Result<NaiveDate, Problem> {
    text.parse()
        .map_err(|_| Problem::new(Kind::NotFound, "no such date"))
}

async fn nowhere() -> Result<HttpResponse, Problem> {
    Err(Problem::new(Kind::NotFound, "no page is at this address"))
}
