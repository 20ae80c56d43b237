//! One work order in its round, and the pieces of it that its own page shows as well.

use maud::{Markup, html};

use super::label;
use super::round::{caution_name, caution_words};
use crate::desk::day_build::valve_title;
use crate::desk::orders::{MaterialView, OrderView, StepView, ToolView};
use crate::http::pages::order as one;
use crate::http::pages::parts::{court, key_part};
use crate::http::pages::stops::why_held;
use crate::store::orders::{Direction, Fit, NoteKind, NoteRow, OrderKind, OrderRow, OrderState};
use crate::store::stores::MaterialUnit;
use crate::words::shown::Shown;
use crate::words::{say, say_with};
use trade::care::DefectKind;
use trade::units::{Grams, Millilitres, Seconds};

/// An order of a round's list. One that is given back takes little room, so that what is next
/// stands near: how it came out, and which steps were not done.
pub fn item(show: &Shown, site_id: i64, view: &OrderView, change: Option<&str>) -> Markup {
    let order = &view.order;
    let state = key_part(order.state.as_str());
    html! {
        li.order.(format!("is-{state}")) id=(anchor(view)) {
            div.order-line {
                p.order-time {
                    time datetime=(order.planned_start) { (show.span(order.planned_start, order.planned_end)) }
                }
                p.state { (say(&format!("order-state-{state}"))) }
            }
            h3 {
                a.plain href=(one::address(site_id, order.id)) { (view.place) " " span.order-what { (what(view)) } }
            }
            (facts(show, view))
            (work(show, view))
            @if let Some(address) = change.filter(|_| order.state != OrderState::UnderWay && is_open(order)) {
                a.inline.change href={ (address) "?order=" (order.id) } aria-label={
                    (say("deed-change-order")) ": " (view.place) ", " (what(view))
                } { (say("deed-change-order")) }
            }
        }
    }
}

/// What is to be known of an order: while it is open what it takes, then how it came out; and what was said of it.
pub fn facts(show: &Shown, view: &OrderView) -> Markup {
    html! {
        dl.facts {
            (told(show, &view.order))
            (takes(&view.steps))
            @if is_open(&view.order) {
                (tools(&view.tools))
                (materials(show, &view.materials))
            } @else {
                (not_done(&view.steps))
                (label::put_on(show, &view.treatments))
            }
            (said(view))
        }
    }
}

/// What an open order asks of its crew: the way to groom, the steps, the labels of chemicals.
pub fn work(show: &Shown, view: &OrderView) -> Markup {
    html! {
        @if is_open(&view.order) {
            @if let Some(direction) = view.order.direction {
                (groom(direction))
            }
            (steps(&view.steps))
            (label::labels(show, &view.steps))
        }
    }
}

/// The id of an order in the page.
pub fn anchor(view: &OrderView) -> String {
    format!("order-{}", view.order.id)
}

/// Whether there is still work to do on it.
pub const fn is_open(order: &OrderRow) -> bool {
    matches!(
        order.state,
        OrderState::Planned | OrderState::Issued | OrderState::UnderWay
    )
}

/// What is done: the kind of turnaround, the valve, or the care task by the site's own name.
pub fn what(view: &OrderView) -> String {
    if let Some(valve) = &view.valve {
        return valve_title(valve, view.order.visit_key.ends_with(":open"));
    }
    match view.order.kind {
        OrderKind::FullTurnaround => say("order-full-turnaround"),
        OrderKind::ShortTurnaround => say("order-short-turnaround"),
        OrderKind::Mend => match &view.defect {
            Some(defect) => say_with(
                "order-mend-what",
                &[("what", defect_words(defect.kind.0).into())],
            ),
            None => say("order-mend"),
        },
        OrderKind::Care if view.steps.is_empty() => say("order-care"),
        OrderKind::Care => {
            let names: Vec<_> = view.steps.iter().map(|step| step.name.as_str()).collect();
            names.join(", ")
        }
    }
}

/// By when it must be done, or how it came out.
fn told(show: &Shown, order: &OrderRow) -> Markup {
    let late_s = (order.planned_end.utc() - order.due_at.utc()).num_seconds();
    html! {
        @if is_open(order) {
            div {
                dt { (say("order-due")) }
                dd {
                    strong { (show.time(order.due_at)) }
                    @if late_s > 0 {
                        " " span.late { (say_with("order-late", &[("late", Seconds(late_s).show().into())])) }
                    }
                }
            }
        }
        @if let (OrderState::UnderWay, Some(at)) = (order.state, order.started_at) {
            div { dt { (say("order-started")) } dd { (show.time(at)) } }
            @if let Some(end) = order.expected_end_at {
                div { dt { (say("order-said-done")) } dd { (show.time(end)) } }
            }
        }
        @if let (false, Some(at)) = (is_open(order), order.ended_at) {
            div { dt { (say("order-ended")) } dd { (show.time(at)) } }
        }
        @if let Some(fit) = order.fit {
            div { dt { (say(if order.bank_id.is_some() { "order-fit-bank" } else { "order-fit" })) } dd { (fit_words(show, order, fit)) } }
        }
        @if let Some(reason) = &order.undone_reason {
            div {
                dt { (say("order-undone")) }
                dd {
                    (say(&format!("undone-{}", key_part(reason.as_str()))))
                    @if let Some(note) = &order.undone_note { ": " (note) }
                }
            }
        }
    }
}

/// How long the crew is expected to take, and by the standard, where the two differ: crews have
/// been faster or slower on this court.
fn takes(steps: &[StepView]) -> Markup {
    let expected: i64 = steps.iter().map(|step| step.planned_s).sum();
    let standard: Option<i64> = steps.iter().map(|step| step.standard_s).sum();
    html! {
        @if let Some(standard) = standard.filter(|standard| *standard != expected) {
            div {
                dt { (say("order-expected")) }
                dd {
                    (Seconds(expected).show()) " "
                    span.minutes { (say_with("order-standard", &[("time", Seconds(standard).show().into())])) }
                }
            }
        }
    }
}

fn fit_words(show: &Shown, order: &OrderRow, fit: Fit) -> String {
    let picked = order
        .fit_hold_reason
        .map(|reason| (reason, &order.fit_reason));
    let held = picked.map(|(reason, note)| why_held(reason, note.as_deref()));
    match (
        fit,
        order.fit_until,
        held.as_ref().or(order.fit_reason.as_ref()),
    ) {
        (Fit::Yes, ..) => say("order-fit-yes"),
        (Fit::NotYet, Some(until), _) => say_with(
            "order-fit-not-yet-until",
            &[("time", show.time(until).into())],
        ),
        (Fit::NotYet, None, _) => say("order-fit-not-yet"),
        (Fit::Held, _, Some(reason)) => {
            say_with("order-fit-held-why", &[("reason", reason.as_str().into())])
        }
        (Fit::Held, _, None) => say("order-fit-held"),
    }
}

fn tools(tools: &[ToolView]) -> Markup {
    html! {
        @if !tools.is_empty() {
            div {
                dt.spoken { (say("order-tools")) }
                dd {
                    ul.tools {
                        @for tool in tools {
                            li { b { (tool.number) } " " (tool.class_name) }
                        }
                    }
                }
            }
        }
    }
}

/// What the order takes from the stores.
fn materials(show: &Shown, materials: &[MaterialView]) -> Markup {
    let quantity = |material: &MaterialView| match material.unit {
        MaterialUnit::Gram => Grams(material.quantity).show(show.units),
        MaterialUnit::Millilitre => Millilitres(material.quantity).show(show.units),
        MaterialUnit::Piece => material.quantity.to_string(),
    };
    html! {
        @if !materials.is_empty() {
            div {
                dt { (say("order-materials")) }
                dd {
                    ul {
                        @for material in materials {
                            li { b { (quantity(material)) } " " (material.name) }
                        }
                    }
                }
            }
        }
    }
}

/// The steps of a finished order that its crew left out.
fn not_done(steps: &[StepView]) -> Markup {
    let left_out: Vec<_> = steps
        .iter()
        .filter(|step| step.done == Some(false))
        .map(|step| step.name.as_str())
        .collect();
    html! {
        @if !left_out.is_empty() {
            div { dt { (say("order-not-done")) } dd { (left_out.join(", ")) } }
        }
    }
}

/// What is wrong with a court, in words.
pub fn defect_words(kind: DefectKind) -> String {
    say(&format!("defect-{}", key_part(kind.as_str())))
}

/// How the work was found when it was looked over, and what was noted on it.
fn said(view: &OrderView) -> Markup {
    html! {
        @if let Some(recheck) = &view.recheck {
            div {
                dt { (say("order-rechecked")) }
                dd {
                    (say(&format!("grade-{}", recheck.grade.as_str())))
                    @if let Some(note) = &recheck.note { ": " (note) }
                }
            }
        }
        @for note in &view.notes {
            div { dt { (say("order-note")) } dd { (note_words(note)) } }
        }
    }
}

/// What a note says: its own words, or those of its kind.
pub fn note_words(note: &NoteRow) -> String {
    let kind = || say(&format!("note-{}", key_part(note.kind.as_str())));
    match (note.kind, note.text.as_str()) {
        (NoteKind::Note, text) => text.to_owned(),
        (NoteKind::LateClosing, "") => match minutes_told(note) {
            0 => kind(),
            told => {
                let time = Seconds(told.saturating_mul(60)).show();
                format!(
                    "{} {}",
                    kind(),
                    say_with("note-late-told", &[("time", time.into())])
                )
            }
        },
        (_, "") => kind(),
        (_, text) => format!("{}: {text}", kind()),
    }
}

/// How much work a closing told that is not booked, minutes.
fn minutes_told(note: &NoteRow) -> i64 {
    let people = note.data.0["people"].as_array();
    let minutes = people
        .into_iter()
        .flatten()
        .filter_map(|one| one["minutes"].as_i64());
    minutes.fold(0, i64::saturating_add)
}

/// The way the court is groomed, drawn and in words.
fn groom(direction: Direction) -> Markup {
    html! {
        figure.groom {
            (court::drawing(direction))
            figcaption { (say(&format!("order-groom-{}", direction.as_str()))) }
        }
    }
}

/// The steps with their minutes; one that can hurt someone names its caution beside it.
fn steps(steps: &[StepView]) -> Markup {
    html! {
        @if !steps.is_empty() {
            ol.steps aria-label=(say("order-steps")) {
                @for step in steps {
                    @let cautions: Vec<_> = caution_words(step.caution.as_deref()).map(caution_name).collect();
                    li {
                        (step.name) " " span.minutes { (Seconds(step.planned_s).show()) }
                        @if !cautions.is_empty() {
                            " " span.caution { (cautions.join(", ")) }
                        }
                    }
                }
            }
        }
    }
}
