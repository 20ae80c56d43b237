//! How worn the measured parts of tools are, and when they will be worn out.

use std::collections::HashMap;

use chrono::{Days, NaiveDate};
use serde::Serialize;
use trade::calendar::work_date;
use trade::money::Cents;
use trade::units::Micrometres;
use trade::wear::{
    Across, ChangeCosts, DayUse, Of, Remaining, Verdict, Wear, When, best_check, dates, decide,
};
use utoipa::ToSchema;

use super::expected::{Expected, LOOKED_BACK};
use super::known::{Class, Known, MM_PER_KM, km, lengths_of, limit_of, mm, point, whole_number};
use crate::desk::access::{Permit, SeeTools};
use crate::desk::booking::Rates;
use crate::desk::error::Named;
use crate::desk::settings::Settings;
use crate::desk::settings::known::{TURN_AT_UM, WORN_IN_ROUND_CENTS};
use crate::desk::{Error, Office, Result};
use crate::store::tool_checks::points_of;
use crate::store::tools::{ReadingRow, WearPartRow, reading_list};
use crate::store::wear::{
    DoubtedReading, Measured, MeasuredPart, doubted_readings, measured, measured_parts,
    part_uses_since,
};
use crate::store::{self, Conn, Instant, Page, Scope};

/// Points at which what is to come is told, from now on.
const AHEAD_POINTS: u32 = 24;
/// Only of a part that may be worn out within so many days is it reckoned when to change it.
const SOON_DAYS: i64 = 90;
/// Days from one check in the shed to the next, when there is time for a change there.
const CHECK_DAYS: usize = 7;
/// How many checks are looked at: a quarter of a year.
const CHECKS: usize = 13;

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
    /// The day on which it is worn out, by what is planned, and else by the use of the last four weeks as the season has it.
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
    /// Now, at a weekly check (`quiet_day`), or when it is at its limit.
    #[schema(value_type = String, example = "quiet_day")]
    pub when: When,
    /// About on which day, where it is at a weekly check: the one that costs least.
    pub on: Option<NaiveDate>,
    /// Whether it is now or within the two checks to come.
    pub is_due: bool,
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
    /// What was expected of it at each reading that counts, once that was known; of more than forty, evenly some.
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
    let settings = Settings::read(conn, scope)?;
    let mut parts: Vec<WearWhole> = all_of(conn, scope, (rates, &settings), None, on)?
        .into_iter()
        .map(|one| one.whole)
        .collect();
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
        let whole = reckoned_of(conn, permit, &row, now)?;
        whole.ok_or_else(|| Error::state(no_forecast(&row)))
    })
}

/// How worn a part is, with all its readings; none where that cannot be reckoned.
pub(super) fn reckoned_of(
    conn: &mut Conn,
    scope: &Scope,
    part: &WearPartRow,
    now: Instant,
) -> Result<Option<WearWhole>> {
    if part.start_um.is_none() {
        return Ok(None);
    }
    let rates = Rates::read(conn, scope)?;
    let today = work_date(rates.zone, now.utc());
    let on = part.retired_on.unwrap_or(today);
    let settings = Settings::read(conn, scope)?;
    let mut parts = all_of(conn, scope, (&rates, &settings), Some(part.id), on)?;
    let Some(one) = parts.pop() else {
        return Ok(None);
    };
    let mut whole = one.whole;
    whole.all_readings = reading_list(conn, scope, Some(part.id), Page::ALL)?.items;
    Ok(Some(whole))
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

/// A part with what is expected of it.
pub(super) struct Reckoned {
    /// As it is told.
    pub whole: WearWhole,
    /// The use of each day from tomorrow on, km.
    pub days: Vec<DayUse>,
    wear: Wear,
    used_km: f64,
    limit_mm: f64,
}

impl Reckoned {
    /// The chance that it is worn out once it was used so much more, km.
    pub fn chance_after(&self, more_km: f64) -> f64 {
        let chance = self
            .wear
            .chance_of_limit(self.used_km + more_km, self.limit_mm);
        chance.unwrap_or(1.0).clamp(0.0, 1.0)
    }
}

/// The measured parts of a site that are fitted, or one of them, on the evening of a date.
pub(super) fn all_of(
    conn: &mut Conn,
    scope: &Scope,
    (rates, settings): (&Rates, &Settings),
    one: Option<i64>,
    today: NaiveDate,
) -> Result<Vec<Reckoned>> {
    let back = u64::try_from(LOOKED_BACK - 1).unwrap_or(0);
    let from = today.checked_sub_days(Days::new(back));
    let recent: HashMap<i64, i64> = part_uses_since(conn, scope, from.unwrap_or(today))?
        .into_iter()
        .map(|(part, used)| (part, used.unwrap_or(0).max(0)))
        .collect();
    let mut lengths: HashMap<i64, Vec<Measured>> = HashMap::new();
    for length in measured(conn, scope, one)? {
        lengths.entry(length.wear_part_id).or_default().push(length);
    }
    let parts = measured_parts(conn, scope, one)?;
    let mut across = across_of(conn, scope, &lengths)?;
    let in_round = Cents(settings.number(WORN_IN_ROUND_CENTS));
    let turn_at = Micrometres(settings.number(TURN_AT_UM));
    let expected = Expected::read(conn, scope, rates, today)?;
    let views = parts.into_iter().filter_map(|part| {
        let lengths = lengths.remove(&part.part.id).unwrap_or_default();
        let recent = recent.get(&part.part.id).copied().unwrap_or(0);
        let across = across.remove(&part.part.id);
        let mut one = reckoned(rates, &expected, part, &lengths, (recent, in_round))?;
        one.whole.wear.across = across.map(|across| looked_across(&across, turn_at));
        Some(one)
    });
    Ok(views.collect())
}

/// None where no forecast can be made: a part of a class that says nothing of how it is used.
fn reckoned(
    rates: &Rates,
    expected: &Expected,
    of: MeasuredPart,
    lengths: &[Measured],
    (recent_mm, in_round): (i64, Cents),
) -> Option<Reckoned> {
    let tool = of.part.tool_id?;
    let of_class = Class::of(rates, &of.part)?;
    let limit_um = limit_of(&of.part)?;
    let Known {
        wear,
        from_km,
        fitted,
    } = Known::of(&of_class, lengths)?;
    let used_km = (km(of.used_mm) - from_km).max(0.0);
    let now = wear.forecast(used_km, Of::Line).ok()?;
    let left = wear.remaining(used_km, mm(limit_um)).ok()?;
    let a_day_mm = recent_mm / LOOKED_BACK;
    let days = expected.days(tool, km(a_day_mm), of_class.one_use_km);
    let [early, likely, late] = dates(&left, &days);
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
        worn_out_on: WearDay {
            early,
            likely,
            late,
        },
        readings: lengths.len(),
        is_worn_out: lengths
            .last()
            .is_some_and(|last| last.length_um <= limit_um),
        change: None,
        across: None,
        part: of.part,
    };
    let ahead = ahead(&wear, (from_km, used_km), &left);
    let mut one = Reckoned {
        whole: WearWhole {
            wear: view,
            all_readings: Vec::new(),
            measured: lengths
                .iter()
                .map(|one| (one.used_mm / 1_000, one.length_um))
                .collect(),
            fitted,
            ahead,
        },
        days,
        wear,
        used_km,
        limit_mm: mm(limit_um),
    };
    one.whole.wear.change = advice(rates, &one, (tool, of_class.life_km), in_round);
    Some(one)
}

/// When changing a part costs least; none where it will not be at its limit soon.
fn advice(
    rates: &Rates,
    of: &Reckoned,
    (tool, life_km): (i64, f64),
    in_round: Cents,
) -> Option<ChangeAdvice> {
    let first = of.days.first()?.day;
    let early = of.whole.wear.worn_out_on.early?;
    if (early - first).num_days() > SOON_DAYS {
        return None;
    }
    let part = of.whole.wear.part.cost_cents;
    let costs = ChangeCosts {
        part: Cents(part.or(rates.wear(tool).map(|rate| rate.cents))?),
        in_round,
    };
    let chance = |more: f64| of.chance_after(more);
    // The use until the end of each week to come.
    let checks: Vec<f64> = of
        .days
        .chunks(CHECK_DAYS)
        .take(CHECKS)
        .scan(0.0, |used, week| {
            *used += week.iter().map(|day| day.uses).sum::<f64>();
            Some(*used)
        })
        .collect();
    let best = best_check(chance, &checks, life_km, costs)?;
    let advice = decide(chance, checks[best], life_km, costs).ok()?;
    let on = of.days.get((best + 1) * CHECK_DAYS - 1).map(|day| day.day);
    Some(ChangeAdvice {
        when: advice.when,
        on: on.filter(|_| advice.when == When::QuietDay),
        is_due: match advice.when {
            When::Now => true,
            When::QuietDay => best < 2,
            When::AtLimit => false,
        },
        saving_cents: advice.saving.0,
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

/// The points of the last reading of each part that was measured at several. The last in order of use is the newest: a query for
/// the newest of each took 68 of the 215 ms of all forecasts of 400 parts.
fn across_of(
    conn: &mut Conn,
    scope: &Scope,
    lengths: &HashMap<i64, Vec<Measured>>,
) -> Result<HashMap<i64, Across>> {
    let newest: HashMap<i64, i64> = lengths
        .iter()
        .filter_map(|(part, lengths)| Some((lengths.last()?.id, *part)))
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
