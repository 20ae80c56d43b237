//! The form that tells an incident or near miss.

use actix_web::{HttpResponse, web};
use maud::{Markup, html};

use super::{address, court_choice, refused};
use crate::desk::Permit;
use crate::desk::access::{SeeSite, TellIncident};
use crate::desk::incidents::{IncidentTold, incident_tell};
use crate::desk::sites::site_read;
use crate::http::pages::parts::deed::{key, key_of};
use crate::http::pages::parts::form::{Fields, choose, field, text, wrong};
use crate::http::pages::parts::{key_part, local_instant, shown};
use crate::http::pages::see_other;
use crate::http::pages::session::PageUser;
use crate::http::problem::Problem;
use crate::http::{State, at_the_desk};
use crate::store::courts::CourtRow;
use crate::store::incidents::{AnyoneHurt, IncidentKind, IncidentWhat};
use crate::store::sites::SiteRow;
use crate::words::say;

/// The form.
pub fn form(site: &SiteRow, courts: &[CourtRow]) -> Markup {
    html! {
        section.stops aria-labelledby="tell" {
            h2 #tell { (say("incidents-tell")) }
            p { (say("incidents-tell-lead")) }
            form.hold method="post" action=(address(site.id)) {
                (key())
                label for="kind" { (say("incidents-kind")) }
                select #kind name="kind" required {
                    @for kind in IncidentKind::ALL {
                        option value=(kind) { (say(&format!("incident-{}", key_part(kind.as_str())))) }
                    }
                }
                label for="what" { (say("incidents-what")) }
                select #what name="what" required {
                    @for what in IncidentWhat::ALL {
                        option value=(what) { (say(&format!("incident-what-{}", key_part(what.as_str())))) }
                    }
                }
                label for="court" { (say("incidents-court")) }
                (court_choice(courts))
                label for="place" { (say("incidents-place")) }
                input #place type="text" name="place" maxlength="200";
                label for="happened" { (say("incidents-happened")) }
                input #happened type="datetime-local" name="happened_at";
                label for="hurt" { (say("incidents-hurt")) }
                select #hurt name="anyone_hurt" required {
                    @for hurt in AnyoneHurt::ALL.iter().rev() {
                        option value=(hurt) { (say(&format!("incident-hurt-{hurt}"))) }
                    }
                }
                label for="who" { (say("incidents-who")) }
                input #who type="text" name="who_hurt" maxlength="500";
                label for="note" { (say("incidents-note")) }
                textarea #note name="note" rows="4" maxlength="4000" {}
                button.button.strong type="submit" { (say("incidents-send")) }
            }
        }
    }
}

pub(super) async fn tell(
    office: State,
    user: PageUser,
    see: Permit<SeeSite>,
    permit: Permit<TellIncident>,
    path: web::Path<i64>,
    fields: Fields,
) -> Result<HttpResponse, Problem> {
    let site_id = path.into_inner();
    let key = key_of(field(&fields, "client_key"))?;
    let text = |name: &str| text(&fields, name);
    let site_permit = see.clone();
    let site = at_the_desk(&office, move |o| site_read(o, &site_permit)).await?;
    let happened_at = match text("happened_at") {
        Some(text) => match local_instant(shown(&site).zone, &text) {
            Some(at) => Some(at),
            None => return refused(&office, &user, see, &say("look-time-wrong")).await,
        },
        None => None,
    };
    let told = IncidentTold {
        kind: word(text("kind"), "kind")?,
        what: word(text("what"), "what")?,
        court_id: text("court_id").and_then(|id| id.parse().ok()),
        place: text("place"),
        anyone_hurt: word(text("anyone_hurt"), "anyone_hurt")?,
        who_hurt: text("who_hurt"),
        person_id: None,
        note: text("note"),
        happened_at,
    };
    match at_the_desk(&office, move |o| incident_tell(o, &permit, key, &told)).await {
        Ok(_) => Ok(see_other(&address(site_id))),
        Err(problem) => refused(&office, &user, see, &wrong(problem)?).await,
    }
}

/// A word of a list, which the form's own choices always are.
fn word<T: std::str::FromStr>(text: Option<String>, name: &str) -> Result<T, Problem> {
    text.and_then(|text| text.parse().ok())
        .ok_or_else(|| choose(name))
}
