//! What does not fit into the day, and why, in plain words.

use maud::{Markup, html};

use crate::desk::days::UnfittedView;
use crate::http::pages::parts::key_part;
use crate::words::shown::Shown;
use crate::words::{knows, say, say_with};

/// The list with its reasons; where everything fits it says so.
pub fn list(show: &Shown, unfitted: &[UnfittedView]) -> Markup {
    html! {
        section.unfitted aria-labelledby="unfitted" {
            h2 #unfitted { (say("unfitted-title")) }
            @if unfitted.is_empty() {
                p { (say("unfitted-none")) }
            } @else {
                @for (reason, items) in by_reason(unfitted) {
                    div {
                        h3 { (why(reason)) }
                        ul {
                            @for one in items {
                                li { (item(show, one)) }
                            }
                        }
                    }
                }
            }
        }
    }
}

/// The things of one reason together, in the order in which the reasons first come.
fn by_reason(unfitted: &[UnfittedView]) -> Vec<(&str, Vec<&UnfittedView>)> {
    let mut groups: Vec<(&str, Vec<&UnfittedView>)> = Vec::new();
    for one in unfitted {
        match groups.iter_mut().find(|(reason, _)| *reason == one.reason) {
            Some((_, items)) => items.push(one),
            None => groups.push((&one.reason, vec![one])),
        }
    }
    groups
}

/// What was to be done where, and in which time it could have been, or until when it waits.
fn item(show: &Shown, one: &UnfittedView) -> String {
    if let Some(until) = one.until_at {
        return say_with(
            "unfitted-item-until",
            &[
                ("place", one.place.as_str().into()),
                ("title", one.title.as_str().into()),
                ("until", show.date_time(until).into()),
            ],
        );
    }
    say_with(
        "unfitted-item",
        &[
            ("place", one.place.as_str().into()),
            ("title", one.title.as_str().into()),
            ("window", show.span(one.opens_at, one.closes_at).into()),
        ],
    )
}

fn why(reason: &str) -> String {
    let key = format!("unfitted-{}", key_part(reason));
    say(if knows(&key) { &key } else { "unfitted-other" })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The reasons of the day plan, and the one for work that the ground keeps from being asked for.
    #[test]
    fn every_reason_is_said_in_plain_words() {
        for reason in [
            "no_crew_has_the_skill",
            "no_crew_has_the_hands",
            "no_such_tool",
            "window_shorter_than_the_work",
            "no_crew_on_shift_in_window",
            "water_cannot_finish",
            "waits_for_an_unserved_visit",
            "no_time_left",
            "dearer_than_skipping",
            "ground_forbids",
            "dropped_by_hand",
            "no_longer_due",
            "time_over",
            "closed",
            "draining",
            "resting",
            "bookings_in_rest",
            "newly_dressed",
            "standing_water",
            "not_firm",
            "frost",
            "too_wet",
            "too_dry",
            "wind",
            "air_outside_label",
            "rain_near",
            "heat",
        ] {
            assert_ne!(why(reason), say("unfitted-other"), "{reason}");
        }
    }
}
