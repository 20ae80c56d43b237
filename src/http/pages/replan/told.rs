//! A trial in plain words: what changes, what it costs, what could not be kept.

use maud::{Markup, html};

use crate::desk::plan_runs::rest::ReplanView;
use crate::desk::plan_runs::rest::asked::{MoveTold, Replanned};
use crate::http::pages::parts::key_part;
use crate::words::shown::Shown;
use crate::words::{knows, say, say_with};

/// What would change.
pub fn trial(show: &Shown, trial: &Replanned) -> Markup {
    let more = trial.cost_cents - trial.cost_before_cents;
    let cost = [
        ("cost", show.money(trial.cost_cents).into()),
        ("more", show.money(more.abs()).into()),
    ];
    let key = match more {
        0 => "replan-cost-same",
        1.. => "replan-cost-more",
        _ => "replan-cost-less",
    };
    html! {
        p.big { (say_with(key, &cost)) }
        @if trial.moves.is_empty() {
            p { (say("replan-nothing-moves")) }
        }
        (moves(show, &trial.moves))
        @if trial.kept > 0 {
            p { (say_with("replan-kept", &[("count", trial.kept.into())])) }
        }
        @if !trial.notes.is_empty() {
            ul {
                @for note in &trial.notes {
                    li { (say_with(
                        &format!("replan-note-{}", key_part(&note.kind)),
                        &[("about", note.about.as_str().into())],
                    )) }
                }
            }
        }
    }
}

/// The short list of what changes, or changed.
fn moves(show: &Shown, moves: &[MoveTold]) -> Markup {
    html! {
        @if !moves.is_empty() {
            ul.moves {
                @for one in moves {
                    li {
                        strong { (one.place) } ": " (one.title) ". " (became(show, one))
                        @if let Some(reason) = &one.reason { " " (why(reason)) }
                    }
                }
            }
        }
    }
}

fn became(show: &Shown, one: &MoveTold) -> String {
    let time = |at: Option<crate::store::Instant>| at.map(|at| show.time(at)).unwrap_or_default();
    let crew = |name: &Option<String>| name.clone().unwrap_or_default();
    let words = [
        ("was", time(one.was_at).into()),
        ("time", time(one.starts_at).into()),
        ("from", crew(&one.from_crew).into()),
        ("crew", crew(&one.to_crew).into()),
    ];
    say_with(
        &format!("replan-became-{}", key_part(one.became.as_str())),
        &words,
    )
}

fn why(reason: &str) -> String {
    let key = format!("unfitted-{}", key_part(reason));
    say(if knows(&key) { &key } else { "unfitted-other" })
}

/// What changed in a day since it was planned, the newest first.
pub fn changed(show: &Shown, replans: &[ReplanView]) -> Markup {
    html! {
        @if !replans.is_empty() {
            section.changed aria-labelledby="changed" {
                h2 #changed { (say("replan-changed-title")) }
                @for (nth, one) in replans.iter().rev().enumerate() {
                    details open[nth == 0] {
                        summary { (summary(show, one)) }
                        @if one.moves.is_empty() { p { (say("replan-nothing-moved")) } }
                        (moves(show, &one.moves))
                    }
                }
            }
        }
    }
}

fn summary(show: &Shown, one: &ReplanView) -> String {
    let many = one.moves.len();
    let words = [
        ("time", show.time(one.at).into()),
        ("because", one.because.as_str().into()),
        ("count", many.into()),
    ];
    let key = if one.because.is_empty() {
        "replan-changed-at"
    } else {
        "replan-changed-because"
    };
    say_with(key, &words)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::desk::plan_runs::rest::asked::BecameKind;

    #[test]
    fn every_fate_of_a_visit_and_every_note_has_its_words() {
        for kind in BecameKind::ALL {
            assert!(
                knows(&format!("replan-became-{}", key_part(kind.as_str()))),
                "{kind}"
            );
        }
        for kind in [
            "pin_without_start",
            "pin_lost",
            "window_gone",
            "crew_done",
            "break_late",
            "tool_lost",
            "watering_late",
        ] {
            assert!(knows(&format!("replan-note-{}", key_part(kind))), "{kind}");
        }
    }
}
