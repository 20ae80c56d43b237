//! From the stored rows to the figures of a week.

mod work;

use std::cmp::Ordering;
use std::collections::{BTreeMap, BTreeSet, HashMap};

use chrono::{DateTime, NaiveDate, TimeDelta, Utc};
use chrono_tz::Tz;
use trade::calendar::{IsoWeek, Span};

use super::figures::{
    Brush, CourtWeek, Hours, KindHours, Material, NotFit, Wear, WeekCost, WeekReport,
};
use crate::desk::cost::{Dates, costs_on};
use crate::store::hours::HoursKind;
use crate::store::orders::Fit;
use crate::store::reports::week::{self, MovesOfDay, WeekHours, WeekPart};
use crate::store::sites::site_read;
use crate::store::stores::StockMoveKind;
use crate::store::{self, Conn, Instant, Scope};

/// How many weeks before the week are its usual.
const WEEKS_COMPARED: i64 = 4;
/// Over how many days the pace of use is taken.
const PACE_DAYS: i64 = 28;
/// A material that lasts fewer days than this is low: time to order and be delivered. Common
/// practice, no source.
const LOW_DAYS: i64 = 14;

/// The week's dates and where it is read from.
struct Week {
    iso: IsoWeek,
    zone: Tz,
    span: Span,
    from: NaiveDate,
    to: NaiveDate,
    as_of: DateTime<Utc>,
    complete: bool,
}

/// The figures of a site's week as the rows stand, told at `now`; none where it has not begun.
pub(super) fn week_report(
    conn: &mut Conn,
    scope: &Scope,
    week: IsoWeek,
    now: Instant,
) -> store::Result<Option<WeekReport>> {
    let site = site_read(conn, scope)?;
    let zone = site.zone()?;
    let (span, days) = (week.span(zone), week.days());
    if now.utc() < span.from {
        return Ok(None);
    }
    let week = Week {
        iso: week,
        zone,
        span,
        from: days[0],
        to: days[6],
        as_of: span.to.min(now.utc()),
        complete: span.to <= now.utc(),
    };
    let cost = cost(conn, scope, &week)?;
    let (mut turnarounds, care) = work::work(conn, scope, &week)?;
    let place = |name: &str| cost.courts.iter().position(|court| court.court == name);
    turnarounds
        .misses
        .sort_by_cached_key(|miss| (miss.due_at, place(&miss.place)));
    Ok(Some(WeekReport {
        site_id: site.id,
        site: site.name,
        zone: site.zone,
        units: site.units,
        currency: site.currency,
        iso_week: week.iso.to_string(),
        from: week.from,
        to: week.to,
        as_of: week.as_of.into(),
        complete: week.complete,
        courts: count(cost.courts.len()),
        turnarounds,
        care,
        hours: hours(&week::week_hours(conn, scope, week.from, week.to)?),
        cost,
        materials: materials(conn, scope, &week)?,
        brushes: brushes(week::week_parts(conn, scope, week.to)?),
        gives_out_next: Vec::new(),
        not_fit: not_fit(conn, scope, &week)?,
    }))
}

/// An entry that takes another back counts against it.
fn hours(entries: &[WeekHours]) -> Hours {
    let mut by_kind: BTreeMap<HoursKind, i64> = BTreeMap::new();
    for entry in entries {
        let length = (entry.ends_at.utc() - entry.starts_at.utc()).num_seconds();
        let sign = if entry.reverses_id.is_some() { -1 } else { 1 };
        *by_kind.entry(entry.kind).or_default() += sign * length;
    }
    Hours {
        paid_s: by_kind.values().sum(),
        kinds: by_kind
            .into_iter()
            .map(|(kind, paid_s)| KindHours { kind, paid_s })
            .collect(),
    }
}

fn cost(conn: &mut Conn, scope: &Scope, week: &Week) -> store::Result<WeekCost> {
    let dates = Dates::of(week.from, week.to)
        .map_err(|_| store::Error::Unreadable(format!("the dates of {}", week.iso)))?;
    let this = costs_on(conn, scope, dates)?;
    let days_before = 7 * WEEKS_COMPARED;
    let (first, last) = (
        week.from - TimeDelta::days(days_before),
        week.from - TimeDelta::days(1),
    );
    // A week without a line is one in which nothing was booked here, not a cheap one.
    let mut weeks: BTreeSet<IsoWeek> = BTreeSet::new();
    let mut of_court: HashMap<i64, i64> = HashMap::new();
    for day in week::cost_by_day(conn, scope, first, last)? {
        weeks.insert(IsoWeek::of(day.work_date));
        *of_court.entry(day.court_id).or_default() += day.cents;
    }
    let weeks = count(weeks.len());
    Ok(WeekCost {
        cents: this.cents,
        usual_cents: mean(of_court.values().sum(), weeks),
        weeks_compared: weeks,
        kinds: this.kinds,
        courts: this
            .courts
            .into_iter()
            .map(|court| CourtWeek {
                usual_cents: mean(of_court.get(&court.court_id).copied().unwrap_or(0), weeks),
                court_id: court.court_id,
                court: court.court,
                cents: court.cents,
                kinds: court.kinds,
            })
            .collect(),
    })
}

/// The mean of so many weeks that sum to this, in whole cents, a half to the even one; none of none.
fn mean(sum: i64, weeks: i64) -> Option<i64> {
    if weeks == 0 {
        return None;
    }
    let (whole, rest) = (sum.div_euclid(weeks), sum.rem_euclid(weeks));
    Some(match (2 * rest).cmp(&weeks) {
        Ordering::Less => whole,
        Ordering::Greater => whole + 1,
        Ordering::Equal => whole + whole.rem_euclid(2),
    })
}

/// What moved of a material up to the end of the week, and since.
#[derive(Clone, Copy, Debug, Default)]
struct Moved {
    /// Used in the week, in its unit.
    used: i64,
    /// What that was worth, cents.
    used_cents: i64,
    /// Used over the days that tell the pace, in its unit.
    pace: i64,
    /// Came and went after the week, in its unit.
    since: i64,
}

fn materials(conn: &mut Conn, scope: &Scope, week: &Week) -> store::Result<Vec<Material>> {
    let pace_from = week.to - TimeDelta::days(PACE_DAYS - 1);
    let moves = week::moves_by_day(conn, scope, pace_from)?;
    let moved = moved(&moves, week.from, week.to);
    let all = week::week_materials(conn, scope)?;
    let rows = all.into_iter().filter_map(|row| {
        let moved = moved.get(&row.id).copied().unwrap_or_default();
        let on_hand = row.on_hand - moved.since;
        let lasts_days = (moved.pace > 0).then(|| on_hand.max(0) * PACE_DAYS / moved.pace);
        let low = on_hand <= 0 || lasts_days.is_some_and(|days| days < LOW_DAYS);
        (low || moved.used != 0).then_some(Material {
            material_id: row.id,
            name: row.name,
            unit: row.unit,
            pack_name: row.pack_name,
            pack_quantity: row.pack_quantity,
            used: moved.used,
            used_cents: moved.used_cents,
            on_hand,
            lasts_days,
            low,
        })
    });
    Ok(rows.collect())
}

/// Used is what went out to orders less what came back from them.
fn moved(moves: &[MovesOfDay], from: NaiveDate, to: NaiveDate) -> HashMap<i64, Moved> {
    let mut all: HashMap<i64, Moved> = HashMap::new();
    for day in moves {
        let of = all.entry(day.material_id).or_default();
        if day.work_date > to {
            of.since += day.quantity;
        } else if matches!(day.kind, StockMoveKind::Issue | StockMoveKind::Return) {
            of.pace -= day.quantity;
            if day.work_date >= from {
                of.used -= day.quantity;
                of.used_cents -= day.value_cents;
            }
        }
    }
    all
}

fn brushes(parts: Vec<WeekPart>) -> Vec<Brush> {
    let mut all: Vec<Brush> = parts
        .into_iter()
        .map(|part| Brush {
            wear: wear(part.length_um, part.start_um, part.limit_um),
            tool: part.tool,
            class: part.class,
            length_um: part.length_um,
            measured_on: part.measured_on,
            start_um: part.start_um,
            limit_um: part.limit_um,
        })
        .collect();
    let left = |brush: &Brush| brush.length_um.map(|length| length - brush.limit_um);
    all.sort_by(|a, b| (a.wear, left(a), &a.tool).cmp(&(b.wear, left(b), &b.tool)));
    all
}

fn wear(length_um: Option<i64>, start_um: Option<i64>, limit_um: i64) -> Wear {
    let Some(length) = length_um else {
        return Wear::NotMeasured;
    };
    let left = length - limit_um;
    if left <= 0 {
        return Wear::WornOut;
    }
    match start_um {
        Some(start) if left * 5 < start - limit_um => Wear::Near,
        _ => Wear::Sound,
    }
}

fn not_fit(conn: &mut Conn, scope: &Scope, week: &Week) -> store::Result<Vec<NotFit>> {
    let said = week::fit_newest(conn, scope, week.as_of.into())?;
    let over = |until: Option<Instant>| until.is_some_and(|until| until.utc() <= week.as_of);
    Ok(said
        .into_iter()
        .filter(|said| match said.fit {
            Fit::Yes => false,
            Fit::NotYet => !over(said.until),
            Fit::Held => true,
        })
        .map(|said| NotFit {
            court: said.court,
            fit: said.fit,
            since: said.said_at,
            until: said.until,
            hold_reason: said.hold_reason,
            reason: said.reason,
        })
        .collect())
}

fn count(number: usize) -> i64 {
    i64::try_from(number).unwrap_or(i64::MAX)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_usual_is_the_nearest_cent_of_the_weeks_there_are() {
        assert_eq!(mean(0, 0), None);
        assert_eq!(mean(600, 3), Some(200));
        assert_eq!((mean(3, 2), mean(5, 2)), (Some(2), Some(2)));
        assert_eq!((mean(-3, 2), mean(5, 3)), (Some(-2), Some(2)));
    }

    #[test]
    fn used_is_what_went_out_less_what_came_back_and_a_later_move_is_none_of_it() {
        let date = |day: u32| NaiveDate::from_ymd_opt(2031, 6, day).unwrap();
        let moves: Vec<MovesOfDay> = [
            (StockMoveKind::Issue, 3, -40),
            (StockMoveKind::Receipt, 10, 500),
            (StockMoveKind::Issue, 11, -30),
            (StockMoveKind::Return, 12, 5),
            (StockMoveKind::Issue, 16, -7),
            (StockMoveKind::Receipt, 17, 100),
        ]
        .into_iter()
        .map(|(kind, day, quantity)| MovesOfDay {
            material_id: 1,
            kind,
            work_date: date(day),
            quantity,
            value_cents: quantity * 2,
        })
        .collect();
        let moved = moved(&moves, date(9), date(15))[&1];
        assert_eq!((moved.used, moved.used_cents), (25, 50));
        assert_eq!((moved.pace, moved.since), (65, 93));
    }

    #[test]
    fn a_brush_is_judged_by_what_may_still_wear_off() {
        let (start, limit) = (Some(120_000), 70_000);
        assert_eq!(wear(Some(70_000), start, limit), Wear::WornOut);
        assert_eq!(wear(Some(79_999), start, limit), Wear::Near);
        assert_eq!(wear(Some(80_000), start, limit), Wear::Sound);
        assert_eq!(wear(None, start, limit), Wear::NotMeasured);
        assert_eq!(wear(Some(70_001), None, limit), Wear::Sound);
    }
}
