//! The look ahead: two weeks of due work against the hours of the people on shift.

use actix_web::{HttpResponse, web};
use maud::{Markup, html};
use serde::Deserialize;
use trade::calendar::work_date;

use super::answer;
use super::parts::frame::Frame;
use super::parts::shown;
use super::session::PageUser;
use crate::desk::Permit;
use crate::desk::access::{SeeDay, SeeSite};
use crate::desk::look_ahead::{AheadDay, AheadPart, AheadView, USUAL_DAYS, look_ahead};
use crate::desk::sites::site_read;
use crate::http::problem::Problem;
use crate::http::read::{Day, Query};
use crate::http::route::at;
use crate::http::{State, at_the_desk};
use crate::store::sites::SiteRow;
use crate::words::shown::{Shown, date_short, hours};
use crate::words::{say, say_with};

/// Titles shown of a day's work; the rest is counted.
const TITLES: usize = 6;

pub(super) fn site_routes(cfg: &mut web::ServiceConfig) {
    cfg.service(at("/ahead", "GET").route(web::get().to(read)));
}

#[derive(Clone, Copy, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct From {
    from: Option<Day>,
}

async fn read(
    office: State,
    user: PageUser,
    see_site: Permit<SeeSite>,
    permit: Permit<SeeDay>,
    Query(From { from }): Query<From>,
) -> Result<HttpResponse, Problem> {
    let now = office.clock.now();
    let (site, view) = at_the_desk(&office, move |o| {
        let site = site_read(o, &see_site)?;
        let first = from.map_or_else(|| work_date(shown(&site).zone, now), |day| day.0);
        Ok((site, look_ahead(o, &permit, first, USUAL_DAYS)?))
    })
    .await?;
    Ok(answer(page(&site, &view, &user)))
}

fn page(site: &SiteRow, view: &AheadView, user: &PageUser) -> Markup {
    let title = say("ahead-title");
    let show = shown(site);
    let short: Vec<&AheadDay> = view.days.iter().filter(|day| day.tight.is_some()).collect();
    let content = html! {
        h1 { (title) }
        p.note { (say("ahead-lead")) }
        @if short.is_empty() {
            p.ahead-well { (say("ahead-none-short")) }
        } @else {
            p.ahead-short {
                (say_with("ahead-short-days", &[("count", short.len().into())])) " "
                @for (nth, day) in short.iter().enumerate() {
                    @if nth > 0 { ", " }
                    a href={ "#day-" (day.date) } { (date_short(day.date)) }
                }
            }
        }
        ol.ahead { @for day in &view.days { (card(site, &show, day)) } }
    };
    Frame::of(&title)
        .site(site)
        .user(Some(user))
        .around(&content)
}

fn card(site: &SiteRow, show: &Shown, day: &AheadDay) -> Markup {
    let rest: usize = day.tasks.iter().skip(TITLES).map(|task| task.places).sum();
    html! {
        li.ahead-day.is-short[day.tight.is_some()] #{ "day-" (day.date) } {
            h2 { a href={ "/sites/" (site.id) "/days/" (day.date) } { (date_short(day.date)) } }
            p.ahead-sum { (sum(day)) }
            @if let Some(tight) = &day.tight {
                p.ahead-tight { (say_with("ahead-tight", &[
                    ("span", show.span(tight.from, tight.until).into()),
                    ("work", hours(tight.work_s).into()),
                    ("cover", hours(tight.cover_s).into()),
                ])) }
            }
            @if day.rostered {
                table {
                    thead { tr {
                        th scope="col" { (say("ahead-when")) }
                        th.number scope="col" { (say("ahead-work")) }
                        th.number scope="col" { (say("ahead-people")) }
                    } }
                    tbody { @for part in &day.parts { (row(part)) } }
                }
            }
            @for skill in day.skills.iter().filter(|skill| skill.work_s > skill.cover_s) {
                p.caution { (say_with("ahead-skill", &[
                    ("skill", skill.skill.as_str().into()),
                    ("work", hours(skill.work_s).into()),
                    ("cover", hours(skill.cover_s).into()),
                ])) }
            }
            ul.ahead-tasks {
                @for task in day.tasks.iter().take(TITLES) {
                    li { (say_with("ahead-task", &[
                        ("title", task.title.as_str().into()),
                        ("places", task.places.into()),
                        ("work", hours(task.work_s).into()),
                    ])) }
                }
                @if rest > 0 { li { (say_with("ahead-more", &[("count", rest.into())])) } }
                @if day.withheld > 0 {
                    li { (say_with("ahead-withheld", &[("count", day.withheld.into())])) }
                }
            }
        }
    }
}

/// The day in one line.
fn sum(day: &AheadDay) -> String {
    let values = [
        ("work", hours(day.work_s).into()),
        ("cover", hours(day.cover_s).into()),
    ];
    let key = match day {
        AheadDay { work_s: 0, .. } => "ahead-sum-nothing",
        AheadDay {
            rostered: false, ..
        } => "ahead-sum-nobody",
        _ => "ahead-sum",
    };
    say_with(key, &values)
}

fn row(part: &AheadPart) -> Markup {
    let is_short = part.cover_s.is_some_and(|cover| part.work_s > cover);
    html! {
        @if part.work_s > 0 || part.cover_s.is_some_and(|cover| cover > 0) {
            tr.is-short[is_short] {
                th scope="row" {
                    (say(&format!("ahead-part-{}", super::parts::key_part(part.part))))
                    @if is_short { " " strong { (say("ahead-part-short")) } }
                }
                td.number { (hours(part.work_s)) }
                td.number { @if let Some(cover) = part.cover_s { (hours(cover)) } }
            }
        }
    }
}
