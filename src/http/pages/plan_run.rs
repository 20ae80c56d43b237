//! Planning a day: asking for a plan, watching the search, taking what it found, and handing the
//! orders out.

use actix_web::http::StatusCode;
use actix_web::{HttpResponse, web};
use chrono::NaiveDate;
use maud::{Markup, html};

use super::parts::deed::{Deed, button, too_late};
use super::parts::frame::Frame;
use super::parts::{how_good, shown};
use super::session::PageUser;
use super::{answer, date_of, see_other};
use crate::desk::Permit;
use crate::desk::access::{IssueDay, PlanDay, SeeSite};
use crate::desk::days::day_issue;
use crate::desk::once::Once;
use crate::desk::plan_runs::{RunAsk, run_ask, run_read, run_stop, run_take};
use crate::desk::sites::site_read;
use crate::http::problem::Problem;
use crate::http::route::at;
use crate::http::{State, at_the_desk};
use crate::store::day_plans::runs::{RunRow, RunState};
use crate::store::sites::SiteRow;
use crate::words::shown::date_long;
use crate::words::{say, say_with};

/// How long a plan asked for on the pages is searched for, s. After that little is gained.
const SEARCH_S: i64 = 10;
/// How often the page of a search under way is fetched again, s.
const AGAIN_S: u32 = 2;

pub(super) fn site_routes(cfg: &mut web::ServiceConfig) {
    cfg.service(at("/days/{date}/plan-runs", "POST").route(web::post().to(ask)))
        .service(at("/days/{date}/issue", "POST").route(web::post().to(issue)))
        .service(at("/plan-runs/{run_id:[0-9]+}", "GET").route(web::get().to(read)))
        .service(at("/plan-runs/{run_id:[0-9]+}/stop", "POST").route(web::post().to(stop)))
        .service(at("/plan-runs/{run_id:[0-9]+}/take", "POST").route(web::post().to(take)));
}

/// Asks for a plan and goes on to its search.
async fn ask(
    office: State,
    user: PageUser,
    permit: Permit<PlanDay>,
    path: web::Path<(i64, String)>,
    deed: web::Form<Deed>,
) -> Result<HttpResponse, Problem> {
    let (site_id, date) = (path.0, date_of(&path.1)?);
    let shared = office.clone().into_inner();
    let asked = at_the_desk(&office, move |_| {
        let ask = RunAsk {
            seconds: SEARCH_S,
            seed: 1,
        };
        let once = Once::new(deed.key(), format!("days/{date}/plan-runs"), &ask)?;
        run_ask(&shared, &permit, date, &ask, &once)
    })
    .await;
    Ok(match too_late(asked)? {
        Some(run) => see_other(&run_address(site_id, run.id)),
        None => not_done(&user, "plan-run-not-begun", &day_address(site_id, date)),
    })
}

/// A search, as far as it is; its page is fetched again until it has ended.
async fn read(
    office: State,
    user: PageUser,
    see_site: Permit<SeeSite>,
    permit: Permit<PlanDay>,
    path: web::Path<(i64, i64)>,
) -> Result<HttpResponse, Problem> {
    let run_id = path.1;
    let (site, run) = at_the_desk(&office, move |o| {
        Ok((site_read(o, &see_site)?, run_read(o, &permit, run_id)?))
    })
    .await?;
    Ok(answer(page(&site, &user, &run)))
}

/// Ends a search early, with the best plan it has.
async fn stop(
    office: State,
    permit: Permit<PlanDay>,
    path: web::Path<(i64, i64)>,
    deed: web::Form<Deed>,
) -> Result<HttpResponse, Problem> {
    let (site_id, run_id) = path.into_inner();
    let stopped = at_the_desk(&office, move |o| {
        let once = Once::new(deed.key(), format!("plan-runs/{run_id}/stop"), &())?;
        run_stop(o, &permit, run_id, &once)
    })
    .await;
    // One that has ended by itself shows what was wanted.
    too_late(stopped)?;
    Ok(see_other(&run_address(site_id, run_id)))
}

/// Takes the plan and goes on to the day.
async fn take(
    office: State,
    user: PageUser,
    permit: Permit<PlanDay>,
    path: web::Path<(i64, i64)>,
    deed: web::Form<Deed>,
) -> Result<HttpResponse, Problem> {
    let (site_id, run_id) = path.into_inner();
    let taken = at_the_desk(&office, move |o| {
        let once = Once::new(deed.key(), format!("plan-runs/{run_id}/take"), &())?;
        run_take(o, &permit, run_id, &once)
    })
    .await;
    Ok(match too_late(taken)? {
        Some(run) => see_other(&day_address(site_id, run.work_date)),
        None => not_done(&user, "plan-run-not-taken", &run_address(site_id, run_id)),
    })
}

/// Hands the orders out.
async fn issue(
    office: State,
    user: PageUser,
    permit: Permit<IssueDay>,
    path: web::Path<(i64, String)>,
    deed: web::Form<Deed>,
) -> Result<HttpResponse, Problem> {
    let (site_id, date) = (path.0, date_of(&path.1)?);
    let issued = at_the_desk(&office, move |o| {
        let once = Once::new(deed.key(), format!("days/{date}/issue"), &())?;
        day_issue(o, &permit, date, &once)
    })
    .await;
    let day = day_address(site_id, date);
    Ok(match too_late(issued)? {
        Some(_) => see_other(&day),
        None => not_done(&user, "plan-run-not-issued", &day),
    })
}

/// The page of a search.
pub(super) fn run_address(site_id: i64, run_id: i64) -> String {
    format!("/sites/{site_id}/plan-runs/{run_id}")
}

fn day_address(site_id: i64, date: NaiveDate) -> String {
    format!("/sites/{site_id}/days/{date}")
}

/// Says why a deed was not done, and leads back.
fn not_done(user: &PageUser, key: &str, back: &str) -> HttpResponse {
    let title = say(&format!("{key}-title"));
    let content = html! {
        div.notice {
            h1 { (title) }
            p { (say(&format!("{key}-text"))) }
            p { a.button href=(back) { (say("plan-run-back")) } }
        }
    };
    let mut page = answer(Frame::of(&title).user(Some(user)).around(&content));
    *page.status_mut() = StatusCode::CONFLICT;
    page
}

fn page(site: &SiteRow, user: &PageUser, run: &RunRow) -> Markup {
    let date = date_long(run.work_date);
    let title = say_with("plan-run-title", &[("date", date.as_str().into())]);
    let under_way = matches!(run.state, RunState::Waiting | RunState::Running);
    let content = html! {
        div.notice {
            h1 { (title) }
            (standing(site, run))
            div.deeds { (deeds(site.id, run)) }
        }
    };
    let frame = Frame::of(&title).site(site).user(Some(user));
    if under_way {
        frame.again_after(AGAIN_S).around(&content)
    } else {
        frame.around(&content)
    }
}

fn standing(site: &SiteRow, run: &RunRow) -> Markup {
    let show = shown(site);
    let cost = run.cost_cents.map(|cents| show.money(cents));
    let state = run.state.as_str();
    html! {
        p.standing role="status" { (say(&format!("plan-run-{state}"))) }
        @match (run.state, cost) {
            (RunState::Waiting | RunState::Running, Some(cost)) => {
                p { (say_with("plan-run-so-far", &[("cost", cost.into())])) }
            }
            (RunState::Ready | RunState::Taken, Some(cost)) => {
                p.big { (say_with("plan-run-costs", &[("cost", cost.into())])) }
                @if let (Some(cost), Some(least)) = (run.cost_cents, run.lower_bound_cents)
                    && let Some(text) = how_good(&show, cost, least) {
                    p { (text) }
                }
            }
            _ => {}
        }
    }
}

fn deeds(site_id: i64, run: &RunRow) -> Markup {
    let run_at = run_address(site_id, run.id);
    let day_at = day_address(site_id, run.work_date);
    html! {
        @match run.state {
            RunState::Waiting | RunState::Running => {
                @if !run.stop_asked {
                    (button(&format!("{run_at}/stop"), &say("plan-run-stop"), false))
                }
            }
            RunState::Ready => {
                (button(&format!("{run_at}/take"), &say("plan-run-take"), true))
            }
            RunState::Refused | RunState::Failed => {
                (button(&format!("{day_at}/plan-runs"), &say("plan-run-again"), true))
            }
            RunState::Taken => {}
        }
        a.button href=(day_at) { (say("plan-run-back")) }
    }
}
