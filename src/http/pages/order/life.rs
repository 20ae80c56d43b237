//! What happened to an order, and who looked it over.

use maud::{Markup, html};

use crate::desk::orders::OrderWhole;
use crate::http::pages::parts::key_part;
use crate::store::Instant;
use crate::store::orders::{OrderEventRow, RecheckRow};
use crate::words::shown::Shown;
use crate::words::{say, say_with};

/// Up to so much later the office knew of it at once, s: a page was on its way.
const AT_ONCE_S: i64 = 60;

/// The list; each with its time, and with when the office learned of it where that was later.
pub fn list(show: &Shown, order: &OrderWhole) -> Markup {
    html! {
        section.stops aria-labelledby="life" {
            h2 #life { (say("order-life")) }
            @if order.events.is_empty() { p { (say("order-life-none")) } }
            ul.access-list {
                @for event in &order.events { (happened(show, event)) }
                @for recheck in &order.rechecks { (looked_over(show, recheck)) }
            }
        }
    }
}

fn happened(show: &Shown, event: &OrderEventRow) -> Markup {
    let late_s = (event.learned_at.utc() - event.happened_at.utc()).num_seconds();
    html! {
        li {
            p {
                strong { (say(&format!("order-event-{}", key_part(event.kind.as_str())))) }
                " · " (event.by)
            }
            p.hint {
                (when(show, event.happened_at))
                @if late_s > AT_ONCE_S {
                    " · " (say_with("order-known-at", &[("time", show.date_time(event.learned_at).into())]))
                }
            }
        }
    }
}

fn looked_over(show: &Shown, recheck: &RecheckRow) -> Markup {
    html! {
        li {
            p {
                strong { (say("order-rechecked")) ": " (say(&format!("grade-{}", recheck.grade.as_str()))) }
                " · " (recheck.by)
                @if let Some(note) = &recheck.note { " · " (note) }
            }
            p.hint { (when(show, recheck.happened_at)) }
        }
    }
}

fn when(show: &Shown, at: Instant) -> Markup {
    html! { time datetime=(at.utc().to_rfc3339()) { (show.date_time(at)) } }
}
