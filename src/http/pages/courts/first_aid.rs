//! Where the first-aid kit of a court is and how an ambulance is led to it, with the form that says so.

use actix_web::{HttpResponse, web};
use maud::{Markup, html};

use super::address;
use super::history::page;
use crate::desk::Permit;
use crate::desk::access::{EditSite, SeeSite};
use crate::desk::courts::{CourtEdit, court_edit};
use crate::http::pages::parts::form::{Fields, again, field, wrong};
use crate::http::pages::see_other;
use crate::http::pages::session::PageUser;
use crate::http::problem::{Kind, Problem};
use crate::http::route::at;
use crate::http::{State, at_the_desk};
use crate::store::courts::CourtRow;
use crate::words::say;

pub(super) fn site_routes(cfg: &mut web::ServiceConfig) {
    cfg.service(at("/courts/{court_id:[0-9]+}/first-aid", "POST").route(web::post().to(edit)));
}

/// What the site says for courts that do not say it themselves.
pub(super) struct OfTheSite {
    pub first_aid: Option<String>,
    pub ambulance_way: Option<String>,
}

/// The section; with the form for who may change it.
pub(super) fn section(site_id: i64, court: &CourtRow, usual: &OfTheSite, may_edit: bool) -> Markup {
    let unknown = || say("first-aid-unknown");
    let kit = court.first_aid.clone().or_else(|| usual.first_aid.clone());
    let way = court
        .ambulance_way
        .clone()
        .or_else(|| usual.ambulance_way.clone());
    html! {
        section.stops #first-aid aria-labelledby="first-aid-title" {
            h2 #first-aid-title { (say("first-aid-title")) }
            p.care-safety { strong { (say("incidents-first")) } }
            dl.facts.is-wide {
                div { dt { (say("first-aid-kit")) } dd { (kit.unwrap_or_else(unknown)) } }
                div { dt { (say("first-aid-way")) } dd { (way.unwrap_or_else(unknown)) } }
            }
            @if may_edit {
                form.hold method="post" action={ (address(site_id)) "/" (court.id) "/first-aid" } {
                    input type="hidden" name="version" value=(court.version);
                    label for="first_aid" { (say("first-aid-kit")) }
                    input #first_aid type="text" name="first_aid" maxlength="300"
                        value=(court.first_aid.as_deref().unwrap_or_default());
                    label for="ambulance_way" { (say("first-aid-way")) }
                    input #ambulance_way type="text" name="ambulance_way" maxlength="300"
                        value=(court.ambulance_way.as_deref().unwrap_or_default());
                    p.hint { (say("first-aid-empty")) }
                    button.button type="submit" { (say("first-aid-do")) }
                }
            }
        }
    }
}

async fn edit(
    office: State,
    user: PageUser,
    see: Permit<SeeSite>,
    permit: Permit<EditSite>,
    path: web::Path<(i64, i64)>,
    fields: Fields,
) -> Result<HttpResponse, Problem> {
    let (site_id, id) = path.into_inner();
    let version = field(&fields, "version").and_then(|text| text.parse().ok());
    let version: i64 =
        version.ok_or_else(|| Problem::new(Kind::Unreadable, "version: a number is missing"))?;
    let told: CourtEdit = CourtEdit {
        first_aid: Some(field(&fields, "first_aid").cloned().unwrap_or_default()),
        ambulance_way: Some(field(&fields, "ambulance_way").cloned().unwrap_or_default()),
        ..CourtEdit::default()
    };
    match at_the_desk(&office, move |o| court_edit(o, &permit, id, version, &told)).await {
        Ok(_) => Ok(see_other(&format!("{}/{id}", address(site_id)))),
        Err(problem) => {
            let words = wrong(problem)?;
            Ok(again(page(&office, &user, see, id, Some(&words)).await?))
        }
    }
}
