//! What can be done with an order as it stands, each a form of its own.

use actix_web::{HttpResponse, web};
use maud::{Markup, html};

use super::{Seen, address, refused};
use crate::desk::access::{Permit, RecheckOrder, SeeOrders, SeeSite, WorkOrders};
use crate::desk::orders::told::{HandOver, NoteTold, RecheckTold, TakeBack};
use crate::desk::orders::{order_hand_over, order_note, order_recheck, order_take_back};
use crate::desk::{Office, Result as Done};
use crate::http::pages::parts::deed::{key, key_of};
use crate::http::pages::parts::form::{Fields, choose, field, text, wrong};
use crate::http::pages::see_other;
use crate::http::pages::session::PageUser;
use crate::http::problem::Problem;
use crate::http::route::at;
use crate::http::{State, at_the_desk};
use crate::store::Scope;
use crate::store::orders::{Grade, OrderState};
use crate::words::say;

pub(super) fn site_routes(cfg: &mut web::ServiceConfig) {
    cfg.service(at("/orders/{order_id:[0-9]+}/recheck", "POST").route(web::post().to(recheck)))
        .service(at("/orders/{order_id:[0-9]+}/hand-over", "POST").route(web::post().to(hand_over)))
        .service(at("/orders/{order_id:[0-9]+}/take-back", "POST").route(web::post().to(take_back)))
        .service(at("/orders/{order_id:[0-9]+}/notes", "POST").route(web::post().to(note)));
}

/// What the reader may do with orders.
pub struct May {
    work: bool,
    recheck: bool,
}

impl May {
    /// By what they are at the site.
    pub fn of(scope: &Scope) -> Self {
        Self {
            work: Permit::<WorkOrders>::of(scope.clone()).is_ok(),
            recheck: Permit::<RecheckOrder>::of(scope.clone()).is_ok(),
        }
    }
}

/// The forms.
pub fn list(seen: &Seen, may: &May) -> Markup {
    let order = &seen.order.view.order;
    let here = address(seen.site.id, order.id);
    let is_closed = matches!(order.state, OrderState::Finished | OrderState::LeftUndone);
    html! {
        @if may.recheck && order.state == OrderState::Finished { (recheck_form(&here)) }
        @if may.work && !seen.others.is_empty() { (hand_over_form(&here, &seen.others)) }
        @if may.work && is_closed { (take_back_form(&here)) }
        @if may.work { (note_form(&here)) }
    }
}

fn recheck_form(here: &str) -> Markup {
    html! {
        section.stops aria-labelledby="recheck" {
            h2 #recheck { (say("order-recheck")) }
            form.hold method="post" action={ (here) "/recheck" } {
                (key())
                fieldset.ticks {
                    legend { (say("order-recheck-grade")) }
                    @for grade in Grade::ALL {
                        label.tick {
                            input type="radio" name="grade" value=(grade) required;
                            (say(&format!("grade-{grade}")))
                        }
                    }
                }
                (words("recheck-note", "order-recheck-note", false))
                button.button.strong type="submit" { (say("order-recheck-keep")) }
            }
        }
    }
}

fn hand_over_form(here: &str, others: &[(i64, String)]) -> Markup {
    html! {
        section.stops aria-labelledby="hand-over" {
            h2 #hand-over { (say("order-hand-over")) }
            p { (say("order-hand-over-lead")) }
            form.hold method="post" action={ (here) "/hand-over" } {
                (key())
                label for="to-crew" { (say("seen-crew")) }
                select #to-crew name="crew_id" required {
                    @for (id, name) in others { option value=(id) { (name) } }
                }
                button.button type="submit" { (say("order-hand-over")) }
            }
        }
    }
}

fn take_back_form(here: &str) -> Markup {
    html! {
        section.stops aria-labelledby="take-back" {
            h2 #take-back { (say("order-take-back")) }
            p { (say("order-take-back-lead")) }
            form.hold method="post" action={ (here) "/take-back" } {
                (key())
                (words("take-back-note", "order-take-back-why", false))
                button.button type="submit" { (say("order-take-back")) }
            }
        }
    }
}

fn note_form(here: &str) -> Markup {
    html! {
        section.stops aria-labelledby="note" {
            h2 #note { (say("order-note")) }
            form.hold method="post" action={ (here) "/notes" } {
                (key())
                (words("note-text", "order-note-text", true))
                button.button type="submit" { (say("order-note-keep")) }
            }
        }
    }
}

fn words(id: &str, label: &str, is_needed: bool) -> Markup {
    html! {
        label for=(id) { (say(label)) }
        textarea id=(id) name="note" rows="3" maxlength="2000" required[is_needed] {}
    }
}

/// What a form of the page sends, with who sends it and what it takes to show the page again.
type Asked = (
    State,
    PageUser,
    (Permit<SeeSite>, Permit<SeeOrders>),
    web::Path<(i64, i64)>,
    Fields,
);

async fn recheck(permit: Permit<RecheckOrder>, asked: Asked) -> Result<HttpResponse, Problem> {
    let (.., fields) = &asked;
    let grade = field(fields, "grade").and_then(|word| word.parse().ok());
    let told = RecheckTold {
        grade: grade.ok_or_else(|| choose("grade"))?,
        note: text(fields, "note"),
        happened_at: None,
    };
    deed(asked, move |o, id, key| {
        order_recheck(o, &permit, id, key, &told).map(drop)
    })
    .await
}

async fn hand_over(permit: Permit<WorkOrders>, asked: Asked) -> Result<HttpResponse, Problem> {
    let (.., fields) = &asked;
    let crew = field(fields, "crew_id").and_then(|id| id.parse().ok());
    let told = HandOver {
        crew_id: crew.ok_or_else(|| choose("crew_id"))?,
        happened_at: None,
    };
    deed(asked, move |o, id, key| {
        order_hand_over(o, &permit, id, key, &told).map(drop)
    })
    .await
}

async fn take_back(permit: Permit<WorkOrders>, asked: Asked) -> Result<HttpResponse, Problem> {
    let (.., fields) = &asked;
    let told = TakeBack {
        happened_at: None,
        note: text(fields, "note"),
    };
    deed(asked, move |o, id, key| {
        order_take_back(o, &permit, id, key, &told).map(drop)
    })
    .await
}

async fn note(permit: Permit<WorkOrders>, asked: Asked) -> Result<HttpResponse, Problem> {
    let (.., fields) = &asked;
    let told = NoteTold {
        text: text(fields, "note").unwrap_or_default(),
        kind: None,
        data: None,
        person_id: None,
        happened_at: None,
    };
    deed(asked, move |o, id, key| {
        order_note(o, &permit, id, key, &told).map(drop)
    })
    .await
}

/// Does it once, under the form's own key. What the desk refuses is said on the page, above what still can be done.
async fn deed(
    (office, user, reader, path, fields): Asked,
    what: impl FnOnce(&Office, i64, String) -> Done<()> + Send + 'static,
) -> Result<HttpResponse, Problem> {
    let (site_id, id) = path.into_inner();
    let key = key_of(field(&fields, "client_key"))?;
    match at_the_desk(&office, move |o| what(o, id, key)).await {
        Ok(()) => Ok(see_other(&address(site_id, id))),
        Err(problem) => refused(&office, &user, reader, id, &wrong(problem)?).await,
    }
}
