//! What is known of a part: its class, and its own record since it was new or was measured first.

use trade::grooming::{Direction, ToolAction};
use trade::wear::{ClassPrior, Doubt, Forecast, Of, Reading, UsedFor, Wear, doubt, pulled};

use super::Point;
use crate::desk::Result;
use crate::desk::booking::Rates;
use crate::store::tools::WearPartRow;
use crate::store::wear::{Measured, measured, part_used};
use crate::store::{Conn, Scope};

/// How far a new brush differs from its class's length, one standard deviation, mm. Common practice, no source.
const START_SD_MM: f64 = 1.5;
const UM_PER_MM: f64 = 1_000.0;
/// At how many readings at most it is told what was expected: a chart shows no more. Each point asks for two quantiles of a t
/// distribution, which stood above all else in a profile of 400 parts with 260 readings each.
const FITTED_POINTS: usize = 40;
/// The unit of use in which the model reckons: a kilometre.
pub(super) const MM_PER_KM: f64 = 1_000_000.0;

/// What a part's class says of it.
#[derive(Clone, Copy, Debug)]
pub(super) struct Class {
    start_mm: f64,
    limit_mm: f64,
    /// How far it is pulled from new until it is worn out, km.
    pub life_km: f64,
    /// How far it is pulled for one use, over one of the site's courts, km.
    pub one_use_km: f64,
}

impl Class {
    /// By the tool's class: so many uses, each over one of the site's courts. None where the class says not how the tool is
    /// pulled, or the part is judged by eye.
    pub fn of(rates: &Rates, part: &WearPartRow) -> Option<Self> {
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
        Some(Self {
            start_mm: mm(part.start_um?),
            limit_mm: mm(limit_of(part)?),
            life_km: km(one_use_mm.checked_mul(rates.wear(tool)?.uses)?),
            one_use_km: km(one_use_mm),
        })
    }

    /// How far it is pulled from new until it is worn out, mm.
    pub fn life_mm(&self) -> Option<i64> {
        whole_number(self.life_km * MM_PER_KM)
    }

    /// What is to be expected of a part that is so long: the class's life, as far as it is left. None at the limit and
    /// below.
    fn prior(&self, length_mm: f64) -> Option<ClassPrior> {
        let left = (length_mm - self.limit_mm) / (self.start_mm - self.limit_mm);
        ClassPrior::of_life(length_mm, START_SD_MM, self.limit_mm, self.life_km * left).ok()
    }
}

/// What is known of a part, from where it is reckoned: when it was new, or where it was measured first.
pub(super) struct Known {
    pub wear: Wear,
    /// The use from which it is reckoned, km.
    pub from_km: f64,
    /// What was expected at each length, once it was known; of many, evenly some.
    pub fitted: Vec<Point>,
}

impl Known {
    /// By its class and these lengths, in order of use. A part that had been used before anybody counted, as its first
    /// length shows, is reckoned from there: its class says how it goes on, not how it came so far.
    pub fn of(class: &Class, lengths: &[Measured]) -> Option<Self> {
        let new = Self {
            wear: Wear::new(&class.prior(class.start_mm)?).ok()?,
            from_km: 0.0,
            fitted: Vec::new(),
        };
        let mut known = match lengths.first() {
            Some(first) => {
                let length = reading_at(first.used_mm, first.length_um);
                let fits = doubt(&new.wear, length).is_none();
                match class.prior(length.length_mm) {
                    Some(prior) if !fits => Self {
                        wear: Wear::new(&prior).ok()?,
                        from_km: length.used,
                        ..new
                    },
                    _ => new,
                }
            }
            None => new,
        };
        let every = lengths.len().div_ceil(FITTED_POINTS).max(1);
        for (nth, one) in lengths.iter().enumerate() {
            let reading = known.reading(one.used_mm, one.length_um);
            // They come in order of use; one that cannot be taken says nothing more.
            if known.wear.take(reading).is_err() {
                continue;
            }
            let is_told = nth % every == 0 || nth + 1 == lengths.len();
            if is_told && let Ok(forecast) = known.wear.forecast(reading.used, Of::Line) {
                known.fitted.push(point(one.used_mm, &forecast));
            }
        }
        Some(known)
    }

    /// A length, at the use since it is reckoned.
    pub fn reading(&self, used_mm: i64, length_um: i64) -> Reading {
        let reading = reading_at(used_mm, length_um);
        Reading {
            used: (reading.used - self.from_km).max(0.0),
            ..reading
        }
    }
}

/// What speaks against a length of a part at some use, by what is known of it, with that and the length. Nothing speaks
/// against the first.
pub(super) fn doubt_of(
    conn: &mut Conn,
    scope: &Scope,
    rates: &Rates,
    part: &WearPartRow,
    (used_mm, length_um): (i64, i64),
) -> Result<(Option<Doubt>, Option<Known>, Reading)> {
    let mut before = measured(conn, scope, Some(part.id))?;
    before.retain(|one| one.used_mm <= used_mm);
    let class = Class::of(rates, part).filter(|_| !before.is_empty());
    let Some(known) = class.and_then(|class| Known::of(&class, &before)) else {
        return Ok((None, None, reading_at(used_mm, length_um)));
    };
    let reading = known.reading(used_mm, length_um);
    Ok((doubt(&known.wear, reading), Some(known), reading))
}

/// How far a part can likely be pulled until it is worn out, mm: as likely farther as less. None where no forecast can be
/// made.
pub(super) fn left_mm(
    conn: &mut Conn,
    scope: &Scope,
    rates: &Rates,
    part: &WearPartRow,
) -> Result<Option<i64>> {
    let Some((class, limit)) = Class::of(rates, part).zip(limit_of(part)) else {
        return Ok(None);
    };
    let lengths = measured(conn, scope, Some(part.id))?;
    let used_mm = part_used(conn, scope, part.id)?;
    let left = Known::of(&class, &lengths).and_then(|known| {
        let used = (km(used_mm) - known.from_km).max(0.0);
        known.wear.remaining(used, mm(limit)).ok()?.p50
    });
    Ok(left.and_then(|km| whole_number(km * MM_PER_KM)))
}

/// A brush is changed at about half its length where the site does not say otherwise (common practice, no source).
pub(super) fn limit_of(part: &WearPartRow) -> Option<i64> {
    part.limit_um.or_else(|| Some(part.start_um? / 2))
}

fn reading_at(used_mm: i64, length_um: i64) -> Reading {
    Reading {
        used: km(used_mm),
        length_mm: mm(length_um),
    }
}

pub(super) fn point(used_mm: i64, forecast: &Forecast) -> Point {
    let (low_um, likely_um, high_um) = lengths_of(forecast);
    Point {
        used_m: used_mm / 1_000,
        low_um,
        likely_um,
        high_um,
    }
}

/// Low, likely and high, µm.
pub(super) fn lengths_of(forecast: &Forecast) -> (i64, i64, i64) {
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
pub(super) fn whole_number(value: f64) -> Option<i64> {
    (value.abs() < 9e15).then(|| value.round() as i64)
}
