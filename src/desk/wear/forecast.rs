//! How worn the measured parts of tools are, and when they will be worn out.

use std::collections::HashMap;

use chrono::{Days, NaiveDate};
use serde::Serialize;
use trade::calendar::work_date;
use trade::grooming::{Direction, ToolAction};
use trade::wear::{
    ClassPrior, DayUse, Doubt, Forecast, Of, Reading, Remaining, UsedFor, Wear, dates, doubt,
    pulled,
};
use utoipa::ToSchema;

use crate::desk::access::{Permit, SeeTools};
use crate::desk::booking::Rates;
use crate::desk::error::Named;
use crate::desk::{Error, Office, Result};
use crate::store::sites::site_read;
use crate::store::tools::{ReadingRow, ToolClassRow, WearPartRow, reading_list, tool_class_list};
use crate::store::wear::{
    DoubtedReading, Measured, MeasuredPart, doubted_readings, measured, measured_parts,
    part_uses_since, used_until,
};
use crate::store::{self, Conn, Page, Scope};

/// Days of use from which the use to come is expected: four weeks hold every weekday alike.
const LOOKED_BACK: u64 = 28;
/// How far ahead a day is named, days: two seasons.
const LOOKED_AHEAD: u64 = 730;
/// How far a new brush differs from its class's length, one standard deviation, mm. Common practice, no source.
const START_SD_MM: f64 = 1.5;
/// Points at which what is to come is told, from now on.
const AHEAD_POINTS: u32 = 24;
const UM_PER_MM: f64 = 1_000.0;
/// The unit of use in which the model reckons: a kilometre.
const MM_PER_KM: f64 = 1_000_000.0;

/// A day, early, likely and late: with 10, 50 and 90 % chance it is no later.
#[derive(Clone, Copy, Debug, Serialize, ToSchema)]
pub struct WearDay {
    /// One time in ten it is no later.
    pub early: Option<NaiveDate>,
    /// As likely before as after.
    pub likely: Option<NaiveDate>,
    /// Nine times in ten it is no later; null where that lies beyond two years.
    pub late: Option<NaiveDate>,
}

/// How worn a part is, and when it will be at its limit.
#[derive(Clone, Debug, Serialize, ToSchema)]
#[schema(as = PartWear)]
pub struct WearView {
    /// The part.
    #[serde(flatten)]
    pub part: WearPartRow,
    /// The number on its tool.
    pub tool: String,
    /// What the site calls the tool's class.
    pub class: String,
    /// How far it was pulled so far, by what it was pulled over, m.
    pub used_m: i64,
    /// How far a day in the last four weeks, m.
    pub used_a_day_m: i64,
    /// The length at which it is worn out, µm: its own, or half of what it was when new.
    pub worn_out_at_um: i64,
    /// How long it is likely to be now, µm.
    pub length_um: i64,
    /// One time in ten it is shorter than that, µm.
    pub length_low_um: i64,
    /// One time in ten it is longer than that, µm.
    pub length_high_um: i64,
    /// How far it can be pulled until it is worn out: early, likely and late, m; null where no finite figure can be named.
    pub left_m: [Option<i64>; 3],
    /// The day on which it is worn out, by the use of the last four weeks.
    pub worn_out_on: WearDay,
    /// How many readings count.
    pub readings: usize,
    /// It was last measured at its limit or below.
    pub is_worn_out: bool,
}

/// A length, expected at some use.
#[derive(Clone, Copy, Debug, Serialize, ToSchema)]
#[schema(as = WearPoint)]
pub struct Point {
    /// The use, m.
    pub used_m: i64,
    /// One time in ten it is shorter, µm.
    pub low_um: i64,
    /// As likely shorter as longer, µm.
    pub likely_um: i64,
    /// One time in ten it is longer, µm.
    pub high_um: i64,
}

/// A part's whole life so far, and what is to come.
#[derive(Clone, Debug, Serialize, ToSchema)]
#[schema(as = PartWearWhole)]
pub struct WearWhole {
    /// How worn it is.
    #[serde(flatten)]
    pub wear: WearView,
    /// All its readings, also those that do not count, in the order in which they were booked.
    pub all_readings: Vec<ReadingRow>,
    /// What counts of what was measured: the use, m, and the length, µm.
    #[serde(skip)]
    pub measured: Vec<(i64, i64)>,
    /// What was expected of it at each reading that counts, once that was known.
    pub fitted: Vec<Point>,
    /// What is expected from now on.
    pub ahead: Vec<Point>,
}

/// How worn a site's parts are.
#[derive(Clone, Debug)]
pub struct WearNow {
    /// The site's own date.
    pub on: NaiveDate,
    /// The measured parts that are fitted, the most urgent first.
    pub parts: Vec<WearWhole>,
    /// The readings that wait to be confirmed or struck, oldest first.
    pub doubted: Vec<DoubtedReading>,
}

/// How worn the site's parts are.
pub fn wear_now(office: &Office, permit: &Permit<SeeTools>) -> Result<WearNow> {
    let now = office.now();
    office.db.read(|conn| {
        let on = work_date(site_read(conn, permit)?.zone()?, now.utc());
        let mut parts = all_of(conn, permit, None, on)?;
        parts.sort_by_key(|one| {
            let wear = &one.wear;
            let day = wear.worn_out_on.likely.unwrap_or(NaiveDate::MAX);
            (!wear.is_worn_out, day, wear.part.id)
        });
        let doubted = doubted_readings(conn, permit)?;
        Ok(WearNow { on, parts, doubted })
    })
}

/// One part, with all its readings.
pub fn wear_whole(office: &Office, permit: &Permit<SeeTools>, part: i64) -> Result<WearWhole> {
    let today = office.now();
    office.db.read(|conn| {
        let row = store::tools::wear_part_read(conn, permit, part).named("wear part")?;
        let on = work_date(site_read(conn, permit)?.zone()?, today.utc());
        let mut whole = all_of(conn, permit, Some(part), row.retired_on.unwrap_or(on))?
            .pop()
            .ok_or_else(|| Error::state(no_forecast(&row)))?;
        whole.all_readings = reading_list(conn, permit, Some(part), Page::ALL)?.items;
        Ok(whole)
    })
}

fn no_forecast(part: &WearPartRow) -> String {
    let why = match (part.start_um, part.tool_id) {
        (Some(_), Some(_)) => {
            "its tool's class says not how wide it works, or over how many uses its cost is spread: enter them"
        }
        _ => "it is judged by eye",
    };
    format!("this part has no forecast: {why}")
}

/// What speaks against a length of a part on a day, by what is known of it; and the readings that count for that.
pub(super) fn doubt_of(
    conn: &mut Conn,
    scope: &Scope,
    rates: &Rates,
    part: &WearPartRow,
    (on, length_um): (NaiveDate, i64),
) -> Result<(Option<Doubt>, Option<Wear>, Reading)> {
    let used_mm = used_until(conn, scope, part.id, on)?;
    let reading = reading_at(used_mm, length_um);
    let Some(prior) = prior(rates, part) else {
        return Ok((None, None, reading));
    };
    let known = measured(conn, scope, Some(part.id))?;
    let before = known.iter().filter(|one| one.used_mm <= used_mm);
    let state = state(&prior, before);
    let why = state.as_ref().and_then(|state| doubt(state, reading));
    Ok((why, state, reading))
}

fn all_of(
    conn: &mut Conn,
    scope: &Scope,
    one: Option<i64>,
    today: NaiveDate,
) -> Result<Vec<WearWhole>> {
    let rates = Rates::read(conn, scope)?;
    let classes: HashMap<i64, ToolClassRow> = tool_class_list(conn, scope, Page::ALL)?
        .items
        .into_iter()
        .map(|class| (class.id, class))
        .collect();
    let from = today.checked_sub_days(Days::new(LOOKED_BACK - 1));
    let recent: HashMap<i64, i64> = part_uses_since(conn, scope, from.unwrap_or(today))?
        .into_iter()
        .map(|(part, used)| (part, used.unwrap_or(0).max(0)))
        .collect();
    let mut lengths: HashMap<i64, Vec<Measured>> = HashMap::new();
    for length in measured(conn, scope, one)? {
        lengths.entry(length.wear_part_id).or_default().push(length);
    }
    let parts = measured_parts(conn, scope, one)?;
    let views = parts.into_iter().filter_map(|part| {
        let lengths = lengths.remove(&part.part.id).unwrap_or_default();
        let class = classes.get(&part.tool_class_id)?;
        let recent = recent.get(&part.part.id).copied().unwrap_or(0);
        whole(&rates, part, class, &lengths, recent, today)
    });
    Ok(views.collect())
}

/// None where no forecast can be made: a part of a class that says nothing of how it is used.
fn whole(
    rates: &Rates,
    of: MeasuredPart,
    class: &ToolClassRow,
    lengths: &[Measured],
    recent_mm: i64,
    today: NaiveDate,
) -> Option<WearWhole> {
    let prior = prior(rates, &of.part)?;
    let limit_um = limit_of(&of.part)?;
    let limit_mm = mm(limit_um);
    let (wear, fitted) = told(&prior, lengths)?;
    let used_km = km(of.used_mm);
    let now = wear.forecast(used_km, Of::Line).ok()?;
    let left = wear.remaining(used_km, limit_mm).ok()?;
    let days = i64::try_from(LOOKED_BACK).unwrap_or(1);
    let a_day_mm = recent_mm / days;
    let worn_out_on = worn_out_on(&left, km(a_day_mm), today);
    let (low_um, likely_um, high_um) = lengths_of(&now);
    let view = WearView {
        tool: of.number,
        class: class.name.clone(),
        used_m: of.used_mm / 1_000,
        used_a_day_m: a_day_mm / 1_000,
        worn_out_at_um: limit_um,
        length_um: likely_um,
        length_low_um: low_um,
        length_high_um: high_um,
        left_m: [left.p10, left.p50, left.p90]
            .map(|left| left.and_then(|km| whole_number(km * 1_000.0))),
        worn_out_on,
        readings: lengths.len(),
        is_worn_out: lengths
            .last()
            .is_some_and(|last| last.length_um <= limit_um),
        part: of.part,
    };
    let ahead = ahead(&wear, used_km, &left);
    Some(WearWhole {
        wear: view,
        all_readings: Vec::new(),
        measured: lengths
            .iter()
            .map(|one| (one.used_mm / 1_000, one.length_um))
            .collect(),
        fitted,
        ahead,
    })
}

/// What is known after all readings, and what was expected at each of them.
fn told(prior: &ClassPrior, lengths: &[Measured]) -> Option<(Wear, Vec<Point>)> {
    let mut wear = Wear::new(prior).ok()?;
    let mut fitted = Vec::with_capacity(lengths.len());
    for one in lengths {
        let reading = reading_at(one.used_mm, one.length_um);
        // They come in order of use; one that cannot be taken says nothing more.
        if wear.take(reading).is_err() {
            continue;
        }
        if let Ok(forecast) = wear.forecast(reading.used, Of::Line) {
            fitted.push(point(one.used_mm, &forecast));
        }
    }
    Some((wear, fitted))
}

fn state<'a>(prior: &ClassPrior, lengths: impl Iterator<Item = &'a Measured>) -> Option<Wear> {
    let mut wear = Wear::new(prior).ok()?;
    for one in lengths {
        wear.take(reading_at(one.used_mm, one.length_um)).ok();
    }
    Some(wear)
}

/// From now until the limit is nearly certain to be reached, or for as much use again as it had.
fn ahead(wear: &Wear, used_km: f64, left: &Remaining) -> Vec<Point> {
    let until = left.p90.or(left.p50).unwrap_or(used_km).max(1.0);
    let at = |nth: u32| used_km + until * f64::from(nth) / f64::from(AHEAD_POINTS);
    (0..=AHEAD_POINTS)
        .filter_map(|nth| {
            let forecast = wear.forecast(at(nth), Of::Line).ok()?;
            Some(point(whole_number(at(nth) * MM_PER_KM)?, &forecast))
        })
        .collect()
}

fn worn_out_on(left: &Remaining, a_day_km: f64, today: NaiveDate) -> WearDay {
    let days: Vec<DayUse> = today
        .iter_days()
        .take(usize::try_from(LOOKED_AHEAD).unwrap_or(0))
        .map(|day| DayUse {
            day,
            uses: a_day_km,
        })
        .collect();
    let [early, likely, late] = dates(left, &days);
    WearDay {
        early,
        likely,
        late,
    }
}

/// What is known of a part before its first reading, by its tool's class: its length when new, and how far it is pulled
/// over the site's courts until it is worn out.
fn prior(rates: &Rates, part: &WearPartRow) -> Option<ClassPrior> {
    let tool = part.tool_id?;
    let class = rates.class_of(tool)?;
    let drag = class.drag?;
    let used_for = match class.action {
        ToolAction::ClearsLines => UsedFor::Beside,
        _ => UsedFor::Grooming(Direction::Along),
    };
    let each: Vec<i64> = rates
        .surfaces()
        .filter_map(|surface| Some(pulled(class.action, &drag, surface, used_for).ok()?.0))
        .collect();
    let courts = i64::try_from(each.len())
        .ok()
        .filter(|courts| *courts > 0)?;
    let one_use_mm = each.iter().sum::<i64>() / courts;
    let life_mm = one_use_mm.checked_mul(rates.wear(tool)?.uses)?;
    let (start, limit) = (mm(part.start_um?), mm(limit_of(part)?));
    ClassPrior::of_life(start, START_SD_MM, limit, km(life_mm)).ok()
}

/// A brush is changed at about half its length where the site does not say otherwise (common practice, no source).
fn limit_of(part: &WearPartRow) -> Option<i64> {
    part.limit_um.or_else(|| Some(part.start_um? / 2))
}

fn reading_at(used_mm: i64, length_um: i64) -> Reading {
    Reading {
        used: km(used_mm),
        length_mm: mm(length_um),
    }
}

fn point(used_mm: i64, forecast: &Forecast) -> Point {
    let (low_um, likely_um, high_um) = lengths_of(forecast);
    Point {
        used_m: used_mm / 1_000,
        low_um,
        likely_um,
        high_um,
    }
}

/// Low, likely and high, µm.
fn lengths_of(forecast: &Forecast) -> (i64, i64, i64) {
    let um = |length_mm: f64| whole_number(length_mm.max(0.0) * UM_PER_MM).unwrap_or(0);
    (
        um(forecast.quantile(0.1)),
        um(forecast.median_mm()),
        um(forecast.quantile(0.9)),
    )
}

/// Lengths and use are far below 2^53: a double holds them exactly.
#[expect(clippy::cast_precision_loss)]
pub(super) const fn mm(um: i64) -> f64 {
    um as f64 / UM_PER_MM
}

#[expect(clippy::cast_precision_loss)]
pub(super) const fn km(mm: i64) -> f64 {
    mm as f64 / MM_PER_KM
}

/// The nearest whole number; none beyond what a double holds exactly.
#[expect(clippy::cast_possible_truncation)]
fn whole_number(value: f64) -> Option<i64> {
    (value.abs() < 9e15).then(|| value.round() as i64)
}
