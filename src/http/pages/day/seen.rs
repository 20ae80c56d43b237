//! What was seen on courts and waits to be mended, with what the manager can do about it; and notes that wait for them.

use maud::{Markup, html};

use super::order::{defect_words, note_words};
use crate::desk::days::DayView;
use crate::http::pages::order;
use crate::http::pages::parts::deed::{button, key};
use crate::store::defects::DefectRow;
use crate::store::orders::{NoteRow, OrderState};
use crate::store::sites::SiteRow;
use crate::words::shown::Shown;
use crate::words::{say, say_with};

/// The defects that no crew is at; nothing where there is none.
pub fn on_courts(site: &SiteRow, show: &Shown, day: &DayView, may_issue: bool) -> Markup {
    let with_a_crew = [OrderState::Issued, OrderState::UnderWay];
    let mut waiting = day
        .defects
        .iter()
        .filter(|defect| {
            !defect
                .mend_state
                .is_some_and(|state| with_a_crew.contains(&state))
        })
        .peekable();
    if waiting.peek().is_none() {
        return html! {};
    }
    html! {
        section.stops aria-labelledby="seen" {
            h2 #seen { (say("seen-title")) }
            @for defect in waiting {
                div.stop {
                    p { strong { (defect.court) } ": " (defect_words(defect.kind.0))
                        @if let Some(note) = &defect.note { " (" (note) ")" } }
                    p { (say_with("seen-at", &[("time", show.date_time(defect.seen_at).into())])) }
                    @if may_issue { (deeds(site, day, defect)) }
                }
            }
        }
    }
}

/// Hands the order that mends it to a crew, or leaves it; where there is none, makes one.
fn deeds(site: &SiteRow, day: &DayView, defect: &DefectRow) -> Markup {
    let order = defect
        .mend_order_id
        .filter(|_| defect.mend_state == Some(OrderState::Planned));
    let Some(order) = order else {
        let mend = format!("/sites/{}/defects/{}/mend", site.id, defect.id);
        return html! {
            @if day.plan.is_some() { (button(&mend, &say("seen-mend"), false)) }
        };
    };
    let of_order = format!("/sites/{}/orders/{order}", site.id);
    html! {
        div.deeds {
            @if !day.rounds.is_empty() {
                form.hold method="post" action={ (of_order) "/issue" } {
                    (key())
                    label for={ "crew-of-" (order) } { (say("seen-crew")) }
                    select id={ "crew-of-" (order) } name="crew_id" required {
                        @for round in &day.rounds { option value=(round.crew_id) { (round.crew) } }
                    }
                    button.button.strong type="submit" { (say("seen-issue")) }
                }
            }
            (button(&format!("{of_order}/withdraw"), &say("seen-withdraw"), false))
        }
    }
}

/// The notes that wait, each with its order; nothing where none does.
pub fn notes(site: &SiteRow, show: &Shown, notes: &[NoteRow]) -> Markup {
    html! {
        @if !notes.is_empty() {
            section.decide aria-labelledby="notes" {
                h2 #notes { (say("notes-title")) }
                @for note in notes {
                    div.stop {
                        p {
                            a.inline href=(order::address(site.id, note.order_id)) {
                                (say_with("notes-of-order", &[("order", note.order_id.to_string().into())]))
                            }
                            ": " (note_words(note)) " " (show.date_time(note.happened_at))
                        }
                        (button(
                            &format!("/sites/{}/order-notes/{}/seen", site.id, note.id),
                            &say("notes-seen"),
                            false,
                        ))
                    }
                }
            }
        }
    }
}
