//! A part's length against its use: what was measured, the line through it, what is to come with its likely range, and the
//! length at which it is worn out. The same figures stand in words beside it.

use maud::{Markup, html};

use super::{far, length, when};
use crate::desk::wear::{Point, WearWhole};
use crate::store::wear::ReadingState;
use crate::words::shown::Shown;
use crate::words::{say, say_with};

/// How large a drawing is.
#[derive(Clone, Copy, PartialEq, Eq)]
pub enum Size {
    /// Beside a part in the list.
    Small,
    /// On the part's own page.
    Large,
}

/// The drawing's measures, in its own units; it is as wide as its place.
const WIDTH: i64 = 640;
const HEIGHT: i64 = 260;
const LEFT: i64 = 96;
const BOTTOM: i64 = 36;
const TOP: i64 = 18;
const RIGHT: i64 = 10;

/// Where lengths and uses lie.
struct Scale {
    most_m: i64,
    most_um: i64,
}

impl Scale {
    fn of(part: &WearWhole) -> Self {
        let ends = part.ahead.last().map_or(0, |point| point.used_m);
        Self {
            most_m: ends.max(part.wear.used_m).max(1),
            most_um: part.wear.part.start_um.unwrap_or(1).max(1),
        }
    }

    fn x(&self, used_m: i64) -> i64 {
        LEFT + used_m.clamp(0, self.most_m) * (WIDTH - LEFT - RIGHT) / self.most_m
    }

    fn y(&self, um: i64) -> i64 {
        let most = self.most_um;
        HEIGHT - BOTTOM - um.clamp(0, most) * (HEIGHT - BOTTOM - TOP) / most
    }

    fn path(&self, points: impl Iterator<Item = (i64, i64)>) -> String {
        let steps = points.enumerate().map(|(nth, (used, um))| {
            let how = if nth == 0 { 'M' } else { 'L' };
            format!("{how}{} {}", self.x(used), self.y(um))
        });
        steps.collect()
    }
}

/// The drawing.
pub fn drawing(show: &Shown, part: &WearWhole, size: Size) -> Markup {
    let scale = Scale::of(part);
    let wear = &part.wear;
    let limit = scale.y(wear.worn_out_at_um);
    let now = scale.x(wear.used_m);
    let said = say_with(
        "wear-chart",
        &[
            ("tool", wear.tool.as_str().into()),
            ("length", length(show, wear.length_um).into()),
            ("when", when(show, wear).into()),
        ],
    );
    html! {
        svg.wear-chart.is-large[size == Size::Large] viewBox={ "0 0 " (WIDTH) " " (HEIGHT) } role="img" aria-label=(said) {
            path.wear-axis d={ "M" (LEFT) " " (TOP) "V" (HEIGHT - BOTTOM) "H" (WIDTH - RIGHT) } {}
            text.wear-label x=(LEFT - 6) y=(scale.y(scale.most_um) + 5) text-anchor="end" { (length(show, scale.most_um)) }
            text.wear-label x=(LEFT - 6) y=(limit + 5) text-anchor="end" { (length(show, wear.worn_out_at_um)) }
            text.wear-label x=(LEFT) y=(HEIGHT - 8) { "0" }
            text.wear-label x=(WIDTH - RIGHT) y=(HEIGHT - 8) text-anchor="end" { (far(show, scale.most_m)) }
            path.wear-band d=(band(&scale, &part.ahead)) {}
            path.wear-ahead d=(scale.path(part.ahead.iter().map(|point| (point.used_m, point.likely_um)))) {}
            path.wear-line d=(scale.path(line(part))) {}
            path.wear-limit d={ "M" (LEFT) " " (limit) "H" (WIDTH - RIGHT) } {}
            path.wear-now d={ "M" (now) " " (TOP) "V" (HEIGHT - BOTTOM) } {}
            text.wear-label x=(now + 4) y=(TOP + 12) { (say("wear-today")) }
            (readings(&scale, part))
        }
    }
}

/// From new on, by what was expected at each reading, until now.
fn line(part: &WearWhole) -> impl Iterator<Item = (i64, i64)> {
    let new = part.wear.part.start_um.map(|um| (0, um));
    let fitted = part
        .fitted
        .iter()
        .map(|point| (point.used_m, point.likely_um));
    let now = (part.wear.used_m, part.wear.length_um);
    new.into_iter().chain(fitted).chain(std::iter::once(now))
}

/// There above, back below.
fn band(scale: &Scale, ahead: &[Point]) -> String {
    let above = ahead.iter().map(|point| (point.used_m, point.high_um));
    let below = ahead.iter().rev().map(|point| (point.used_m, point.low_um));
    let path = scale.path(above.chain(below));
    if path.is_empty() { path } else { path + "Z" }
}

/// What was measured: full where it counts, hollow where it is doubted, crossed where it was struck.
fn readings(scale: &Scale, part: &WearWhole) -> Markup {
    html! {
        @for (used, um) in &part.measured {
            circle.wear-dot cx=(scale.x(*used)) cy=(scale.y(*um)) r="4" {}
        }
        @for reading in &part.all_readings {
            @let (x, y) = (scale.x(reading.used_mm / 1_000), scale.y(reading.length_um));
            @match reading.state {
                ReadingState::Standing => {}
                ReadingState::Doubted => circle.wear-dot.is-doubted cx=(x) cy=(y) r="5" {},
                ReadingState::Struck => path.wear-struck d={ "M" (x - 4) " " (y - 4) "l8 8m0-8l-8 8" } {},
            }
        }
    }
}
