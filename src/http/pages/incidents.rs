//! Incidents and near misses: what to do first, the form that tells one, and for managers which there are and who is named
//! to read of them.

mod form;
mod one;
mod readers;

use actix_web::http::StatusCode;
use actix_web::{HttpResponse, web};
use maud::{Markup, html};

use super::parts::deed::{Deed, button};
use super::parts::frame::Frame;
use super::parts::{key_part, shown};
use super::session::PageUser;
use super::{answer, see_other};
use crate::desk::Permit;
use crate::desk::access::{NameReader, OpenIncident, ReadIncident, SeeSite, TellIncident};
use crate::desk::courts::court_list;
use crate::desk::incidents::{incident_list, incident_open, reads_incidents};
use crate::desk::sites::site_read;
use crate::http::problem::Problem;
use crate::http::route::at;
use crate::http::{State, at_the_desk};
use crate::store::Page;
use crate::store::courts::CourtRow;
use crate::store::incidents::IncidentRow;
use crate::store::sites::SiteRow;
use crate::words::shown::Shown;
use crate::words::{say, say_with};

pub(super) fn site_routes(cfg: &mut web::ServiceConfig) {
    cfg.service(
        at("/incidents", "GET, POST")
            .route(web::get().to(read))
            .route(web::post().to(form::tell)),
    )
    .service(at("/incidents/{incident_id:[0-9]+}", "GET").route(web::get().to(one::read)))
    .service(at("/incidents/{incident_id:[0-9]+}/open", "POST").route(web::post().to(open)))
    .configure(readers::site_routes);
}

/// The page of a site's incidents.
pub fn address(site_id: i64) -> String {
    format!("/sites/{site_id}/incidents")
}

async fn read(
    office: State,
    user: PageUser,
    permit: Permit<SeeSite>,
) -> Result<HttpResponse, Problem> {
    Ok(answer(page(&office, &user, permit, None).await?))
}

/// The page again, with what was wrong in a form on top.
async fn refused(
    office: &State,
    user: &PageUser,
    permit: Permit<SeeSite>,
    wrong: &str,
) -> Result<HttpResponse, Problem> {
    let mut again = answer(page(office, user, permit, Some(wrong)).await?);
    *again.status_mut() = StatusCode::UNPROCESSABLE_ENTITY;
    Ok(again)
}

async fn open(
    office: State,
    permit: Permit<OpenIncident>,
    path: web::Path<(i64, i64)>,
    deed: web::Form<Deed>,
) -> Result<HttpResponse, Problem> {
    let (site_id, id) = path.into_inner();
    at_the_desk(&office, move |o| incident_open(o, &permit, id, deed.key())).await?;
    Ok(see_other(&address(site_id)))
}

async fn page(
    office: &State,
    user: &PageUser,
    permit: Permit<SeeSite>,
    wrong: Option<&str>,
) -> Result<Markup, Problem> {
    let scope = (*permit).clone();
    let may_tell = Permit::<TellIncident>::of(scope.clone()).is_ok();
    let may_open = Permit::<OpenIncident>::of(scope.clone()).is_ok();
    let may_name = Permit::<NameReader>::of(scope.clone()).ok();
    let may_read = Permit::<ReadIncident>::of(scope).ok();
    let (site, courts, listed, reads, named) = at_the_desk(office, move |o| {
        let reads = match &may_read {
            Some(read) => reads_incidents(o, read)?,
            None => false,
        };
        let listed = match &may_read {
            Some(read) if reads || may_open => Some(incident_list(o, read, Page::ALL)?.items),
            _ => None,
        };
        let named = match &may_name {
            Some(name) => Some(readers::of(o, name, &permit)?),
            None => None,
        };
        let courts = court_list(o, &permit, Page::ALL)?.items;
        Ok((site_read(o, &permit)?, courts, listed, reads, named))
    })
    .await?;
    let show = shown(&site);
    let title = say("incidents-title");
    let content = html! {
        h1 { (title) }
        @if let Some(text) = wrong { p.wrong role="alert" { (text) } }
        p.care-safety { strong { (say("incidents-first")) } " " (say("incidents-local-rules")) }
        @if let Some(listed) = &listed {
            section.stops aria-labelledby="incidents-listed" {
                h2 #incidents-listed { (say("incidents-listed")) }
                @if listed.is_empty() { p { (say("incidents-none")) } }
                // The newest is wanted first.
                @for incident in listed.iter().rev() {
                    (entry(&site, &show, incident, (may_open, reads)))
                }
            }
        }
        @if may_tell { (form::form(&site, &courts)) }
        @if let Some(named) = &named { (readers::list(&site, named)) }
    };
    Ok(Frame::of(&title)
        .site(&site)
        .user(Some(user))
        .around(&content))
}

fn entry(
    site: &SiteRow,
    show: &Shown,
    incident: &IncidentRow,
    (may_open, reads): (bool, bool),
) -> Markup {
    let here = format!("{}/{}", address(site.id), incident.id);
    html! {
        div.stop {
            p { strong { (what(incident)) } }
            p { (where_and_when(show, incident)) }
            @match incident.opened_at {
                Some(at) => p.hint { (say_with("incidents-opened", &[("at", show.date_time(at).into())])) },
                None => p.hint { (say("incidents-new")) },
            }
            div.deeds {
                @if reads { a.button href=(here) { (say("incidents-read")) } }
                @if may_open && incident.opened_at.is_none() {
                    (button(&format!("{here}/open"), &say("incidents-open"), false))
                }
            }
        }
    }
}

/// The kind and what it was: `Near miss: struck or caught by something`.
fn what(incident: &IncidentRow) -> String {
    format!(
        "{}: {}",
        say(&format!("incident-{}", key_part(incident.kind.as_str()))),
        say(&format!(
            "incident-what-{}",
            key_part(incident.what.as_str())
        )),
    )
}

fn where_and_when(show: &Shown, incident: &IncidentRow) -> String {
    let place = [incident.court.as_deref(), incident.place.as_deref()];
    let place: Vec<&str> = place.into_iter().flatten().collect();
    say_with(
        "incidents-where-and-when",
        &[
            ("place", place.join(", ").into()),
            ("at", show.date_time(incident.happened_at).into()),
        ],
    )
}

/// The courts, to choose one of, or none.
fn court_choice(courts: &[CourtRow]) -> Markup {
    html! {
        select #court name="court_id" {
            option value="" { (say("incidents-no-court")) }
            @for court in courts { option value=(court.id) { (court.name) } }
        }
    }
}
