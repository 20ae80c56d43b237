//! How tools wear: the measured parts by urgency, each with a chart; readings that are doubted; one part's whole life; and what
//! is to come.

mod by_eye;
mod change;
mod chart;
mod measure;
mod one;
mod outlook;
mod supplies;

use actix_web::{HttpResponse, web};
use maud::{Markup, html};
use trade::units::Micrometres;
use trade::wear::{Verdict, When};

use super::answer;
use super::parts::frame::Frame;
use super::parts::{key_part, shown};
use super::session::PageUser;
use crate::desk::Permit;
use crate::desk::access::{JudgeReading, SeeSite, SeeTools};
use crate::desk::sites::site_read;
use crate::desk::wear::{PartByEye, WearNow, WearView, WearWhole, parts_by_eye, wear_now};
use crate::http::problem::Problem;
use crate::http::route::at;
use crate::http::{State, at_the_desk};
use crate::store::sites::SiteRow;
use crate::words::shown::{Shown, date_short};
use crate::words::{say, say_with};

/// Charts on the list: what is further down is not urgent, and a page stays light.
const CHARTS: usize = 24;

pub(super) fn site_routes(cfg: &mut web::ServiceConfig) {
    cfg.service(at("/wear", "GET").route(web::get().to(read)))
        .configure(one::site_routes)
        .configure(change::site_routes)
        .configure(measure::site_routes)
        .configure(outlook::site_routes)
        .configure(supplies::site_routes);
}

/// The page of a site's wear.
pub fn address(site_id: i64) -> String {
    format!("/sites/{site_id}/wear")
}

/// The page of a part.
pub fn address_of(site_id: i64, part: i64) -> String {
    format!("/sites/{site_id}/wear/{part}")
}

async fn read(
    office: State,
    user: PageUser,
    see: Permit<SeeSite>,
    permit: Permit<SeeTools>,
) -> Result<HttpResponse, Problem> {
    let may_judge = Permit::<JudgeReading>::of((*permit).clone()).is_ok();
    let (site, now, by_eye) = at_the_desk(&office, move |o| {
        let by_eye = parts_by_eye(o, &permit)?;
        Ok((site_read(o, &see)?, wear_now(o, &permit)?, by_eye))
    })
    .await?;
    Ok(answer(page(&site, &user, (&now, &by_eye), may_judge)))
}

fn page(
    site: &SiteRow,
    user: &PageUser,
    (now, by_eye): (&WearNow, &[PartByEye]),
    may_judge: bool,
) -> Markup {
    let show = shown(site);
    let title = say("wear-title");
    let content = html! {
        h1 { (title) }
        p { (say("wear-lead")) }
        p { a.inline href=(outlook::address_ahead(site.id)) { (say("ahead-parts-link")) } }
        p { a.inline href=(super::nets::address(site.id)) { (say("nets-link")) } }
        (doubted(site, &show, now, may_judge))
        @if now.parts.is_empty() { p.note { (say("wear-none")) } }
        ol.wear-list {
            @for (place, part) in now.parts.iter().enumerate() {
                (card(site, &show, part, place < CHARTS))
            }
        }
        (by_eye::all(site, &show, by_eye))
    };
    Frame::of(&title)
        .site(site)
        .user(Some(user))
        .around(&content)
}

fn doubted(site: &SiteRow, show: &Shown, now: &WearNow, may_judge: bool) -> Markup {
    html! {
        @if !now.doubted.is_empty() {
            section.stops aria-labelledby="doubted" {
                h2 #doubted { (say("wear-doubted")) }
                p { (say("wear-doubted-lead")) }
                @for reading in &now.doubted {
                    div.stop {
                        p {
                            strong { (reading.tool) } " · " (length(show, reading.length_um)) " · " (date_short(reading.measured_on))
                            @if let Some(doubt) = &reading.doubt {
                                ": " (say(&format!("wear-doubt-{}", key_part(doubt.0.as_str()))))
                            }
                        }
                        @if may_judge { (one::verdicts(site.id, reading.id, true)) }
                    }
                }
            }
        }
    }
}

fn card(site: &SiteRow, show: &Shown, part: &WearWhole, with_chart: bool) -> Markup {
    let wear = &part.wear;
    html! {
        li.wear-part.is-worn[wear.is_worn_out] {
            div {
                h2 { a.inline href=(address_of(site.id, wear.part.id)) { (wear.tool) " · " (wear.class) } }
                p { strong { (when(show, wear)) } }
                p { (how_long(show, wear)) }
                (advice(show, wear))
                p.hint { (say_with("wear-readings", &[("count", wear.readings.into()), ("used", far(show, wear.used_m).into())])) }
            }
            @if with_chart { (chart::drawing(show, part, chart::Size::Small)) }
        }
    }
}

/// What is to be done about it, where something is.
fn advice(show: &Shown, wear: &WearView) -> Markup {
    let by = |um: i64| [("by", length(show, um).into())];
    html! {
        @if let Some(change) = wear.change.filter(|change| change.when != When::AtLimit && !wear.is_worn_out) {
            p.caution[change.is_due] {
                (say_with(
                    &format!("wear-change-{}", key_part(change.when.as_str())),
                    &[
                        ("saving", show.money(change.saving_cents).into()),
                        ("on", change.on.map(date_short).unwrap_or_default().into()),
                    ],
                ))
            }
        }
        @match wear.across {
            Some(across) if across.verdict == Verdict::TurnEndForEnd => p.caution { (say_with("wear-turn", &by(across.ends_differ_um))) },
            Some(across) if across.verdict == Verdict::Uneven => p.caution { (say_with("wear-uneven", &by(across.uneven_um))) },
            _ => {}
        }
    }
}

/// When it will be worn out, in plain words.
fn when(show: &Shown, wear: &WearView) -> String {
    wear.gives_out().in_words(show)
}

fn how_long(show: &Shown, wear: &WearView) -> String {
    say_with(
        "wear-length",
        &[
            ("length", length(show, wear.length_um).into()),
            ("limit", length(show, wear.worn_out_at_um).into()),
        ],
    )
}

fn length(show: &Shown, um: i64) -> String {
    Micrometres(um).show(show.units)
}

/// How far, in kilometres or miles.
fn far(show: &Shown, metres: i64) -> String {
    show.distance(metres)
}
