//! Stops and holds: who is in because of lightning or heat, which courts are held, and the buttons
//! that say so.

use actix_web::http::StatusCode;
use actix_web::{HttpResponse, web};
use chrono::{DateTime, Utc};
use maud::{Markup, html};
use serde::Deserialize;

use super::parts::deed::{Deed, button, key, too_late};
use super::parts::frame::Frame;
use super::parts::{key_part, shown};
use super::session::PageUser;
use super::{answer, see_other};
use crate::desk::Permit;
use crate::desk::access::{HoldCourt, ReleaseHold, ReleaseStop, SeeSite, TellStop};
use crate::desk::courts::court_list;
use crate::desk::holds::{HoldTold, HoldView, ReleaseTold, court_hold, hold_list, hold_release};
use crate::desk::sites::site_read;
use crate::desk::stops::{StopTold, StopView, stop_end, stop_release, stop_tell};
use crate::http::problem::{Kind, Problem};
use crate::http::route::at;
use crate::http::{State, at_the_desk};
use crate::store::Page;
use crate::store::courts::CourtRow;
use crate::store::holds::{HoldFilter, HoldReason};
use crate::store::sites::SiteRow;
use crate::store::stops::StopKind;
use crate::words::shown::Shown;
use crate::words::{say, say_with};

pub(super) fn site_routes(cfg: &mut web::ServiceConfig) {
    cfg.service(at("/stops", "GET").route(web::get().to(read)))
        .service(at("/stops/lightning", "POST").route(web::post().to(lightning)))
        .service(at("/stops/heat", "POST").route(web::post().to(heat)))
        .service(at("/stops/{stop_id:[0-9]+}/release", "POST").route(web::post().to(release)))
        .service(at("/stops/{stop_id:[0-9]+}/end", "POST").route(web::post().to(end)))
        .service(at("/holds", "POST").route(web::post().to(hold)))
        .service(at("/holds/{hold_id:[0-9]+}/release", "POST").route(web::post().to(open)));
}

/// The page of a site's stops and holds.
pub fn address(site_id: i64) -> String {
    format!("/sites/{site_id}/stops")
}

async fn read(
    office: State,
    user: PageUser,
    permit: Permit<SeeSite>,
) -> Result<HttpResponse, Problem> {
    Ok(answer(page(&office, &user, permit, None).await?))
}

async fn lightning(
    office: State,
    permit: Permit<TellStop>,
    deed: web::Form<Deed>,
) -> Result<HttpResponse, Problem> {
    tell(office, permit, StopKind::Lightning, deed.key()).await
}

async fn heat(
    office: State,
    permit: Permit<TellStop>,
    deed: web::Form<Deed>,
) -> Result<HttpResponse, Problem> {
    tell(office, permit, StopKind::Heat, deed.key()).await
}

async fn tell(
    office: State,
    permit: Permit<TellStop>,
    kind: StopKind,
    key: String,
) -> Result<HttpResponse, Problem> {
    let back = address(permit.site_id());
    let told = StopTold {
        kind,
        crew_id: None,
        happened_at: None,
    };
    at_the_desk(&office, move |o| stop_tell(o, &permit, key, &told)).await?;
    Ok(see_other(&back))
}

/// Lets everybody out again. Too early, the page says from when.
async fn release(
    office: State,
    permit: Permit<ReleaseStop>,
    path: web::Path<(i64, i64)>,
    deed: web::Form<Deed>,
) -> Result<HttpResponse, Problem> {
    let (site_id, id) = path.into_inner();
    too_late(at_the_desk(&office, move |o| stop_release(o, &permit, id, deed.key())).await)?;
    Ok(see_other(&address(site_id)))
}

async fn end(
    office: State,
    permit: Permit<TellStop>,
    path: web::Path<(i64, i64)>,
    deed: web::Form<Deed>,
) -> Result<HttpResponse, Problem> {
    let (site_id, id) = path.into_inner();
    too_late(at_the_desk(&office, move |o| stop_end(o, &permit, id, deed.key())).await)?;
    Ok(see_other(&address(site_id)))
}

/// What the form of a hold sends.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct HoldForm {
    client_key: uuid::Uuid,
    court_id: i64,
    reason: HoldReason,
    note: String,
}

async fn hold(
    office: State,
    user: PageUser,
    see: Permit<SeeSite>,
    permit: Permit<HoldCourt>,
    form: web::Form<HoldForm>,
) -> Result<HttpResponse, Problem> {
    let form = form.into_inner();
    let site_id = see.site_id();
    let told = HoldTold {
        reason: form.reason,
        note: Some(form.note),
        happened_at: None,
    };
    let (court, key) = (form.court_id, form.client_key.to_string());
    match at_the_desk(&office, move |o| court_hold(o, &permit, court, key, &told)).await {
        Ok(_) => Ok(see_other(&address(site_id))),
        Err(problem) if problem.kind() == Kind::Refused => {
            let text = say("stops-hold-needs-words");
            let mut again = answer(page(&office, &user, see, Some(&text)).await?);
            *again.status_mut() = StatusCode::UNPROCESSABLE_ENTITY;
            Ok(again)
        }
        Err(problem) => Err(problem),
    }
}

async fn open(
    office: State,
    permit: Permit<ReleaseHold>,
    path: web::Path<(i64, i64)>,
    deed: web::Form<Deed>,
) -> Result<HttpResponse, Problem> {
    let (site_id, id) = path.into_inner();
    let told = ReleaseTold { note: None };
    let released = at_the_desk(&office, move |o| {
        hold_release(o, &permit, id, deed.key(), &told)
    });
    too_late(released.await)?;
    Ok(see_other(&address(site_id)))
}

/// What the reader may do.
struct May {
    tell: bool,
    release: bool,
    open: bool,
}

async fn page(
    office: &State,
    user: &PageUser,
    permit: Permit<SeeSite>,
    wrong: Option<&str>,
) -> Result<Markup, Problem> {
    let scope = (*permit).clone();
    let may = May {
        tell: Permit::<TellStop>::of(scope.clone()).is_ok(),
        release: Permit::<ReleaseStop>::of(scope.clone()).is_ok(),
        open: Permit::<ReleaseHold>::of(scope.clone()).is_ok(),
    };
    let may_hold = Permit::<HoldCourt>::of(scope).is_ok();
    let (site, courts, holds) = at_the_desk(office, move |o| {
        let on = HoldFilter {
            on: Some(true),
            ..HoldFilter::default()
        };
        Ok((
            site_read(o, &permit)?,
            court_list(o, &permit, Page::ALL)?.items,
            hold_list(o, &permit, on, Page::ALL)?.items,
        ))
    })
    .await?;
    let show = shown(&site);
    let now = office.clock.now();
    let title = say("stops-title");
    let content = html! {
        h1 { (title) }
        @if let Some(text) = wrong {
            p.wrong role="alert" { (text) }
        }
        (stops(&site, &show, &user.stops, &may, now))
        (held(&site, &show, &holds, &may))
        @if may_hold {
            (hold_form(&site, &courts))
        }
    };
    Ok(Frame::of(&title)
        .site(&site)
        .user(Some(user))
        .around(&content))
}

fn stops(site: &SiteRow, show: &Shown, on: &[StopView], may: &May, now: DateTime<Utc>) -> Markup {
    let here = address(site.id);
    html! {
        section.stops aria-labelledby="stops" {
            h2 #stops { (say("stops-now")) }
            @if on.is_empty() {
                p { (say("stops-none")) }
            }
            @for stop in on {
                div.stop {
                    @match (stop.kind, stop.release_from) {
                        (StopKind::Lightning, Some(from)) => {
                            p { (say_with("stops-lightning-since", &[
                                ("since", show.time(stop.told_at).into()),
                                ("last", show.time(stop.last_thunder_at.unwrap_or(stop.told_at)).into()),
                            ])) }
                            @if from.utc() > now {
                                p { strong { (say_with("stops-not-before", &[("time", show.time(from).into())])) } }
                            } @else if may.release {
                                (button(&format!("{here}/{}/release", stop.id), &say("stops-release"), true))
                            } @else {
                                p { (say("stops-waits-for-lead")) }
                            }
                        }
                        _ => {
                            p { (heat_words(show, stop)) }
                            @if may.tell {
                                (button(&format!("{here}/{}/end", stop.id), &say("stops-heat-end"), false))
                            }
                        }
                    }
                }
            }
            @if may.tell {
                div.deeds {
                    (button(&format!("{here}/lightning"), &say("stops-tell-lightning"), true))
                    (button(&format!("{here}/heat"), &say("stops-tell-heat"), false))
                }
            }
            p.note { (say("stops-advice")) }
        }
    }
}

/// Who stopped for heat, and since when: nobody is named.
pub fn heat_words(show: &Shown, stop: &StopView) -> String {
    let since = ("since", show.time(stop.told_at).into());
    match &stop.crew {
        Some(crew) => say_with("stops-heat-crew", &[since, ("crew", crew.as_str().into())]),
        None => say_with("stops-heat-site", &[since]),
    }
}

fn held(site: &SiteRow, show: &Shown, holds: &[HoldView], may: &May) -> Markup {
    html! {
        section.stops aria-labelledby="held" {
            h2 #held { (say("holds-title")) }
            @if holds.is_empty() {
                p { (say("holds-none")) }
            }
            @for hold in holds {
                div.stop {
                    p { strong { (hold.court) } ": " (why(hold)) }
                    p { (say_with("holds-since", &[
                        ("since", show.time(hold.held_at).into()),
                        ("name", hold.held_by.as_str().into()),
                    ])) }
                    @if may.open {
                        (button(
                            &format!("/sites/{}/holds/{}/release", site.id, hold.id),
                            &say_with("holds-release", &[("court", hold.court.as_str().into())]),
                            false,
                        ))
                    }
                }
            }
        }
    }
}

/// Why a court is held, in plain words.
pub fn why(hold: &HoldView) -> String {
    why_held(hold.reason, hold.note.as_deref())
}

/// The same of a reason and what was said with it.
pub fn why_held(reason: HoldReason, note: Option<&str>) -> String {
    let picked = || say(&format!("hold-{}", key_part(reason.as_str())));
    match (note, reason) {
        (Some(note), HoldReason::Other) => note.to_owned(),
        (Some(note), _) => format!("{} ({note})", picked()),
        (None, _) => picked(),
    }
}

fn hold_form(site: &SiteRow, courts: &[CourtRow]) -> Markup {
    html! {
        section.stops aria-labelledby="hold" {
            h2 #hold { (say("holds-hold-title")) }
            form.hold method="post" action={ "/sites/" (site.id) "/holds" } {
                (key())
                label for="court" { (say("holds-court")) }
                select #court name="court_id" required {
                    @for court in courts { option value=(court.id) { (court.name) } }
                }
                label for="reason" { (say("holds-reason")) }
                select #reason name="reason" required {
                    @for reason in HoldReason::ALL {
                        option value=(reason) { (say(&format!("hold-{}", key_part(reason.as_str())))) }
                    }
                }
                label for="note" { (say("holds-note")) }
                input #note type="text" name="note" maxlength="500";
                button.button.strong type="submit" { (say("holds-hold")) }
            }
        }
    }
}
