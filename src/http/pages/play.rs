//! Play of a date: who plays where, which courts are shut, and the forms that set, call off and end it.

mod forms;
mod told;

use actix_web::http::StatusCode;
use actix_web::{HttpResponse, web};
use chrono::NaiveDate;
use maud::{Markup, html};
use trade::calendar::work_date;

use super::parts::days::other_days;
use super::parts::deed::button;
use super::parts::frame::Frame;
use super::parts::shown;
use super::session::PageUser;
use super::{answer, date_of, see_other};
use crate::desk::Permit;
use crate::desk::access::{EditPlay, SeePlay, SeeSite, TellPlayOver};
use crate::desk::courts::court_list;
use crate::desk::play::tournament::{Tournament, tournament_read};
use crate::desk::play::{PlayDays, closure_list, session_list};
use crate::desk::sites::site_read;
use crate::http::problem::Problem;
use crate::http::route::at;
use crate::http::{State, at_the_desk};
use crate::store::courts::CourtRow;
use crate::store::play::{ClosureRow, SessionRow};
use crate::store::sites::SiteRow;
use crate::store::{Instant, Page};
use crate::words::shown::{Shown, date_long};
use crate::words::{say, say_with};

pub(super) fn site_routes(cfg: &mut web::ServiceConfig) {
    cfg.service(at("/play", "GET").route(web::get().to(today)))
        .service(at("/play/{date}", "GET").route(web::get().to(read)))
        .configure(told::site_routes);
}

/// The page of a site's play on a date.
pub fn address(site_id: i64, date: NaiveDate) -> String {
    format!("/sites/{site_id}/play/{date}")
}

/// Goes on to the play of the site's own day.
async fn today(office: State, permit: Permit<SeeSite>) -> Result<HttpResponse, Problem> {
    let site = at_the_desk(&office, move |o| site_read(o, &permit)).await?;
    let date = work_date(shown(&site).zone, office.clock.now());
    Ok(see_other(&address(site.id, date)))
}

async fn read(
    office: State,
    user: PageUser,
    see_site: Permit<SeeSite>,
    permit: Permit<SeePlay>,
    path: web::Path<(i64, String)>,
) -> Result<HttpResponse, Problem> {
    let date = date_of(&path.1)?;
    Ok(answer(
        page(&office, &user, see_site, permit, date, &[]).await?,
    ))
}

/// The page again, with what was wrong in a form on top.
async fn refused(
    office: &State,
    user: &PageUser,
    see: (Permit<SeeSite>, Permit<SeePlay>),
    date: NaiveDate,
    wrong: &[String],
) -> Result<HttpResponse, Problem> {
    let mut again = answer(page(office, user, see.0, see.1, date, wrong).await?);
    *again.status_mut() = StatusCode::UNPROCESSABLE_ENTITY;
    Ok(again)
}

/// What the page shows of a date.
struct Day {
    site: SiteRow,
    date: NaiveDate,
    courts: Vec<CourtRow>,
    sessions: Vec<SessionRow>,
    closures: Vec<ClosureRow>,
    tournament: Tournament,
    now: Instant,
    may_edit: bool,
    may_tell_over: bool,
}

async fn page(
    office: &State,
    user: &PageUser,
    see_site: Permit<SeeSite>,
    permit: Permit<SeePlay>,
    date: NaiveDate,
    wrong: &[String],
) -> Result<Markup, Problem> {
    let scope = (*permit).clone();
    let now = office.now();
    let day = at_the_desk(office, move |o| {
        let days = PlayDays {
            from: Some(date),
            to: Some(date),
            court_id: None,
        };
        let mut courts = court_list(o, &see_site, Page::ALL)?.items;
        courts.sort_by_key(|court| (court.position, court.id));
        Ok(Day {
            site: site_read(o, &see_site)?,
            date,
            courts,
            sessions: session_list(o, &permit, days, Page::ALL)?.items,
            closures: closure_list(o, &permit, days, Page::ALL)?.items,
            tournament: tournament_read(o, &permit, date)?,
            now,
            may_edit: Permit::<EditPlay>::of(scope.clone()).is_ok(),
            may_tell_over: Permit::<TellPlayOver>::of(scope).is_ok(),
        })
    })
    .await?;
    let show = shown(&day.site);
    let said = date_long(date);
    let title = say_with("play-title", &[("date", said.as_str().into())]);
    let content = html! {
        div.day-head {
            div {
                p.over { (say("play-over-title")) }
                h1 { time datetime=(date) { (said) } }
            }
            (other_days(date, |date| address(day.site.id, date)))
        }
        @if !wrong.is_empty() {
            div.wrong role="alert" {
                p { (say("play-not-taken")) }
                ul { @for text in wrong { li { (text) } } }
            }
        }
        @if show.clocks_change(date) {
            p.note { (say("day-clocks-change")) }
        }
        @if day.may_edit {
            nav.jump { a.button href="#forms" { (say("play-to-forms")) } }
        }
        (courts(&show, &day))
        @if day.may_edit {
            (forms::all(&day))
        }
    };
    Ok(Frame::of(&title)
        .site(&day.site)
        .user(Some(user))
        .around(&content))
}

/// Court by court, in the site's own order.
fn courts(show: &Shown, day: &Day) -> Markup {
    html! {
        ul.play-courts {
            @for court in &day.courts {
                li.play-court {
                    h2 { (court.name) }
                    (of_court(show, day, court.id))
                }
            }
        }
    }
}

fn of_court(show: &Shown, day: &Day, court: i64) -> Markup {
    let closures = || {
        day.closures
            .iter()
            .filter(|one| one.court_id == court && one.cancelled_at.is_none())
    };
    let mut sessions: Vec<_> = day
        .sessions
        .iter()
        .filter(|one| one.court_id == court)
        .collect();
    sessions.sort_by_key(|one| (one.starts_at, one.id));
    html! {
        @if sessions.is_empty() && closures().next().is_none() {
            p.play-free { (say("play-free")) }
        }
        ul.play-list {
            @for closure in closures() {
                li.play-shut {
                    p { strong { (say_with("play-shut", &[("reason", closure.reason.as_str().into())])) } }
                    p { (span(show, day.date, closure.starts_at, closure.ends_at)) }
                    @if day.may_edit {
                        (button(
                            &format!("{}/closures/{}/cancel", address(day.site.id, day.date), closure.id),
                            &say("play-open-again"),
                            false,
                        ))
                    }
                }
            }
            @for session in sessions {
                (one_session(show, day, session))
            }
        }
    }
}

fn one_session(show: &Shown, day: &Day, session: &SessionRow) -> Markup {
    let here = address(day.site.id, day.date);
    let is_off = session.cancelled_at.is_some();
    let is_over = session.over_at.is_some();
    let began = session.starts_at <= day.now;
    // Of a session with a fixed end that has passed nobody need say that it is over.
    let waits_for_word = session.open_ended || day.now < session.ends_at;
    html! {
        li.play-session.is-off[is_off] {
            p { strong { (session.name) } }
            p { (span(show, day.date, session.starts_at, session.end())) }
            p.play-state {
                @if is_off {
                    (say("play-called-off"))
                } @else if let Some(over) = session.over_at {
                    (say_with("play-was-over", &[("time", show.time(over).into())]))
                } @else {
                    @if session.open_ended { (say("play-open-ended")) " " }
                    (say(match (session.players_brush, session.short_turnaround) {
                        (true, _) => "play-players-brush",
                        (_, true) => "play-short",
                        (_, false) => "play-full",
                    }))
                }
            }
            @if !is_off && !is_over {
                @if day.may_tell_over && began && waits_for_word {
                    (button(&format!("{here}/sessions/{}/over", session.id), &say("play-tell-over"), true))
                }
                @if day.may_edit && day.now < session.ends_at {
                    (button(&format!("{here}/sessions/{}/cancel", session.id), &say("play-call-off"), false))
                }
            }
        }
    }
}

/// From when to when; with the date where it is not of this one.
fn span(show: &Shown, date: NaiveDate, from: Instant, until: Instant) -> String {
    let on = |at: Instant| work_date(show.zone, at.utc());
    if on(from) == date && on(until) == date {
        return show.span(from, until);
    }
    say_with(
        "play-span",
        &[
            ("from", show.date_time(from).into()),
            ("until", show.date_time(until).into()),
        ],
    )
}
