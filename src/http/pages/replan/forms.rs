//! The forms in which somebody tells what happened, or changes a visit by hand.

use maud::{Markup, html};

use super::address;
use crate::desk::days::DayView;
use crate::desk::orders::OrderView;
use crate::desk::plan_runs::rest::choices::Choices;
use crate::http::pages::day::order::what;
use crate::http::pages::parts::frame::Frame;
use crate::http::pages::parts::shown;
use crate::http::pages::session::PageUser;
use crate::store::orders::OrderState;
use crate::store::sites::SiteRow;
use crate::words::shown::{Shown, date_long};
use crate::words::{say, say_with};

/// The page; first what is decided about one order, where one is asked for.
pub fn page(
    site: &SiteRow,
    user: &PageUser,
    day: &DayView,
    choices: &Choices,
    order: Option<i64>,
) -> Markup {
    let show = shown(site);
    let title = say_with("replan-title", &[("date", date_long(day.date).into())]);
    let orders: Vec<&OrderView> = day.rounds.iter().flat_map(|round| &round.orders).collect();
    let asked = orders
        .iter()
        .find(|view| Some(view.order.id) == order && is_open(view));
    let here = address(site.id, day.date);
    let content = html! {
        h1 { (title) }
        p { (say("replan-how")) }
        @if let Some(view) = asked {
            (of_order(&show, &here, view, choices))
        } @else {
            (happened(&show, &here, choices, &orders))
        }
        p { a.button href={ "/sites/" (site.id) "/days/" (day.date) } { (say("plan-run-back")) } }
    };
    Frame::of(&title)
        .site(site)
        .user(Some(user))
        .around(&content)
}

fn is_open(view: &OrderView) -> bool {
    matches!(view.order.state, OrderState::Planned | OrderState::Issued)
}

fn happened(show: &Shown, here: &str, choices: &Choices, orders: &[&OrderView]) -> Markup {
    let running: Vec<(i64, String)> = orders
        .iter()
        .filter(|view| view.order.state == OrderState::UnderWay)
        .map(|view| (view.order.id, format!("{}: {}", view.place, what(view))))
        .collect();
    let sessions: Vec<(i64, String)> = choices
        .sessions
        .iter()
        .map(|(session, court)| {
            let hours = show.span(session.starts_at, session.ends_at);
            (session.id, format!("{court}: {}, {hours}", session.name))
        })
        .collect();
    html! {
        div.happened {
            (form(here, "rain", &html! {
                (time("rain", "from", "replan-from", false))
                (time("rain", "until", "replan-until", true))
            }))
            (form(here, "crew_away", &html! {
                (choice("crew_away", "crew_id", "replan-crew", &choices.crews))
                (time("crew_away", "from", "replan-from", false))
            }))
            (form(here, "person_away", &html! {
                (choice("person_away", "person_id", "replan-person", &choices.people))
            }))
            (form(here, "court_shut", &html! {
                (choice("court_shut", "court_id", "replan-court", &choices.courts))
                (time("court_shut", "from", "replan-from", false))
                (time("court_shut", "until", "replan-until", true))
                label for="court_shut-reason" { (say("replan-reason")) }
                input id="court_shut-reason" name="reason" type="text" required maxlength="200";
            }))
            (form(here, "tool_broken", &html! {
                (choice("tool_broken", "tool_id", "replan-tool", &choices.tools))
            }))
            @if !sessions.is_empty() {
                (form(here, "play_runs_over", &html! {
                    (choice("play_runs_over", "session_id", "replan-session", &sessions))
                    (time("play_runs_over", "until", "replan-over-at", true))
                }))
            }
            @if !running.is_empty() {
                (form(here, "work_runs_over", &html! {
                    (choice("work_runs_over", "order_id", "replan-order", &running))
                    (time("work_runs_over", "until", "replan-done-at", true))
                }))
            }
            (form(here, "add", &html! {
                (choice("add", "care_task_id", "replan-task", &choices.tasks))
                (choice("add", "court_id", "replan-court", &choices.courts))
            }))
            (form(here, "other", &html! { p { (say("replan-other-text")) } }))
        }
    }
}

fn of_order(show: &Shown, here: &str, view: &OrderView, choices: &Choices) -> Markup {
    let key = || html! { input type="hidden" name="visit_key" value=(view.order.visit_key); };
    let is_own = |crew: i64| crew == view.order.crew_id;
    html! {
        section.stops {
            h2 { (view.place) ": " (what(view)) }
            p { (say_with("replan-order-now", &[
                ("crew", view.crew.as_str().into()),
                ("time", show.span(view.order.planned_start, view.order.planned_end).into()),
            ])) }
        }
        div.happened {
            (form(here, "pin", &html! {
                (key())
                label for="pin-crew_id" { (say("replan-crew")) }
                select id="pin-crew_id" name="crew_id" required {
                    @for (id, name) in &choices.crews {
                        option value=(id) selected[is_own(*id)] { (name) }
                    }
                }
                (time("pin", "start", "replan-start", false))
            }))
            (form(here, "drop", &key()))
            (form(here, "free", &key()))
        }
    }
}

/// One form, with its heading and its button; folded, so that a phone shows all headings at once.
fn form(here: &str, kind: &str, fields: &Markup) -> Markup {
    let key = kind.replace('_', "-");
    html! {
        details.stops id=(kind) open[kind == "pin"] {
            summary { (say(&format!("replan-kind-{key}"))) }
            form.hold method="post" action=(here) {
                input type="hidden" name="kind" value=(kind);
                (fields)
                label for={ (kind) "-because" } { (say("replan-because")) }
                input id={ (kind) "-because" } name="because" type="text" maxlength="200";
                button.button.strong type="submit" { (say("replan-try")) }
            }
        }
    }
}

fn time(kind: &str, name: &str, key: &str, required: bool) -> Markup {
    html! {
        label for={ (kind) "-" (name) } { (say(key)) }
        input id={ (kind) "-" (name) } name=(name) type="time" required[required];
    }
}

fn choice(kind: &str, name: &str, key: &str, all: &[(i64, String)]) -> Markup {
    html! {
        label for={ (kind) "-" (name) } { (say(key)) }
        select id={ (kind) "-" (name) } name=(name) required {
            @for (id, text) in all { option value=(id) { (text) } }
        }
    }
}
