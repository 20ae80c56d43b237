//! A night's water: the sheet for the controller, what each court gets and why, and the levels of courts that are
//! watered from below.

use actix_web::{HttpResponse, web};
use chrono::NaiveDate;
use maud::{Markup, html};
use trade::calendar::work_date;

use super::parts::days::other_days;
use super::parts::deed::{Deed, button, too_late};
use super::parts::frame::Frame;
use super::parts::{key_part, shown};
use super::session::PageUser;
use super::{answer, date_of, see_other};
use crate::desk::Permit;
use crate::desk::access::{SeeSite, SeeWater, TellWater};
use crate::desk::once::Once;
use crate::desk::sites::site_read;
use crate::desk::water::{
    CourtNightView, DayWaterView, LevelToday, RunTold, WaterRunView, day_water, levels_today,
    run_told, sheet_csv,
};
use crate::http::problem::Problem;
use crate::http::route::at;
use crate::http::{State, at_the_desk};
use crate::store::Instant;
use crate::store::sites::SiteRow;
use crate::store::water::ToldBy;
use crate::words::shown::{Shown, date_long, date_short};
use crate::words::{say, say_with};

pub(super) fn site_routes(cfg: &mut web::ServiceConfig) {
    cfg.service(at("/water", "GET").route(web::get().to(today)))
        .service(at("/water/{date}", "GET").route(web::get().to(read)))
        .service(at("/water/{date}/sheet.csv", "GET").route(web::get().to(csv)))
        .service(
            at(
                "/water/{date}/runs/{run_id:[0-9]+}/{said:ran|did-not-run}",
                "POST",
            )
            .route(web::post().to(told)),
        );
}

/// Goes on to the water of the site's own day.
async fn today(office: State, permit: Permit<SeeSite>) -> Result<HttpResponse, Problem> {
    let site = at_the_desk(&office, move |o| site_read(o, &permit)).await?;
    let date = work_date(shown(&site).zone, office.clock.now());
    Ok(see_other(&address(site.id, date)))
}

async fn read(
    office: State,
    user: PageUser,
    see_site: Permit<SeeSite>,
    permit: Permit<SeeWater>,
    path: web::Path<(i64, String)>,
) -> Result<HttpResponse, Problem> {
    let date = date_of(&path.1)?;
    let now = office.now();
    let may_tell = Permit::<TellWater>::of((*permit).clone()).is_ok();
    let (site, day, levels) = at_the_desk(&office, move |o| {
        Ok((
            site_read(o, &see_site)?,
            day_water(o, &permit, date)?,
            levels_today(o, &permit, date)?,
        ))
    })
    .await?;
    Ok(answer(page(&site, &user, &day, &levels, now, may_tell)))
}

async fn csv(
    office: State,
    permit: Permit<SeeWater>,
    path: web::Path<(i64, String)>,
) -> Result<HttpResponse, Problem> {
    let date = date_of(&path.1)?;
    let text = at_the_desk(&office, move |o| sheet_csv(o, &permit, date)).await?;
    Ok(HttpResponse::Ok()
        .content_type("text/csv; charset=utf-8; header=present")
        .insert_header((
            "content-disposition",
            format!("attachment; filename=\"water-{date}.csv\""),
        ))
        .body(text))
}

/// What the opening walk says of a run.
async fn told(
    office: State,
    permit: Permit<TellWater>,
    path: web::Path<(i64, String, i64, String)>,
    deed: web::Form<Deed>,
) -> Result<HttpResponse, Problem> {
    let (site_id, date, run, said) = path.into_inner();
    let date = date_of(&date)?;
    let kept = at_the_desk(&office, move |o| {
        let told = RunTold {
            ran: said == "ran",
            real_ml: None,
            told_by: ToldBy::OpeningWalk,
        };
        let once = Once::new(deed.key(), format!("waterings/{run}/told"), &told)?;
        run_told(o, &permit, run, &told, &once)
    })
    .await;
    // A run that was withdrawn meanwhile is not on the page any more, which says so.
    too_late(kept)?;
    Ok(see_other(&address(site_id, date)))
}

fn address(site_id: i64, date: NaiveDate) -> String {
    format!("/sites/{site_id}/water/{date}")
}

fn page(
    site: &SiteRow,
    user: &PageUser,
    day: &DayWaterView,
    levels: &[LevelToday],
    now: Instant,
    may_tell: bool,
) -> Markup {
    let show = shown(site);
    let date = date_long(day.date);
    let title = say_with("water-page-title", &[("date", date.as_str().into())]);
    let content = html! {
        div.day-head {
            div {
                p.over { (say("water-page-over")) }
                h1 { time datetime=(day.date) { (date) } }
            }
            (other_days(day.date, |date| address(site.id, date)))
        }
        @if day.runs.is_empty() && day.courts.is_empty() {
            div.notice { p { (say("water-page-none")) } }
        } @else {
            p.note {
                (say("water-page-lead")) " "
                a href={ (address(site.id, day.date)) "/sheet.csv" } { (say("water-page-csv")) }
            }
            (short(&show, &day.courts))
            (runs(site, &show, day, now, may_tell))
            (nights(&show, &day.courts))
        }
        (level_list(levels))
    };
    Frame::of(&title)
        .site(site)
        .user(Some(user))
        .around(&content)
}

/// The courts that stay short, on top.
fn short(show: &Shown, courts: &[CourtNightView]) -> Markup {
    let short = || courts.iter().filter(|court| court.short_ml > 0);
    html! {
        @if short().next().is_some() {
            div.notice {
                h2 { (say("water-short-title")) }
                ul {
                    @for court in short() {
                        li {
                            (court.court) ": " (show.volume(court.short_ml)) ". "
                            (say(&format!("water-short-{}", key_part(court.short_why.as_deref().unwrap_or("line_taken")))))
                        }
                    }
                }
            }
        }
    }
}

/// The runs in order of time: what is set at the controller.
fn runs(site: &SiteRow, show: &Shown, day: &DayWaterView, now: Instant, may_tell: bool) -> Markup {
    html! {
        section.water aria-labelledby="runs" {
            h2 #runs { (say("water-runs-title")) }
            table.water-sheet {
                thead {
                    tr {
                        th scope="col" { (say("water-times")) }
                        th scope="col" { (say("water-valve")) }
                        th scope="col" { (say("water-courts")) }
                        th.number scope="col" { (say("water-minutes")) }
                        th.number scope="col" { (say("water-volume")) }
                        th scope="col" { (say("water-state")) }
                    }
                }
                tbody {
                    @for run in &day.runs {
                        tr {
                            td { (show.span(run.starts_at, run.ends_at)) }
                            th scope="row" { (run.valve) (opened(show, run)) }
                            td { (run.courts.join(", ")) (cycle(run)) }
                            td.number { (minutes(run)) }
                            td.number { (show.volume(run.real_ml.unwrap_or(run.planned_ml))) }
                            td { (state(site, day.date, run, now, may_tell)) }
                        }
                    }
                }
            }
        }
    }
}

/// Of a valve that somebody opens: who does, who closes it, and when.
fn opened(show: &Shown, run: &WaterRunView) -> Markup {
    let visits = [("opens", &run.opens), ("closes", &run.closes)];
    html! {
        @if run.opened == "by_hand" {
            br; small { (say("water-by-hand")) }
            @for (end, visit) in visits {
                @if let Some(visit) = visit {
                    br; small {
                        (say_with(&format!("water-visit-{end}"), &[
                            ("crew", visit.crew.as_str().into()),
                            ("time", show.time(visit.at).into()),
                        ]))
                    }
                }
            }
        }
    }
}

fn cycle(run: &WaterRunView) -> Markup {
    html! {
        br;
        small {
            @match run.cycle {
                Some(cycle) => (say_with("water-cycle", &[("cycle", cycle.to_string().into())])),
                None => (say("water-soak")),
            }
            @if run.again_of_id.is_some() { " · " (say("water-again")) }
        }
    }
}

/// Minutes, with seconds where they are not whole.
fn minutes(run: &WaterRunView) -> String {
    let seconds = (run.ends_at.utc() - run.starts_at.utc()).num_seconds();
    if seconds % 60 == 0 {
        return (seconds / 60).to_string();
    }
    format!("{}:{:02}", seconds / 60, seconds % 60)
}

fn state(
    site: &SiteRow,
    date: NaiveDate,
    run: &WaterRunView,
    now: Instant,
    may_tell: bool,
) -> Markup {
    let said = |word: &str| format!("{}/runs/{}/{word}", address(site.id, date), run.id);
    html! {
        (say(&format!("water-state-{}", key_part(&run.state))))
        @if may_tell && run.told_by.is_none() && run.starts_at <= now {
            div.deeds {
                (button(&said("ran"), &say("water-ran"), false))
                (button(&said("did-not-run"), &say("water-did-not-run"), false))
            }
        }
    }
}

/// What each court gets of its night, and why.
fn nights(show: &Shown, courts: &[CourtNightView]) -> Markup {
    html! {
        @if !courts.is_empty() {
            section.water aria-labelledby="nights" {
                h2 #nights { (say("water-nights-title")) }
                p { (say("water-nights-lead")) }
                table {
                    thead {
                        tr {
                            th scope="col" { (say("water-court")) }
                            th.number scope="col" { (say("water-share")) }
                            th.number scope="col" { (say("water-volume")) }
                            th scope="col" { (say("water-why")) }
                        }
                    }
                    tbody {
                        @for court in courts {
                            tr {
                                th scope="row" { (court.court) }
                                td.number { (court.permille / 10) "\u{a0}%" }
                                td.number { (show.volume(court.wanted_ml - court.short_ml)) }
                                td { ul.times { @for why in &court.why { li { (why.text) } } } }
                            }
                        }
                    }
                }
            }
        }
    }
}

fn level_list(levels: &[LevelToday]) -> Markup {
    let mm = |mm: i64| format!("{mm}\u{a0}mm");
    html! {
        @if !levels.is_empty() {
            section.water aria-labelledby="levels" {
                h2 #levels { (say("water-levels-title")) }
                p { (say("water-levels-lead")) }
                table {
                    thead {
                        tr {
                            th scope="col" { (say("water-court")) }
                            th.number scope="col" { (say("water-level-target")) }
                            th scope="col" { (say("water-level-read")) }
                            th scope="col" { (say("water-level-step")) }
                        }
                    }
                    tbody {
                        @for level in levels {
                            tr {
                                th scope="row" { (level.court) }
                                td.number { @if let Some(target) = level.target_mm { (mm(target)) } @else { "–" } }
                                td {
                                    @if let Some((on, read)) = level.reading { (mm(read)) ", " (date_short(on)) }
                                    @if level.due { " " strong { (say("water-level-due")) } }
                                }
                                td { @if let Some(step) = &level.step { (what_to_do(step)) } }
                            }
                        }
                    }
                }
            }
        }
    }
}

fn what_to_do(step: &crate::desk::water::StepView) -> String {
    let until = step.until.map(date_short).unwrap_or_default();
    say_with(
        &format!("water-step-{}", key_part(&step.step)),
        &[
            ("by", step.by_mm.unwrap_or(0).to_string().into()),
            ("until", until.into()),
        ],
    )
}
