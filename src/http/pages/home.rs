//! The way in: to today's rounds of the user's site, or to the choice of sites.

use actix_web::{HttpResponse, web};
use chrono::{DateTime, NaiveDate, Utc};
use maud::html;
use trade::calendar::work_date;

use super::parts::frame::Frame;
use super::parts::shown;
use super::session::PageUser;
use super::{answer, see_other};
use crate::desk::sites::site_list;
use crate::http::problem::Problem;
use crate::http::route::at;
use crate::http::{State, at_the_desk};
use crate::store::sites::SiteRow;
use crate::store::{Actor, Page};
use crate::words::say;

pub(super) fn routes(cfg: &mut web::ServiceConfig) {
    cfg.service(at("/", "GET").route(web::get().to(start)))
        .service(at("/today", "GET").route(web::get().to(today)))
        .service(at("/sites", "GET").route(web::get().to(choose)));
}

async fn start() -> HttpResponse {
    see_other("/today")
}

async fn today(office: State, user: PageUser) -> Result<HttpResponse, Problem> {
    let sites = sites_of(&office, &user).await?;
    Ok(match sites.as_slice() {
        [only] => see_other(&today_address(only)),
        _ => see_other("/sites"),
    })
}

async fn choose(office: State, user: PageUser) -> Result<HttpResponse, Problem> {
    let sites = sites_of(&office, &user).await?;
    let title = say("sites-title");
    let content = html! {
        div.notice {
            h1 { (title) }
            @if sites.is_empty() {
                p { (say("sites-none")) }
            } @else {
                ul.choice {
                    @for site in &sites {
                        li { a.button href=(today_address(site)) { (site.name) } }
                    }
                }
            }
        }
    };
    Ok(answer(Frame::of(&title).user(Some(&user)).around(&content)))
}

async fn sites_of(office: &State, user: &PageUser) -> Result<Vec<SiteRow>, Problem> {
    let actor = Actor::of(user.id);
    let sites = at_the_desk(office, move |o| site_list(o, actor, Page::ALL)).await?;
    Ok(sites.items)
}

/// Where somebody begins at a site: it depends on who it is.
fn today_address(site: &SiteRow) -> String {
    format!("/sites/{}/today", site.id)
}

/// The page of the site's own day at this instant.
pub(super) fn day_address(site: &SiteRow, now: DateTime<Utc>) -> String {
    day_of(site.id, work_date(shown(site).zone, now))
}

/// The page of a date.
pub(super) fn day_of(site_id: i64, date: NaiveDate) -> String {
    format!("/sites/{site_id}/days/{date}")
}
