//! What waits for a decision, on top of the day: a stop that is on, courts held, what calendars would change, work left
//! out, and a plan that is not handed out yet.

use std::collections::BTreeMap;

use maud::{Markup, html};
use trade::calendar::work_date;
use trade::units::Micrometres;

use super::{Seen, since};
use crate::desk::days::DayView;
use crate::http::pages::calendars::address as calendars;
use crate::http::pages::courts::address as courts_address;
use crate::http::pages::stops::{address, heat_words, why};
use crate::store::Instant;
use crate::store::sites::SiteRow;
use crate::words::shown::Shown;
use crate::words::{say, say_with};

/// The list; nothing where nothing is to be decided, and for a day that is over.
pub fn list(site: &SiteRow, show: &Shown, day: &DayView, seen: &Seen) -> Markup {
    let today = work_date(show.zone, seen.now);
    if day.date < today {
        return html! {};
    }
    let standing = &day.standing;
    let is_today = day.date == today;
    let here = address(site.id);
    let waits = seen.may_issue
        && day
            .plan
            .as_ref()
            .is_some_and(|plan| plan.state == "planned");
    let left_out = day.unfitted.iter().map(|one| one.closes_at).min();
    let stopped = is_today && (standing.stop.is_some() || !standing.heat_stops.is_empty());
    let asked = seen.calendars_ask;
    let drains = is_today && !day.draining.is_empty();
    let rain = drains || !day.rain_foretold.is_empty();
    let changed = !day.changed_since.is_empty();
    let held = !standing.held.is_empty();
    if !(stopped || waits || rain || changed || held || asked > 0 || left_out.is_some()) {
        return html! {};
    }
    html! {
        section.decide aria-labelledby="decide" {
            h2 #decide { (say("decide-title")) }
            ul {
                @if let Some(from) = standing.stop.as_ref().and_then(|stop| stop.release_from).filter(|_| is_today) {
                    li { a href=(here) { (say_with("decide-lightning", &[("time", show.time(from).into())])) } }
                }
                @for stop in standing.heat_stops.iter().filter(|_| is_today) {
                    li { a href=(here) { (heat_words(show, stop)) } }
                }
                @for hold in &standing.held {
                    li { a href={ (here) "#held" } { (say_with("decide-held", &[
                        ("court", hold.court.as_str().into()),
                        ("why", why(hold).into()),
                    ])) } }
                }
                @for (fit_at, courts) in draining(day).iter().filter(|_| is_today) {
                    li { a href=(courts_address(site.id)) { (say_with("decide-draining", &[
                        ("courts", courts.join(", ").into()),
                        ("time", show.time(*fit_at).into()),
                    ])) } }
                }
                @if changed {
                    li { (since::list(site, show, day, seen.may_plan)) }
                }
                @for shower in &day.rain_foretold {
                    li { (say_with("decide-rain-foretold", &[
                        ("from", show.time(shower.starts_at).into()),
                        ("fell", Micrometres(shower.rain_um).show(show.units).into()),
                        ("until", show.time(shower.wet_until).into()),
                    ])) }
                }
                @if asked > 0 {
                    li { a href={ (calendars(site.id)) "#waiting" } {
                        (say_with("decide-calendars", &[("count", asked.into())]))
                    } }
                }
                @if let Some(by) = left_out {
                    li { a href="#unfitted" { (say_with("decide-left-out", &[
                        ("count", day.unfitted.len().into()),
                        ("time", show.time(by).into()),
                    ])) } }
                }
                @if waits {
                    li { (say("decide-issue")) }
                }
            }
        }
    }
}

/// The courts that drain after rain, by the hour at which they are expected to be fit.
fn draining(day: &DayView) -> BTreeMap<Instant, Vec<&str>> {
    let mut by_hour: BTreeMap<Instant, Vec<&str>> = BTreeMap::new();
    for court in &day.draining {
        by_hour
            .entry(court.expected_fit_at)
            .or_default()
            .push(&court.court);
    }
    by_hour
}
