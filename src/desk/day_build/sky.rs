//! What the weather of the last weeks says of the date: what the air draws, rain, frost, wind, and by when each court
//! has drained.

use std::collections::HashMap;

use chrono::{Days, NaiveDate, TimeDelta};
use planner::problem::Span;
use trade::care::Moisture;
use trade::court::{Firmness, Shower, drains_in, showers};
use trade::units::{Micrometres, Millimetres, Seconds};
use trade::watering::{DayWeather, Humidity, Method, Reference, Spot, reference};
use trade::weather::{WeatherReading, day_summary};

use super::clock::DayClock;
use super::inputs::Inputs;
use crate::desk::settings::{Settings, known};
use crate::store::Instant;
use crate::store::inspections::InspectionRow;
use crate::store::weather::{WeatherKind, WeatherRow};

/// Over how many days before the date its season's ordinary weather is taken.
const SEASON: u64 = 28;
/// How many of them must be known. Common practice, no source.
const KNOWN_DAYS: usize = 7;
/// Past this, a court that was rained on is looked at, not reckoned. Common practice, no source.
const RECKONED: TimeDelta = TimeDelta::hours(24);
/// How long a reading of wind or frost holds where none follows, s.
const HOLDS_S: i64 = 3 * 3_600;
/// How long a reading of frost holds where none follows. Common practice, no source.
const FROST_HOLDS: TimeDelta = TimeDelta::hours(12);
/// The height of a gauge whose height nobody tells (FAO-56: wind at 2 m), mm.
const GAUGE: Millimetres = Millimetres(2_000);

/// What a day's air draws beside the season's ordinary, both by one method.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Air {
    /// What it draws on the date.
    pub drawn: (Micrometres, Method),
    /// What it drew in the mean of the weeks before; none where too few days are known.
    pub usual: Option<Micrometres>,
}

/// A court that was rained on and drains.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Drying {
    /// When the rain began.
    pub since: Instant,
    /// By when it is expected to be fit.
    pub fit_at: Instant,
}

/// What the weather asks of a date. It is reckoned once for the date, not for each court.
#[derive(Clone, Debug, Default)]
pub struct Sky {
    /// What the air draws; none where too little was read or foretold.
    pub air: Option<Air>,
    /// The rain that was read off since the last night's water might have begun.
    pub rain: Micrometres,
    /// When the wind is so strong that sprinklers wait.
    pub windy: Vec<Span>,
    /// The courts that drain after rain.
    pub drying: HashMap<i64, Drying>,
    /// The ground was read off to be frozen.
    pub frost: bool,
}

impl Sky {
    /// Of the inputs' date, as it is at an instant.
    pub fn of(inputs: &Inputs, at: Instant) -> Self {
        let (clock, weather) = (&inputs.clock, inputs.weather.as_slice());
        let most = inputs.settings.number(known::WIND_NO_SPRINKLER_MMPS);
        let strong = |row: &WeatherRow| row.wind_mmps.is_some_and(|wind| wind > most);
        let courts = inputs.courts.iter().map(|court| court.id);
        let looks = &inputs.ground.looks;
        Self {
            air: air(inputs),
            rain: rain(inputs),
            windy: stretches(clock, weather, |row| row.wind_mmps.is_some(), strong),
            drying: drying(&inputs.settings, courts, weather, looks, at),
            frost: frozen(weather, at),
        }
    }
}

fn air(inputs: &Inputs) -> Option<Air> {
    let of = |date| drawn(&inputs.clock, &inputs.settings, &inputs.weather, date);
    let today = of(inputs.date)?;
    let before =
        (1..=SEASON).filter_map(|back| of(inputs.date.checked_sub_days(Days::new(back))?));
    let alike: Vec<i64> = before
        .filter(|day| day.by == today.by)
        .map(|day| day.depth.0)
        .collect();
    let count = i64::try_from(alike.len())
        .ok()
        .filter(|_| alike.len() >= KNOWN_DAYS);
    Some(Air {
        drawn: (today.depth, today.by),
        usual: count.map(|count| Micrometres(alike.iter().sum::<i64>() / count)),
    })
}

fn rain(inputs: &Inputs) -> Micrometres {
    let eve = inputs.date.pred_opt().unwrap_or(inputs.date);
    let begins = inputs.settings.time(known::NIGHT_WATER_FROM);
    let from = inputs.clock.on(eve).instant_of(begins);
    let until = inputs.clock.instant(inputs.clock.length_s());
    let fell = between(&inputs.weather, from, until)
        .iter()
        .filter(|row| row.kind == WeatherKind::Observed);
    Micrometres(fell.filter_map(|row| row.rain_um).sum())
}

/// The rows from an instant until before another; they are in order of time.
pub fn between(weather: &[WeatherRow], from: Instant, until: Instant) -> &[WeatherRow] {
    let first = weather.partition_point(|row| row.read_at < from);
    let end = weather.partition_point(|row| row.read_at < until);
    weather.get(first..end).unwrap_or_default()
}

/// By when the courts that were rained on are fit: of the last shower before `at`, unless somebody saw since that the
/// court has drained, or that it still had not by the hour that was expected.
pub fn drying(
    settings: &Settings,
    courts: impl Iterator<Item = i64>,
    weather: &[WeatherRow],
    looks: &[InspectionRow],
    at: Instant,
) -> HashMap<i64, Drying> {
    let all = rained(weather);
    let now = at.utc().timestamp();
    let Some(last) = all.iter().rev().find(|shower| shower.from.0 <= now) else {
        return HashMap::new();
    };
    if now - last.until.0 > RECKONED.num_seconds() {
        return HashMap::new();
    }
    let usual = Seconds(settings.number(known::DRAIN_AFTER_RAIN_S));
    let mut wet = HashMap::new();
    for court in courts {
        let seen: Vec<&InspectionRow> = looks
            .iter()
            .filter(|look| look.court_id == court && look.seen_at <= at)
            .collect();
        let fit_at = last.until.0 + drains_in(usual, &record(&all, &seen)).0;
        let told = seen.iter().rev().find_map(|look| {
            let since = look.seen_at.utc().timestamp() >= last.until.0;
            since.then(|| has_drained(look).map(|drained| (look, drained)))?
        });
        let is_settled =
            told.is_some_and(|(look, drained)| drained || look.seen_at.utc().timestamp() >= fit_at);
        if !is_settled {
            wet.insert(
                court,
                Drying {
                    since: instant(last.from.0),
                    fit_at: instant(fit_at),
                },
            );
        }
    }
    wet
}

/// A shower that is foretold. It shuts no court: a forecast may be wrong.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Foretold {
    /// When it is to begin.
    pub from: Instant,
    /// Until when courts are likely wet, by what the site usually takes to drain.
    pub wet_until: Instant,
    /// What is to fall.
    pub fell: Micrometres,
}

/// The showers that are foretold from an instant until before another; the weather is in order of time.
pub fn foretold(
    settings: &Settings,
    weather: &[WeatherRow],
    from: Instant,
    until: Instant,
) -> Vec<Foretold> {
    let usual = settings.number(known::DRAIN_AFTER_RAIN_S);
    let to_come = between(weather, from, until).iter();
    let showers = showers_of(to_come.filter(|row| row.kind == WeatherKind::Forecast));
    let told = showers.iter().map(|shower| Foretold {
        from: instant(shower.from.0),
        wet_until: instant(shower.until.0 + usual),
        fell: shower.fell,
    });
    told.collect()
}

/// How long a court took to drain after earlier showers: until the first look that found it drained, where a look
/// before it had found it wet, so that it is known to be a time of draining and not of waiting for somebody to look.
fn record(showers: &[Shower], looks: &[&InspectionRow]) -> Vec<Seconds> {
    let mut times = Vec::new();
    for (nth, shower) in showers.iter().enumerate() {
        let ends = showers.get(nth + 1).map_or(i64::MAX, |next| next.from.0);
        let ends = ends.min(shower.until.0 + RECKONED.num_seconds());
        let after = looks
            .iter()
            .map(|look| (look.seen_at.utc().timestamp(), has_drained(look)))
            .filter(|(at, _)| (shower.until.0..ends).contains(at));
        let mut was_wet = false;
        for (at, drained) in after {
            match drained {
                Some(false) => was_wet = true,
                Some(true) if was_wet => {
                    times.push(Seconds(at - shower.until.0));
                    break;
                }
                Some(true) => break,
                None => {}
            }
        }
    }
    times
}

/// Whether a look found the court drained; none where it says nothing of water.
fn has_drained(look: &InspectionRow) -> Option<bool> {
    let moisture = look.moisture.map(|moisture| moisture.0);
    let firmness = look.firmness.map(|firmness| firmness.0);
    if look.standing_water == Some(true)
        || moisture == Some(Moisture::Wet)
        || firmness == Some(Firmness::Soft)
    {
        return Some(false);
    }
    (look.standing_water.is_some() || moisture.is_some() || firmness.is_some()).then_some(true)
}

/// The showers that were read off, in seconds of the epoch.
fn rained(weather: &[WeatherRow]) -> Vec<Shower> {
    let read = weather.iter();
    showers_of(read.filter(|row| row.kind == WeatherKind::Observed))
}

fn showers_of<'a>(rows: impl Iterator<Item = &'a WeatherRow>) -> Vec<Shower> {
    let rain: Vec<_> = rows
        .filter_map(|row| {
            let at = Seconds(row.read_at.utc().timestamp());
            Some((at, Micrometres(row.rain_um?)))
        })
        .collect();
    showers(&rain)
}

/// Whether the last word before an instant was of frost in the ground.
fn frozen(weather: &[WeatherRow], at: Instant) -> bool {
    let since = Instant::from(at.utc() - FROST_HOLDS);
    let known = weather.partition_point(|row| row.read_at <= at);
    let lately = weather.get(..known).unwrap_or_default();
    let lately = lately.iter().rev().take_while(|row| row.read_at >= since);
    let told = lately.filter(|row| row.frost.is_some());
    let last = told.max_by_key(|row| (row.read_at, row.kind == WeatherKind::Observed));
    last.is_some_and(|row| row.frost == Some(true))
}

/// What the air draws on a date of the site.
fn drawn(
    clock: &DayClock,
    settings: &Settings,
    weather: &[WeatherRow],
    date: NaiveDate,
) -> Option<Reference> {
    let day = clock.on(date);
    let until = day.instant(day.length_s());
    let of_date = between(weather, day.start().into(), until);
    let of_date = put_together(of_date);
    let sum = day_summary(&of_date);
    let (temp_min, temp_max) = (sum.temp_min?, sum.temp_max?);
    if temp_min >= temp_max {
        return None;
    }
    let weather = DayWeather {
        temp_min,
        temp_max,
        humidity: sum
            .humidity_min_permille
            .zip(sum.humidity_max_permille)
            .map(|(min_permille, max_permille)| Humidity::Relative {
                min_permille,
                max_permille,
            }),
        wind_mmps: sum.wind_mmps,
        wind_height: GAUGE,
        sunshine: None,
        // W/m² through a day of 86,400 s is 86.4 times as many kJ/m².
        solar_kj_m2: sum.solar_w_m2.map(|watts| watts * 864 / 10),
    };
    let spot = Spot {
        latitude_udeg: settings.number(known::LATITUDE_UDEG),
        altitude: Millimetres(settings.number(known::ALTITUDE_MM)),
    };
    reference(&weather, spot, date).ok()
}

/// Of one instant, what was read off counts before what was foretold: it stands first. Each quantity by itself, so that
/// a reading of rain alone does not hide the wind or the warmth that are foretold for its hour.
fn put_together(weather: &[WeatherRow]) -> Vec<WeatherReading> {
    let of_one_instant = weather.chunk_by(|one, next| one.read_at == next.read_at);
    let together = of_one_instant.map(|rows| {
        let mut rows = rows.iter().map(WeatherRow::reading);
        let first = rows.next().unwrap_or_default();
        rows.fold(first, |read, foretold| WeatherReading {
            temp: read.temp.or(foretold.temp),
            humidity_permille: read.humidity_permille.or(foretold.humidity_permille),
            wind_mmps: read.wind_mmps.or(foretold.wind_mmps),
            gust_mmps: read.gust_mmps.or(foretold.gust_mmps),
            rain: read.rain.or(foretold.rain),
            solar_w_m2: read.solar_w_m2.or(foretold.solar_w_m2),
            frost: read.frost.or(foretold.frost),
        })
    });
    together.collect()
}

/// The readings that tell of something, of one instant one.
pub fn told_once(
    weather: &[WeatherRow],
    tells: impl Fn(&WeatherRow) -> bool,
) -> impl Iterator<Item = &WeatherRow> {
    let mut last = None;
    weather
        .iter()
        .filter(move |row| tells(row))
        .filter(move |row| last.replace(row.read_at) != Some(row.read_at))
}

/// The stretches, each from one reading to the next, in which something is so.
pub fn stretches(
    clock: &DayClock,
    weather: &[WeatherRow],
    tells: impl Fn(&WeatherRow) -> bool,
    is_so: impl Fn(&WeatherRow) -> bool,
) -> Vec<Span> {
    let (from, until) = clock.around();
    let around = between(weather, from, until);
    let told: Vec<&WeatherRow> = told_once(around, tells).collect();
    let mut spans: Vec<Span> = Vec::new();
    for (nth, row) in told.iter().enumerate() {
        if !is_so(row) {
            continue;
        }
        let from = clock.begins(row.read_at);
        let next = told
            .get(nth + 1)
            .map_or(i64::MAX, |next| clock.begins(next.read_at));
        spans.push([from, next.min(from + HOLDS_S)]);
    }
    spans
}

fn instant(seconds: i64) -> Instant {
    Instant::from(chrono::DateTime::from_timestamp(seconds, 0).unwrap_or_default())
}
