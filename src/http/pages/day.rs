//! The rounds of a day.

mod alone;
mod decide;
mod deeds;
mod label;
pub mod order;
mod plan;
mod round;
mod seen;
mod since;
mod strip;
mod tools;
mod unfitted;
mod water;

use actix_web::{HttpResponse, web};
use chrono::{DateTime, Utc};
use maud::{Markup, html};
use trade::calendar::work_date;

use super::parts::days::other_days;
use super::parts::frame::Frame;
use super::parts::{court, shown};
use super::session::PageUser;
use super::{answer, attendance, date_of, home, replan, see_other};
use crate::desk::Permit;
use crate::desk::access::{EditCalendars, IssueDay, PlanDay, SeeAlone, SeeDay, SeeHours, SeeSite};
use crate::desk::alone::{AloneView, alone_list};
use crate::desk::calendars::changes::changes_of_date;
use crate::desk::crews::crews_of_mine;
use crate::desk::days::{DayView, day_read};
use crate::desk::orders::notes_waiting;
use crate::desk::plan_runs::rest::{ReplanView, replan_list};
use crate::desk::plan_runs::run_list;
use crate::desk::sites::site_read;
use crate::http::problem::Problem;
use crate::http::route::at;
use crate::http::{State, at_the_desk};
use crate::store::Page;
use crate::store::day_plans::runs::RunRow;
use crate::store::orders::NoteRow;
use crate::store::sites::SiteRow;
use crate::words::shown::date_long;
use crate::words::{say, say_with};

pub(super) fn site_routes(cfg: &mut web::ServiceConfig) {
    cfg.service(at("/today", "GET").route(web::get().to(today)))
        .service(at("/days/{date}", "GET").route(web::get().to(read)))
        .configure(alone::site_routes);
}

/// Goes on to the site's own day: to its rounds, or for who does not see rounds to its play.
async fn today(office: State, permit: Permit<SeeSite>) -> Result<HttpResponse, Problem> {
    let sees_rounds = Permit::<SeeDay>::of((*permit).clone()).is_ok();
    let site = at_the_desk(&office, move |o| site_read(o, &permit)).await?;
    if !sees_rounds {
        return Ok(see_other(&format!("/sites/{}/play", site.id)));
    }
    Ok(see_other(&home::day_address(&site, office.clock.now())))
}

async fn read(
    office: State,
    user: PageUser,
    see_site: Permit<SeeSite>,
    permit: Permit<SeeDay>,
    path: web::Path<(i64, String)>,
) -> Result<HttpResponse, Problem> {
    let date = date_of(&path.1)?;
    let now = office.clock.now();
    let may_issue = Permit::<IssueDay>::of((*permit).clone()).is_ok();
    let may_plan = Permit::<PlanDay>::of((*permit).clone()).ok();
    let may_decide = Permit::<EditCalendars>::of((*permit).clone()).ok();
    let may_see_alone = Permit::<SeeAlone>::of((*permit).clone()).ok();
    let (site, mut day, seen) = at_the_desk(&office, move |o| {
        let site = site_read(o, &see_site)?;
        let is_today = date == work_date(shown(&site).zone, now);
        let seen = Seen {
            user,
            mine: crews_of_mine(o, &permit, date)?,
            now,
            may_issue,
            may_plan: may_plan.is_some(),
            may_see_hours: Permit::<SeeHours>::of((*permit).clone()).is_ok(),
            replans: replan_list(o, &permit, date, None, Page::ALL)?.items,
            last_run: match &may_plan {
                Some(permit) => run_list(o, permit, date, Page::ALL)?.items.pop(),
                None => None,
            },
            alone: match &may_see_alone {
                Some(permit) if is_today => alone_list(o, permit, Some(true), Page::ALL)?.items,
                _ => Vec::new(),
            },
            notes: match Permit::<IssueDay>::of((*permit).clone()) {
                Ok(permit) => notes_waiting(o, &permit)?,
                Err(_) => Vec::new(),
            },
            calendars_ask: match &may_decide {
                Some(permit) => changes_of_date(o, permit, date)?,
                None => 0,
            },
        };
        Ok((site, day_read(o, &permit, date)?, seen))
    })
    .await?;
    day.rounds
        .sort_by_key(|round| !seen.mine.contains(&round.crew_id));
    Ok(answer(page(&site, &day, &seen)))
}

/// How soon a crew's page looks again whether the rounds changed, s.
const CREWS_LOOK_AGAIN_S: u32 = 60;

/// Who looks at the page, and when.
struct Seen {
    user: PageUser,
    /// The crews the user works in that day; their rounds stand first.
    mine: Vec<i64>,
    now: DateTime<Utc>,
    may_issue: bool,
    may_plan: bool,
    may_see_hours: bool,
    /// What changed in the plan since it was made.
    replans: Vec<ReplanView>,
    /// The last search for a plan of the day, where the user may plan.
    last_run: Option<RunRow>,
    /// Who works alone, where the user may see it and the page is of today.
    alone: Vec<AloneView>,
    /// Notes on orders that wait for whoever hands orders out.
    notes: Vec<NoteRow>,
    /// How many changes of this date calendars ask for, where the user may take or leave them.
    calendars_ask: usize,
}

/// The whole page.
fn page(site: &SiteRow, day: &DayView, seen: &Seen) -> Markup {
    let show = shown(site);
    let date = date_long(day.date);
    let title = say_with("day-title", &[("date", date.as_str().into())]);
    let is_over = day.date < work_date(show.zone, seen.now);
    let change = (seen.may_plan && !is_over).then(|| replan::address(site.id, day.date));
    let content = html! {
        (court::drawings())
        div.day-head {
            div {
                p.over { (say_with("day-at-site", &[("site", site.name.as_str().into())])) }
                h1 { time datetime=(day.date) { (date) } }
            }
            (other_days(day.date, |date| format!("/sites/{}/days/{date}", site.id)))
        }
        @if seen.may_see_hours {
            p { a.inline href=(attendance::address(site.id, day.date)) { (say("attendance-link")) } }
        }
        @if show.clocks_change(day.date) {
            p.note { (say("day-clocks-change")) }
        }
        (alone::list(site, &show, &seen.alone))
        (seen::notes(site, &show, &seen.notes))
        (decide::list(site, &show, day, seen))
        @if let Some(in_force) = &day.plan {
            (plan::state(&show, in_force, day))
            (deeds::list(site, &show, day, seen))
            @if let Some(change) = &change {
                p.deeds { a.button href=(change) { (say("deed-happened")) } }
            }
            (replan::changed(&show, &seen.replans))
            @if day.rounds.is_empty() {
                p.note { (say("day-no-rounds")) }
            }
            (strip::drawing(&show, &day.rounds, seen.now))
            @if day.rounds.len() > 1 {
                (jump(day))
            }
            div.rounds {
                @for one in &day.rounds {
                    (round::card(&show, (site, &date), one, seen.mine.contains(&one.crew_id), change.as_deref()))
                }
            }
            (seen::on_courts(site, &show, day, seen.may_issue && !is_over))
            div.below {
                (unfitted::list(&show, &day.unfitted))
                (tools::aside(&show, &day.tools_aside))
                (tools::to_change(&day.parts_to_change))
                (water::list(&show, &day.waterings))
            }
        } @else {
            (tools::to_change(&day.parts_to_change))
            div.notice {
                h2 { (say("day-no-plan-title")) }
                p { (say(if seen.may_plan { "day-no-plan-manager" } else { "day-no-plan-crew" })) }
                (deeds::list(site, &show, day, seen))
            }
            (seen::on_courts(site, &show, day, seen.may_issue && !is_over))
        }
    };
    let frame = Frame::of(&title).site(site).user(Some(&seen.user)).live();
    // Without script: who plans may be about to press something; a crew only reads, and must see what changed.
    let is_crews = !seen.may_plan && day.date == work_date(show.zone, seen.now);
    if is_crews {
        frame.again_after(CREWS_LOOK_AGAIN_S).around(&content)
    } else {
        frame.around(&content)
    }
}

/// Leads to each crew's round: on a phone they stand below each other.
fn jump(day: &DayView) -> Markup {
    html! {
        nav.jump aria-label=(say("day-jump")) {
            @for one in &day.rounds {
                a.button href={ "#" (round::anchor(one)) } { (one.crew) }
            }
        }
    }
}

#[cfg(test)]
mod tests;
