//! What happened in a day, and what somebody decides about it: told in a form, then shown what would change and what
//! that costs, then taken.

mod form;
mod forms;
mod told;

use actix_web::http::StatusCode;
use actix_web::{HttpResponse, web};
use chrono::NaiveDate;
use maud::{Markup, html};
use serde::Deserialize;

use super::parts::deed::key;
use super::parts::frame::Frame;
use super::parts::shown;
use super::session::PageUser;
use super::{answer, date_of, see_other};
use crate::desk::Permit;
use crate::desk::access::{PlanDay, SeeDay, SeeSite};
use crate::desk::days::day_read;
use crate::desk::once::Once;
use crate::desk::plan_runs::rest::asked::{ReplanAsk, Replanned};
use crate::desk::plan_runs::rest::choices::choices;
use crate::desk::plan_runs::rest::replan;
use crate::desk::sites::site_read;
use crate::http::problem::{Kind, Problem};
use crate::http::route::at;
use crate::http::{State, at_the_desk};
use crate::store::sites::SiteRow;
use crate::words::{say, say_with};
use form::Told;
pub(super) use told::changed;

pub(super) fn site_routes(cfg: &mut web::ServiceConfig) {
    cfg.service(
        at("/days/{date}/change", "GET, POST")
            .route(web::get().to(read))
            .route(web::post().to(tried)),
    )
    .service(at("/days/{date}/change/take", "POST").route(web::post().to(take)));
}

/// The page on which somebody tells what happened on a date.
pub(super) fn address(site_id: i64, date: NaiveDate) -> String {
    format!("/sites/{site_id}/days/{date}/change")
}

fn day_address(site_id: i64, date: NaiveDate) -> String {
    format!("/sites/{site_id}/days/{date}")
}

/// About which order the page is asked.
#[derive(Deserialize)]
struct About {
    order: Option<i64>,
}

async fn read(
    office: State,
    user: PageUser,
    see_site: Permit<SeeSite>,
    see_day: Permit<SeeDay>,
    permit: Permit<PlanDay>,
    path: web::Path<(i64, String)>,
    about: web::Query<About>,
) -> Result<HttpResponse, Problem> {
    let date = date_of(&path.1)?;
    let (site, day, choices) = at_the_desk(&office, move |o| {
        Ok((
            site_read(o, &see_site)?,
            day_read(o, &see_day, date)?,
            choices(o, &permit, date)?,
        ))
    })
    .await?;
    Ok(answer(forms::page(
        &site,
        &user,
        &day,
        &choices,
        about.order,
    )))
}

/// Tries what was told, and shows what would change.
async fn tried(
    office: State,
    user: PageUser,
    see_site: Permit<SeeSite>,
    permit: Permit<PlanDay>,
    path: web::Path<(i64, String)>,
    form: web::Form<Told>,
) -> Result<HttpResponse, Problem> {
    let date = date_of(&path.1)?;
    let told = form.into_inner();
    let site = at_the_desk(&office, move |o| site_read(o, &see_site)).await?;
    let show = shown(&site);
    let ask = match told.ask(show.zone, date) {
        Ok(ask) => ask,
        Err(key) => return Ok(refused(&site, &user, date, &say(key))),
    };
    let of_trial = ask.clone();
    let trial = at_the_desk(&office, move |o| {
        let key = uuid::Uuid::new_v4().to_string();
        let once = Once::new(key, format!("days/{date}/replan"), &of_trial)?;
        replan(o, &permit, date, &of_trial, &once)
    })
    .await;
    Ok(match trial {
        Ok(trial) => answer(trial_page(&site, &user, ask, &trial)?),
        Err(problem) => refused_by_the_desk(&site, &user, date, problem)?,
    })
}

/// What the form of a trial sends to take it.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Taken {
    client_key: uuid::Uuid,
    ask: String,
}

async fn take(
    office: State,
    user: PageUser,
    see_site: Permit<SeeSite>,
    permit: Permit<PlanDay>,
    path: web::Path<(i64, String)>,
    form: web::Form<Taken>,
) -> Result<HttpResponse, Problem> {
    let date = date_of(&path.1)?;
    let form = form.into_inner();
    let ask: ReplanAsk = serde_json::from_str(&form.ask)
        .map_err(|e| Problem::new(Kind::Unreadable, e.to_string()))?;
    let (site, taken) = at_the_desk(&office, move |o| {
        let site = site_read(o, &see_site)?;
        let once = Once::new(
            form.client_key.to_string(),
            format!("days/{date}/replan"),
            &ask,
        )?;
        Ok((site, replan(o, &permit, date, &ask, &once)))
    })
    .await?;
    match taken.map_err(Problem::from) {
        Ok(_) => Ok(see_other(&day_address(site.id, date))),
        Err(problem) => refused_by_the_desk(&site, &user, date, problem),
    }
}

fn trial_page(
    site: &SiteRow,
    user: &PageUser,
    ask: ReplanAsk,
    trial: &Replanned,
) -> Result<Markup, Problem> {
    let ask = ReplanAsk {
        take: true,
        shown: Some(trial.shown.clone()),
        ..ask
    };
    let ask =
        serde_json::to_string(&ask).map_err(|e| Problem::new(Kind::Unreadable, e.to_string()))?;
    let title = say("replan-trial-title");
    let here = address(site.id, trial.date);
    let content = html! {
        section.stops {
            h1 { (title) }
            (told::trial(&shown(site), trial))
            div.deeds {
                form method="post" action={ (here) "/take" } {
                    (key())
                    input type="hidden" name="ask" value=(ask);
                    button.button.strong type="submit" { (say("replan-take")) }
                }
                a.button href=(day_address(site.id, trial.date)) { (say("replan-leave")) }
            }
        }
    };
    Ok(Frame::of(&title)
        .site(site)
        .user(Some(user))
        .around(&content))
}

/// What the desk refused, in its own words: it names what stands against it.
fn refused_by_the_desk(
    site: &SiteRow,
    user: &PageUser,
    date: NaiveDate,
    problem: Problem,
) -> Result<HttpResponse, Problem> {
    match problem.kind() {
        Kind::Refused | Kind::State | Kind::Stale => {
            Ok(refused(site, user, date, &problem.in_words()))
        }
        _ => Err(problem),
    }
}

fn refused(site: &SiteRow, user: &PageUser, date: NaiveDate, why: &str) -> HttpResponse {
    let title = say("replan-refused-title");
    let content = html! {
        div.notice {
            h1 { (title) }
            p role="alert" { (say_with("replan-refused", &[("why", why.into())])) }
            div.deeds {
                a.button href=(address(site.id, date)) { (say("replan-again")) }
                a.button href=(day_address(site.id, date)) { (say("plan-run-back")) }
            }
        }
    };
    let frame = Frame::of(&title).site(site).user(Some(user));
    let mut page = answer(frame.around(&content));
    *page.status_mut() = StatusCode::UNPROCESSABLE_ENTITY;
    page
}
