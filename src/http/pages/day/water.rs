//! The day's waterings, a line a court.

use maud::{Markup, html};

use crate::desk::days::WateringView;
use crate::words::say;
use crate::words::shown::Shown;

/// What is watered after turnarounds, and at night.
pub fn list(show: &Shown, waterings: &[WateringView]) -> Markup {
    html! {
        @if !waterings.is_empty() {
            section.water aria-labelledby="water" {
                h2 #water { (say("water-title")) }
                p { (say("water-lead")) }
                @for (kind, title) in [("soak", "water-soak"), ("night_cycle", "water-night")] {
                    (table(show, &say(title), &by_court(waterings, kind)))
                }
            }
        }
    }
}

/// The runs of one kind, by court, in the order in which the courts are first watered.
fn by_court<'a>(waterings: &'a [WateringView], kind: &str) -> Vec<Vec<&'a WateringView>> {
    let mut courts: Vec<Vec<&WateringView>> = Vec::new();
    for one in waterings.iter().filter(|one| one.kind == kind) {
        match courts
            .iter_mut()
            .find(|runs| runs[0].court_id == one.court_id)
        {
            Some(runs) => runs.push(one),
            None => courts.push(vec![one]),
        }
    }
    courts
}

fn table(show: &Shown, title: &str, courts: &[Vec<&WateringView>]) -> Markup {
    html! {
        @if !courts.is_empty() {
            table {
                caption { (title) }
                thead {
                    tr {
                        th scope="col" { (say("water-court")) }
                        th scope="col" { (say("water-times")) }
                        th.number scope="col" { (say("water-volume")) }
                    }
                }
                tbody {
                    @for runs in courts {
                        tr {
                            th scope="row" { (runs[0].court) }
                            td {
                                ul.times {
                                    @for run in runs {
                                        li { (show.span(run.starts_at, run.ends_at)) }
                                    }
                                }
                            }
                            td.number { (show.volume(runs.iter().map(|run| run.volume_ml).sum())) }
                        }
                    }
                }
            }
        }
    }
}
