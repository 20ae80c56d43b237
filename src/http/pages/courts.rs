//! Courts as they are: the condition of each and what it follows from, what was seen of it, and the form that tells a
//! look.

mod first_aid;
mod form;
mod history;

use actix_web::http::StatusCode;
use actix_web::{HttpResponse, web};
use maud::{Markup, html};

use super::answer;
use super::parts::frame::Frame;
use super::parts::{key_part, shown};
use super::session::PageUser;
use crate::desk::Permit;
use crate::desk::access::{InspectCourt, SeeSite};
use crate::desk::courts::court_list;
use crate::desk::inspections::{ConditionView, conditions_now};
use crate::desk::sites::site_read;
use crate::http::problem::Problem;
use crate::http::route::at;
use crate::http::{State, at_the_desk};
use crate::store::courts::CourtRow;
use crate::store::sites::SiteRow;
use crate::store::{Instant, Page};
use crate::words::shown::{Shown, date_long};
use crate::words::{say, say_with};

pub(super) fn site_routes(cfg: &mut web::ServiceConfig) {
    cfg.service(at("/courts", "GET").route(web::get().to(read)))
        .configure(form::site_routes)
        .configure(first_aid::site_routes)
        .configure(history::site_routes);
}

/// The page of a site's courts.
pub fn address(site_id: i64) -> String {
    format!("/sites/{site_id}/courts")
}

async fn read(
    office: State,
    user: PageUser,
    permit: Permit<SeeSite>,
) -> Result<HttpResponse, Problem> {
    Ok(answer(page(&office, &user, permit, &[]).await?))
}

/// The page again, with what was wrong in the form on top.
async fn refused(
    office: &State,
    user: &PageUser,
    permit: Permit<SeeSite>,
    wrong: &[String],
) -> Result<HttpResponse, Problem> {
    let mut again = answer(page(office, user, permit, wrong).await?);
    *again.status_mut() = StatusCode::UNPROCESSABLE_ENTITY;
    Ok(again)
}

async fn page(
    office: &State,
    user: &PageUser,
    permit: Permit<SeeSite>,
    wrong: &[String],
) -> Result<Markup, Problem> {
    let may_tell = Permit::<InspectCourt>::of((*permit).clone()).is_ok();
    let now = office.now();
    let (site, courts, conditions) = at_the_desk(office, move |o| {
        Ok((
            site_read(o, &permit)?,
            court_list(o, &permit, Page::ALL)?.items,
            conditions_now(o, &permit)?.courts,
        ))
    })
    .await?;
    let show = shown(&site);
    let title = say("courts-title");
    let of = |id: i64| courts.iter().find(|court| court.id == id);
    let content = html! {
        h1 { (title) }
        p { (say("courts-lead")) }
        @if !wrong.is_empty() {
            div.wrong role="alert" {
                p { (say("look-not-taken")) }
                ul { @for text in wrong { li { (text) } } }
            }
        }
        @if may_tell {
            p.deeds { a.button href="#tell" { (say("courts-to-form")) } }
        }
        ul.court-list {
            @for condition in &conditions {
                @if let Some(court) = of(condition.court_id) {
                    (card(&site, &show, court, condition, now))
                }
            }
        }
        @if may_tell { (form::form(&site, &conditions)) }
    };
    Ok(Frame::of(&title)
        .site(&site)
        .user(Some(user))
        .around(&content))
}

fn card(
    site: &SiteRow,
    show: &Shown,
    court: &CourtRow,
    is: &ConditionView,
    now: Instant,
) -> Markup {
    let drains = is.expected_fit_at.filter(|fit_at| *fit_at > now);
    let is_shut = is.forbids_play.is_some() || drains.is_some();
    let condition = say(&format!("condition-{}", key_part(is.condition)));
    html! {
        li.court-card.is-shut[is_shut] #{ "court-" (court.id) } {
            h2 { (court.name) }
            p.court-condition { (condition) }
            p.hint { (because(show, is)) }
            @if let Some(why) = is.forbids_play {
                @let why = say(&format!("courts-forbids-{}", key_part(why)));
                p.care-safety { (say_with("courts-forbidden", &[("why", why.into())])) }
            }
            @if let Some(fit_at) = drains {
                p.care-safety { (say_with("courts-draining", &[("at", show.date_time(fit_at).into())])) }
            }
            @if is.baselines_packed { p { (say("courts-packed")) } }
            dl.facts {
                // Damp is how a court is taken to be of which nobody said anything.
                @if is.moisture != "damp" {
                    (fact("courts-moisture", &say(&format!("look-moisture-{}", is.moisture))))
                }
                (fact("courts-seen", &seen(show, is)))
                (fact("courts-resurfaced", &resurfaced(court)))
                (fact("courts-watering", &say(&format!("courts-watering-{}", court.watering))))
                (fact("courts-lines", &say(&format!("courts-lines-{}", court.lines))))
            }
            p { a.inline href={ (address(site.id)) "/" (court.id) } {
                (say_with("courts-history", &[("court", court.name.as_str().into())]))
            } }
        }
    }
}

fn fact(key: &str, what: &str) -> Markup {
    html! { div { dt { (say(key)) } dd { (what) } } }
}

/// What the condition follows from.
fn because(show: &Shown, is: &ConditionView) -> String {
    let at = is.because_at.map(|at| show.date_time(at));
    let at = [("at", at.unwrap_or_default().into())];
    say_with(&format!("courts-because-{}", is.because), &at)
}

fn seen(show: &Shown, is: &ConditionView) -> String {
    let at = is.seen_at.map(|at| show.date_time(at));
    at.unwrap_or_else(|| say("courts-never-seen"))
}

fn resurfaced(court: &CourtRow) -> String {
    let on = court.resurfaced_on.map(date_long);
    on.unwrap_or_else(|| say("courts-resurfaced-unknown"))
}
