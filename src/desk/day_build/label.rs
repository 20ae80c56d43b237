//! Work that is tied to the weather, by its label or by the standard: when the day's forecast keeps it from being done.
//! Where nothing is foretold nothing is kept off: the order shows the limits, and the crew looks.

use planner::problem::Span;

use super::clock::{DayClock, minus};
use super::inputs::Inputs;
use super::sky::{stretches, told_once};
use super::withheld::Withheld;
use crate::desk::label::{Limits, limits};
use crate::store::care::CareTaskRow;
use crate::store::weather::WeatherRow;

/// There is too much wind for it.
const WIND: &str = "wind";
/// It is too cold or too warm for it.
const AIR: &str = "air_outside_label";
/// Rain would follow too soon.
const RAIN: &str = "rain_near";

impl Inputs {
    /// The limits of a visit that does these tasks.
    pub fn limits(&self, rows: &[&CareTaskRow]) -> Limits {
        let all = rows.iter().map(|row| limits(&row.detail.0, &self.stores));
        all.reduce(Limits::and).unwrap_or_default()
    }
}

/// What is left of the windows when the weather keeps within the limits.
pub fn mild(inputs: &Inputs, limits: &Limits, windows: &[Span]) -> Vec<Span> {
    let kept = kept_off(&inputs.clock, &inputs.weather, limits);
    let kept: Vec<Span> = kept.into_iter().flat_map(|(_, spans)| spans).collect();
    let left = windows.iter().flat_map(|window| minus(*window, &kept));
    left.collect()
}

/// Why the weather leaves no time of these windows: the first thing that alone does not, else the first that takes any.
pub fn withheld(inputs: &Inputs, limits: &Limits, windows: &[Span], work_s: i64) -> Withheld {
    let kept = kept_off(&inputs.clock, &inputs.weather, limits);
    let takes_any = |spans: &[Span]| {
        let mut all = windows.iter();
        all.any(|window| minus(*window, spans) != [*window])
    };
    let takes_all = |spans: &[Span]| {
        let mut left = windows.iter().flat_map(|window| minus(*window, spans));
        left.all(|window| window[1] - window[0] < work_s)
    };
    let why = kept
        .iter()
        .find(|(_, spans)| takes_all(spans))
        .or_else(|| kept.iter().find(|(_, spans)| takes_any(spans)));
    let until = kept.iter().flat_map(|(_, spans)| spans).map(|span| span[1]);
    Withheld {
        reason: why.map_or(WIND, |(reason, _)| reason),
        until: until.max(),
    }
}

/// When each kind of weather keeps the work from being done, each with the reason's word.
fn kept_off(
    clock: &DayClock,
    weather: &[WeatherRow],
    limits: &Limits,
) -> [(&'static str, Vec<Span>); 3] {
    let (least, most) = (limits.min_air_mc, limits.max_air_mc);
    let outside = |air: i64| least.is_some_and(|of| air < of) || most.is_some_and(|of| air > of);
    let wind = limits.max_wind_mmps.map(|most| {
        let strong = |row: &WeatherRow| row.wind_mmps.is_some_and(|wind| wind > most);
        stretches(clock, weather, |row| row.wind_mmps.is_some(), strong)
    });
    let air = stretches(
        clock,
        weather,
        |row| row.temp_mc.is_some(),
        |row| row.temp_mc.is_some_and(outside),
    );
    let rain = if limits.dry_s > 0 {
        before_rain(clock, weather, limits.dry_s)
    } else {
        Vec::new()
    };
    [(WIND, wind.unwrap_or_default()), (AIR, air), (RAIN, rain)]
}

/// How far back rain of a reading may have begun where no reading stands before it, s.
const RAINS_S: i64 = 3_600;

/// While it rains, and as long before as no rain may follow.
fn before_rain(clock: &DayClock, weather: &[WeatherRow], dry_s: i64) -> Vec<Span> {
    let told = told_once(weather, |row| row.rain_um.is_some());
    let mut before: Option<i64> = None;
    let mut spans = Vec::new();
    for row in told {
        let at = clock.begins(row.read_at);
        // Rain is told as what fell since the reading before.
        let from = before.map_or(at - RAINS_S, |before| before.max(at - RAINS_S));
        before = Some(at);
        if row.rain_um.is_some_and(|fell| fell > 0) {
            spans.push([from.saturating_sub(dry_s), at]);
        }
    }
    spans
}
