//! The day at a glance: a line a crew, its visits where they lie in time. Everything in it stands
//! in words in the rounds below, so it is kept from screen readers; a phone is too narrow for it.

use chrono::{DateTime, TimeDelta, Utc};
use maud::{Markup, html};

use crate::desk::days::RoundView;
use crate::desk::orders::OrderView;
use crate::http::pages::parts::key_part;
use crate::words::say;
use crate::words::shown::Shown;

/// The drawing's measures, in its own units; it is as wide as the page.
const WIDTH: i64 = 1_000;
const NAMES: i64 = 130;
const LINE: i64 = 27;
const HEAD: i64 = 22;
/// About what a letter takes.
const LETTER: i64 = 7;

/// Where instants lie in the drawing: from the hour of the first start to that of the last end.
struct Scale {
    from: DateTime<Utc>,
    to: DateTime<Utc>,
}

impl Scale {
    fn of(show: &Shown, rounds: &[RoundView]) -> Option<Self> {
        let from = rounds.iter().map(|round| round.leaves_at).min()?;
        let to = rounds.iter().map(|round| round.returns_at).max()?;
        let from = show.hour_start(from.into());
        let end = show.hour_start(to.into());
        let to = if end == to.utc() {
            end
        } else {
            end + TimeDelta::hours(1)
        };
        (from < to).then_some(Self { from, to })
    }

    fn x(&self, at: impl Into<DateTime<Utc>>) -> i64 {
        let whole = (self.to - self.from).num_seconds();
        let part = (at.into() - self.from).num_seconds().clamp(0, whole);
        NAMES + part * (WIDTH - NAMES) / whole
    }

    /// Every hour, or every second one of a long day.
    fn hours(&self) -> impl Iterator<Item = DateTime<Utc>> {
        let count = (self.to - self.from).num_hours();
        let step = if count > 12 { 2 } else { 1 };
        let from = self.from;
        (0..count)
            .step_by(step)
            .map(move |hour| from + TimeDelta::hours(hour))
    }
}

/// The drawing; `now` is marked where it lies inside.
pub fn drawing(show: &Shown, rounds: &[RoundView], now: DateTime<Utc>) -> Markup {
    let Some(scale) = Scale::of(show, rounds) else {
        return html! {};
    };
    let lines = i64::try_from(rounds.len()).unwrap_or_default();
    let bottom = HEAD + lines * LINE;
    html! {
        figure.strip aria-hidden="true" {
            figcaption { (say("day-glance")) }
            svg viewBox={ "0 0 " (WIDTH) " " (bottom + 4) } focusable="false" {
                @for hour in scale.hours() {
                    @let x = scale.x(hour);
                    path.strip-hour d={ "M" (x) " " (HEAD - 4) "V" (bottom) } {}
                    text.strip-label x=(x + 3) y=(HEAD - 7) { (show.hour(hour)) }
                }
                @for (line, round) in rounds.iter().enumerate() {
                    (crew(&scale, round, HEAD + i64::try_from(line).unwrap_or_default() * LINE))
                }
                @if scale.from <= now && now < scale.to {
                    path.strip-now d={ "M" (scale.x(now)) " " (HEAD - 4) "V" (bottom) } {}
                }
            }
        }
    }
}

fn crew(scale: &Scale, round: &RoundView, top: i64) -> Markup {
    let (from, to) = (scale.x(round.leaves_at), scale.x(round.returns_at));
    html! {
        text.strip-crew x="0" y=(top + 18) { (short(&round.crew, NAMES - 8).unwrap_or(&round.crew)) }
        rect.strip-round x=(from) y=(top + 10) width=((to - from).max(1)) height="6" rx="3" {}
        @for view in &round.orders {
            (visit(scale, view, top))
        }
    }
}

fn visit(scale: &Scale, view: &OrderView, top: i64) -> Markup {
    let (from, to) = (
        scale.x(view.order.planned_start),
        scale.x(view.order.planned_end),
    );
    let width = (to - from - 1).max(3);
    let state = key_part(view.order.state.as_str());
    html! {
        g.strip-visit.(format!("is-{state}")) {
            rect x=(from) y=(top + 3) width=(width) height="21" rx="3" {}
            @if let Some(name) = short(&view.place, width - 1) {
                text x=(from + width / 2) y=(top + 18) { (name) }
            }
        }
    }
}

/// A name where it has the room, else its last word (mostly a number), else nothing.
fn short(name: &str, room: i64) -> Option<&str> {
    let fits = |text: &&str| i64::try_from(text.chars().count()).is_ok_and(|n| n * LETTER <= room);
    Some(name)
        .filter(fits)
        .or_else(|| name.rsplit(' ').next().filter(fits))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_name_is_shown_whole_or_by_its_number_or_not_at_all() {
        assert_eq!(short("Court 12", 56), Some("Court 12"));
        assert_eq!(short("Court 12", 20), Some("12"));
        assert_eq!(short("Court 12", 8), None);
    }
}
