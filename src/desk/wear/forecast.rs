//! How worn the measured parts of tools are, and when they will be worn out.

use std::collections::HashMap;

use chrono::{Days, NaiveDate};
use serde::Serialize;
use trade::calendar::work_date;
use trade::money::Cents;
use trade::units::Micrometres;
use trade::wear::{Across, ChangeCosts, DayUse, Of, Remaining, Verdict, Wear, When, dates, decide};
use utoipa::ToSchema;

use super::known::{Class, Known, MM_PER_KM, km, lengths_of, limit_of, mm, point, whole_number};
use crate::desk::access::{Permit, SeeTools};
use crate::desk::booking::Rates;
use crate::desk::error::Named;
use crate::desk::settings::Settings;
use crate::desk::settings::known::{TURN_AT_UM, WORN_IN_ROUND_CENTS};
use crate::desk::{Error, Office, Result};
use crate::store::tool_checks::points_of;
use crate::store::tools::{ReadingRow, WearPartRow, newest_readings, reading_list};
use crate::store::wear::{
    DoubtedReading, Measured, MeasuredPart, doubted_readings, measured, measured_parts,
    part_uses_since,
};
use crate::store::{self, Conn, Page, Scope};

/// Days of use from which the use to come is expected: four weeks hold every weekday alike.
const LOOKED_BACK: u64 = 28;
/// How far ahead a day is named, days: two seasons.
const LOOKED_AHEAD: u64 = 730;
/// Points at which what is to come is told, from now on.
const AHEAD_POINTS: u32 = 24;
/// Only of a part that may be worn out within so many days is it reckoned when to change it.
const SOON_DAYS: i64 = 90;
/// Days until the next weekly check, when there is time for a change in the shed.
const UNTIL_QUIET_DAYS: f64 = 7.0;

/// A day, early, likely and late: with 10, 50 and 90 % chance it is no later.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, ToSchema)]
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
    /// When changing it costs least; null where that is not near.
    pub change: Option<ChangeAdvice>,
    /// How uneven it was when it was last measured at several points.
    pub across: Option<AcrossView>,
}

/// When changing a part costs least.
#[derive(Clone, Copy, Debug, Serialize, ToSchema)]
pub struct ChangeAdvice {
    /// Now, at the next weekly check (`quiet_day`), or when it is at its limit.
    #[schema(value_type = String, example = "quiet_day")]
    pub when: When,
    /// By how much less than the next best, cents.
    pub saving_cents: i64,
}

/// How uneven a brush is.
#[derive(Clone, Copy, Debug, Serialize, ToSchema)]
#[schema(as = AcrossBrush)]
pub struct AcrossView {
    /// The longest less the shortest, µm.
    pub uneven_um: i64,
    /// By how much its ends differ, µm.
    pub ends_differ_um: i64,
    /// What is to be done: nothing (`even`), turn it end for end, or see why it is uneven.
    #[schema(value_type = String, example = "turn_end_for_end")]
    pub verdict: Verdict,
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
        let rates = Rates::read(conn, permit)?;
        let on = work_date(rates.zone, now.utc());
        let parts = all_by_urgency(conn, permit, &rates, on)?;
        let doubted = doubted_readings(conn, permit)?;
        Ok(WearNow { on, parts, doubted })
    })
}

/// The measured parts that are fitted, as of a date, the most urgent first.
pub(super) fn all_by_urgency(
    conn: &mut Conn,
    scope: &Scope,
    rates: &Rates,
    on: NaiveDate,
) -> Result<Vec<WearWhole>> {
    let mut parts = all_of(conn, scope, rates, None, on)?;
    parts.sort_by_key(|one| {
        let wear = &one.wear;
        let day = wear.worn_out_on.likely.unwrap_or(NaiveDate::MAX);
        (!wear.is_worn_out, day, wear.part.id)
    });
    Ok(parts)
}

/// One part, with all its readings.
pub fn wear_whole(office: &Office, permit: &Permit<SeeTools>, part: i64) -> Result<WearWhole> {
    let now = office.now();
    office.db.read(|conn| {
        let row = store::tools::wear_part_read(conn, permit, part).named("wear part")?;
        let rates = Rates::read(conn, permit)?;
        let on = row
            .retired_on
            .unwrap_or_else(|| work_date(rates.zone, now.utc()));
        let mut whole = all_of(conn, permit, &rates, Some(part), on)?
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

fn all_of(
    conn: &mut Conn,
    scope: &Scope,
    rates: &Rates,
    one: Option<i64>,
    today: NaiveDate,
) -> Result<Vec<WearWhole>> {
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
    let ids: Vec<i64> = parts.iter().map(|part| part.part.id).collect();
    let mut across = across_of(conn, scope, &ids)?;
    let settings = Settings::read(conn, scope)?;
    let in_round = Cents(settings.number(WORN_IN_ROUND_CENTS));
    let turn_at = Micrometres(settings.number(TURN_AT_UM));
    let views = parts.into_iter().filter_map(|part| {
        let lengths = lengths.remove(&part.part.id).unwrap_or_default();
        let recent = recent.get(&part.part.id).copied().unwrap_or(0);
        let across = across.remove(&part.part.id);
        let mut whole = whole(rates, part, &lengths, (recent, in_round), today)?;
        whole.wear.across = across.map(|across| looked_across(&across, turn_at));
        Some(whole)
    });
    Ok(views.collect())
}

/// None where no forecast can be made: a part of a class that says nothing of how it is used.
fn whole(
    rates: &Rates,
    of: MeasuredPart,
    lengths: &[Measured],
    (recent_mm, in_round): (i64, Cents),
    today: NaiveDate,
) -> Option<WearWhole> {
    let tool = of.part.tool_id?;
    let of_class = Class::of(rates, &of.part)?;
    let limit_um = limit_of(&of.part)?;
    let limit_mm = mm(limit_um);
    let Known {
        wear,
        from_km,
        fitted,
    } = Known::of(&of_class, lengths)?;
    let used_km = (km(of.used_mm) - from_km).max(0.0);
    let now = wear.forecast(used_km, Of::Line).ok()?;
    let left = wear.remaining(used_km, limit_mm).ok()?;
    let days = i64::try_from(LOOKED_BACK).unwrap_or(1);
    let a_day_mm = recent_mm / days;
    let worn_out_on = worn_out_on(&left, km(a_day_mm), today);
    let is_near = |day: NaiveDate| (day - today).num_days() <= SOON_DAYS;
    let change = worn_out_on.early.filter(|day| is_near(*day)).and_then(|_| {
        let costs = ChangeCosts {
            part: Cents(rates.wear(tool)?.cents),
            in_round,
        };
        let chance = |more: f64| {
            wear.chance_of_limit(used_km + more, limit_mm)
                .unwrap_or(1.0)
        };
        let until_quiet = km(a_day_mm) * UNTIL_QUIET_DAYS;
        let advice = decide(chance, until_quiet, of_class.life_km, costs).ok()?;
        Some(ChangeAdvice {
            when: advice.when,
            saving_cents: advice.saving.0,
        })
    });
    let (low_um, likely_um, high_um) = lengths_of(&now);
    let view = WearView {
        tool: of.number,
        class: rates.class_of(tool)?.name.clone(),
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
        change,
        across: None,
        part: of.part,
    };
    let ahead = ahead(&wear, (from_km, used_km), &left);
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

/// From now until the limit is nearly certain to be reached, or for as much use again as it had.
fn ahead(wear: &Wear, (from_km, used_km): (f64, f64), left: &Remaining) -> Vec<Point> {
    let until = left.p90.or(left.p50).unwrap_or(used_km).max(1.0);
    let at = |nth: u32| used_km + until * f64::from(nth) / f64::from(AHEAD_POINTS);
    (0..=AHEAD_POINTS)
        .filter_map(|nth| {
            let forecast = wear.forecast(at(nth), Of::Line).ok()?;
            let used_mm = whole_number((from_km + at(nth)) * MM_PER_KM)?;
            Some(point(used_mm, &forecast))
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

/// The points of the last reading of each part that was measured at several.
fn across_of(conn: &mut Conn, scope: &Scope, parts: &[i64]) -> Result<HashMap<i64, Across>> {
    let newest: HashMap<i64, i64> = newest_readings(conn, scope, parts)?
        .into_iter()
        .map(|reading| (reading.id, reading.wear_part_id))
        .collect();
    let ids: Vec<i64> = newest.keys().copied().collect();
    let points = points_of(conn, scope, &ids)?.into_iter();
    let across = points.filter_map(|(reading, points)| {
        let points = points.0.into_iter().map(Micrometres).collect::<Vec<_>>();
        let across = Across::new(points)?;
        Some((*newest.get(&reading)?, across))
    });
    Ok(across.collect())
}

fn looked_across(across: &Across, turn_at: Micrometres) -> AcrossView {
    AcrossView {
        uneven_um: across.unevenness().0,
        ends_differ_um: across.ends_differ().0.abs(),
        verdict: across.verdict(turn_at),
    }
}
