//! The forms of the page: add play, shut courts, a tournament's order.

use std::collections::BTreeMap;

use maud::{Markup, html};

use super::{Day, address};
use crate::http::pages::parts::deed::key;
use crate::store::courts::CourtRow;
use crate::words::say;

/// All forms, each closed until somebody wants it.
pub fn all(day: &Day) -> Markup {
    html! {
        div.play-forms #forms {
            details.stops {
                summary { (say("play-add")) }
                (add(day))
            }
            details.stops {
                summary { (say("play-shut-courts")) }
                (shut(day))
            }
            details.stops open[!day.tournament.court_ids.is_empty()] {
                summary { (say("play-tournament")) }
                (tournament(day))
            }
        }
    }
}

fn add(day: &Day) -> Markup {
    html! {
        form.hold method="post" action={ (address(day.site.id, day.date)) "/sessions" } {
            (key())
            (courts(day, "add-courts"))
            label for="add-name" { (say("play-name")) }
            input #add-name type="text" name="name" required maxlength="80";
            (times("add"))
            label for="add-turnaround" { (say("play-turnaround")) }
            select #add-turnaround name="turnaround" {
                option value="full" { (say("play-full")) }
                option value="short" { (say("play-short")) }
                option value="short_ok" { (say("play-short-ok")) }
                option value="players_brush" { (say("play-players-brush")) }
            }
            label.tick { input type="checkbox" name="open_ended" value="yes"; " " (say("play-open-ended-ask")) }
            button.button.strong type="submit" { (say("play-add-do")) }
        }
    }
}

fn shut(day: &Day) -> Markup {
    html! {
        form.hold method="post" action={ (address(day.site.id, day.date)) "/closures" } {
            (key())
            (courts(day, "shut-courts"))
            (times("shut"))
            label for="shut-reason" { (say("play-why-shut")) }
            input #shut-reason type="text" name="reason" required maxlength="200";
            button.button.strong type="submit" { (say("play-shut-do")) }
        }
    }
}

/// A number a court: the first reopens first; without a number it is not in the tournament.
fn tournament(day: &Day) -> Markup {
    let place = |court: &CourtRow| {
        let at = day
            .tournament
            .court_ids
            .iter()
            .position(|id| *id == court.id);
        at.map(|at| at + 1)
    };
    html! {
        p { (say("play-tournament-words")) }
        form.hold method="post" action={ (address(day.site.id, day.date)) "/tournament" } {
            (key())
            div.play-order {
                @for court in &day.courts {
                    div {
                        label for={ "reopens-" (court.id) } { (court.name) }
                        input id={ "reopens-" (court.id) } type="number" inputmode="numeric" min="1" max="100"
                            name={ "court-" (court.id) } value=[place(court)];
                    }
                }
            }
            button.button.strong type="submit" { (say("play-tournament-do")) }
        }
    }
}

/// One court, the courts of one bank, or all.
fn courts(day: &Day, id: &str) -> Markup {
    let mut banks: BTreeMap<i64, Vec<&str>> = BTreeMap::new();
    for court in &day.courts {
        banks.entry(court.bank_id).or_default().push(&court.name);
    }
    html! {
        label for=(id) { (say("play-courts")) }
        select id=(id) name="courts" required {
            option value="all" { (say("play-all-courts")) }
            @for (bank, names) in &banks {
                @if names.len() > 1 {
                    option value={ "bank-" (bank) } { (names.join(", ")) }
                }
            }
            @for court in &day.courts {
                option value={ "court-" (court.id) } { (court.name) }
            }
        }
    }
}

fn times(id: &str) -> Markup {
    html! {
        div.play-times {
            div {
                label for={ (id) "-from" } { (say("play-from")) }
                input id={ (id) "-from" } type="time" name="from" required;
            }
            div {
                label for={ (id) "-until" } { (say("play-until")) }
                input id={ (id) "-until" } type="time" name="until" required;
            }
        }
        p.hint { (say("play-past-midnight")) }
    }
}
