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
                ul {
                    @for one in unfitted {
                        li {
                            h3 { (one.place) ": " (one.title) }
                            p.when { (say_with("unfitted-window", &[("window", show.span(one.opens_at, one.closes_at).into())])) }
                            p { (why(&one.reason)) }
                        }
                    }
                }
            }
        }
    }
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
        ] {
            assert_ne!(why(reason), say("unfitted-other"), "{reason}");
        }
    }
}
