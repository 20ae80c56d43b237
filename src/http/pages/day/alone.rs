//! Who works alone today, and when there was last a sign of them.

use actix_web::{HttpResponse, web};
use maud::{Markup, html};
use uuid::Uuid;

use crate::desk::Permit;
use crate::desk::access::TellAlone;
use crate::desk::alone::{AloneState, AloneView, SignTold, alone_end};
use crate::http::pages::parts::deed::{Deed, button};
use crate::http::pages::see_other;
use crate::http::problem::Problem;
use crate::http::route::at;
use crate::http::{State, at_the_desk};
use crate::store::sites::SiteRow;
use crate::words::shown::Shown;
use crate::words::{say, say_with};

pub(super) fn site_routes(cfg: &mut web::ServiceConfig) {
    cfg.service(at("/alone/{key}/end", "POST").route(web::post().to(end)));
}

/// Ends a watch for somebody who forgot to, or whose tablet is lost.
async fn end(
    office: State,
    permit: Permit<TellAlone>,
    path: web::Path<(i64, Uuid)>,
    deed: web::Form<Deed>,
) -> Result<HttpResponse, Problem> {
    let (site_id, watch) = path.into_inner();
    let now = SignTold { happened_at: None };
    at_the_desk(&office, move |o| {
        alone_end(o, &permit, &watch.to_string(), deed.key(), &now)
    })
    .await?;
    Ok(see_other(&format!("/sites/{site_id}/today")))
}

/// The list; nothing where nobody works alone.
pub fn list(site: &SiteRow, show: &Shown, alone: &[AloneView]) -> Markup {
    if alone.is_empty() {
        return html! {};
    }
    html! {
        section.decide aria-labelledby="alone" {
            h2 #alone { (say("alone-title")) }
            p.hint { (say("alone-silence")) }
            ul {
                @for one in alone {
                    li {
                        (entry(show, one))
                        (button(
                            &format!("/sites/{}/alone/{}/end", site.id, one.watch_key),
                            &say_with("alone-end", &[("name", one.person.as_str().into())]),
                            false,
                        ))
                    }
                }
            }
        }
    }
}

fn entry(show: &Shown, one: &AloneView) -> Markup {
    let place = match &one.court {
        Some(court) => say_with(
            "alone-at",
            &[
                ("name", one.person.as_str().into()),
                ("court", court.as_str().into()),
            ],
        ),
        None => one.person.clone(),
    };
    let sign = say_with(
        "alone-last-sign",
        &[
            ("at", show.time(one.last_sign_at).into()),
            ("learned", show.time(one.last_sign_learned_at).into()),
        ],
    );
    let due = one.due_at.map(|due| show.time(due)).unwrap_or_default();
    html! {
        strong { (place) } ". " (sign) " "
        @match (one.state, one.due_at) {
            (AloneState::Missed, _) => strong { (say_with("alone-missed", &[("due", due.into())])) },
            (AloneState::Due, _) => (say_with("alone-due", &[("due", due.into())])),
            (_, Some(_)) => (say_with("alone-next", &[("due", due.into())])),
            (_, None) => (say("alone-no-interval")),
        }
    }
}
