//! A trial in plain words: what changes, what it costs, what could not be kept.

use maud::{Markup, html};

use crate::desk::plan_runs::rest::asked::{MoveTold, Replanned};
use crate::desk::plan_runs::rest::{ReplanView, TIME_OVER};
use crate::http::pages::parts::key_part;
use crate::words::shown::Shown;
use crate::words::{knows, say, say_with};

/// What would change.
pub fn trial(show: &Shown, trial: &Replanned) -> Markup {
    let more = trial.pay_cents - trial.pay_before_cents;
    let pay = [
        ("cost", show.money(trial.pay_cents).into()),
        ("more", show.money(more.abs()).into()),
    ];
    let key = match more {
        0 => "replan-pay-same",
        1.. => "replan-pay-more",
        _ => "replan-pay-less",
    };
    // What leaving out is taken to cost is no money, and would drown what is paid.
    let whole = trial.cost_cents - trial.cost_before_cents;
    let whole_key = match whole {
        0 => "replan-cost-same",
        1.. => "replan-cost-more",
        _ => "replan-cost-less",
    };
    html! {
        p.big { (say_with(key, &pay)) }
        p { (say_with(whole_key, &[("more", show.money(whole.abs()).into())])) }
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
    let is_over = |one: &&MoveTold| one.reason.as_deref() == Some(TIME_OVER);
    let (over, others): (Vec<_>, Vec<_>) = moves.iter().partition(is_over);
    html! {
        @if !over.is_empty() {
            details {
                summary { (say_with("replan-time-over", &[("count", over.len().into())])) }
                ul.moves {
                    @for one in over { li { strong { (one.place) } ": " (one.title) } }
                }
            }
        }
        @if !others.is_empty() {
            ul.moves {
                @for one in others {
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
            "crew_done",
            "break_late",
            "tool_lost",
            "watering_late",
        ] {
            assert!(knows(&format!("replan-note-{}", key_part(kind))), "{kind}");
        }
    }
}
