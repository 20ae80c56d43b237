//! How much use a brush has left until its limit, how sure that is, and on which day it is gone.

use chrono::NaiveDate;
use serde::{Deserialize, Serialize};

use super::state::Spread;
use super::{Wear, WearError};
use crate::chance::{student_cdf, student_quantile, turning_point};

/// What a forecast is of.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Of {
    /// The true mean length.
    Line,
    /// One reading of it, with the error of a reading.
    Reading,
}

impl Of {
    /// What it adds to the line's variance, in squares of the error of a reading.
    pub(super) const fn variance(self) -> f64 {
        match self {
            Self::Line => 0.0,
            Self::Reading => 1.0,
        }
    }
}

/// The use left until the limit, in the class's unit: with 10, 50 and 90 % chance it is no more than this. None where
/// no finite use can be named, because the brush may well not wear at all as far as its readings tell, or because it
/// lies too far ahead.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Remaining {
    /// Reached by then with a chance of 10 %: the early end.
    pub p10: Option<f64>,
    /// As likely reached by then as not.
    pub p50: Option<f64>,
    /// Reached by then with a chance of 90 %: the late end.
    pub p90: Option<f64>,
}

/// Readings without any error at all are none: what is less than a nanometre is rounding.
const LEAST_ERROR_MM: f64 = 1e-9;

/// The way to a limit, from the last reading on: what every question about it needs. All on the even scale.
struct Way<'a> {
    wear: &'a Wear,
    /// What is left above the limit; zero or below where it is reached.
    above: f64,
    /// What goes of it for each unit of use.
    rate: f64,
    /// Scale of the error of a reading.
    error: f64,
    degrees: f64,
    spread: Spread,
    of: Of,
}

impl<'a> Way<'a> {
    fn of(wear: &'a Wear, limit_mm: f64, of: Of) -> Result<Self, WearError> {
        let (length, rate) = wear.now().ok_or(WearError::TooFewReadings)?;
        let (variance, degrees) = wear.error().ok_or(WearError::TooFewReadings)?;
        if !limit_mm.is_finite() {
            return Err(WearError::NotANumber("the limit"));
        }
        Ok(Self {
            wear,
            above: length - wear.even(limit_mm),
            rate: -rate,
            error: variance.sqrt().max(LEAST_ERROR_MM),
            degrees,
            spread: wear.spread(),
            of,
        })
    }

    /// How many scales the centre lies below the limit, `ahead` of the last reading.
    fn below(&self, ahead: f64) -> f64 {
        let scale = (self.wear.variance_ahead(ahead) + self.of.variance()).sqrt() * self.error;
        self.rate.mul_add(ahead, -self.above) / scale
    }

    /// The use ahead after which the chance to have reached the limit no longer rises; infinite where it always does. A
    /// line that does not fall has its best chance at once. Where the rate drifts and the limit lies ahead, that is at
    /// least three times the use that the line itself takes to the limit.
    fn end(&self) -> f64 {
        if self.rate <= 0.0 || !self.rises(0.0) {
            return 0.0;
        }
        let step = self.above.abs().max(self.error) / self.rate;
        let falls = |ahead: f64| !self.rises(ahead);
        farther(0.0, step)
            .find(|ahead| falls(*ahead))
            .map_or(f64::INFINITY, |far| turning_point(0.0, far, falls))
    }

    /// Whether [`Self::below`] rises `ahead`: the sign of its slope, cleared of what is above zero. With the variance
    /// `a + 2 b h + c h² + k h³ ÷ 3` of the line after `h`, and `r h - above` below the limit, that is
    /// `-r k h³ ÷ 6 + above k h² ÷ 2 + (r b + above c) h + r a + above b` (own derivation; `k` is the drift).
    fn rises(&self, ahead: f64) -> bool {
        let spread = self.spread;
        let length = spread.length + self.of.variance();
        let cubic = -self.rate * spread.drift / 6.0;
        let square = self.above * spread.drift / 2.0;
        let linear = self.rate.mul_add(spread.both, self.above * spread.rate);
        let constant = self.rate.mul_add(length, self.above * spread.both);
        let slope = cubic.mul_add(ahead, square);
        slope.mul_add(ahead, linear).mul_add(ahead, constant) > 0.0
    }

    /// Whether the rate is above zero with chance `p`, of which `wanted` is the quantile. Far out the line's scale grows as
    /// that of its rate: a rate that may be zero never brings it to the limit with that chance.
    fn falls(&self, wanted: f64) -> bool {
        self.rate > 0.0 && self.rate > wanted * self.spread.rate.sqrt() * self.error
    }

    /// The least use ahead, from `from` on and before `end`, by which the limit is reached with chance `p`: the inverse, in
    /// the use, of the chance that the line lies at or below the limit.
    fn ahead(&self, p: f64, from: f64, end: f64) -> Option<f64> {
        let wanted = student_quantile(p, self.degrees);
        let reached = |ahead: f64| self.below(ahead.min(end)) >= wanted;
        if reached(from) {
            return Some(from);
        }
        if from >= end || !self.falls(wanted) {
            return None;
        }
        let step = (self.above / self.rate - from).max(self.error / self.rate);
        let far = farther(from, step).find(|ahead| reached(*ahead) || *ahead >= end)?;
        reached(far).then(|| turning_point(from, far, reached))
    }
}

/// Places ever farther from `from`, from one `step` on, each twice as far as the one before, as long as they are finite.
fn farther(from: f64, step: f64) -> impl Iterator<Item = f64> {
    let first = step
        .abs()
        .max(from.abs() * f64::EPSILON)
        .max(f64::MIN_POSITIVE);
    let steps = std::iter::successors(Some(first), |step| Some(step * 2.0));
    steps
        .map(move |step| from + step)
        .take_while(|place| place.is_finite())
}

impl Wear {
    /// The use left at `used` until the brush is down to `limit_mm`. Nothing is left (zero) where the limit may be
    /// reached already with that chance.
    pub fn remaining(&self, used: f64, limit_mm: f64) -> Result<Remaining, WearError> {
        let way = Way::of(self, limit_mm, Of::Line)?;
        if !used.is_finite() {
            return Err(WearError::NotANumber("the use"));
        }
        let from = (used - self.at()).max(0.0);
        let end = way.end();
        let left = |p| way.ahead(p, from, end).map(|ahead| ahead - from);
        Ok(Remaining {
            p10: left(0.1),
            p50: left(0.5),
            p90: left(0.9),
        })
    }

    /// The chance that the brush is down to `limit_mm` once it was used so much. It never falls with use.
    pub fn chance_of_limit(&self, used: f64, limit_mm: f64) -> Result<f64, WearError> {
        let way = Way::of(self, limit_mm, Of::Line)?;
        if !used.is_finite() {
            return Err(WearError::NotANumber("the use"));
        }
        let ahead = (used - self.at()).max(0.0).min(way.end());
        Ok(student_cdf(way.below(ahead), way.degrees))
    }

    /// Between which uses, since new, the limit is reached with the chance `level`: the inversion interval (Fieller 1954)
    /// of least squares where the prior is flat. None where the slope may be zero at that level: no finite interval exists;
    /// and where the rate drifts, as the present line then says nothing of the past.
    pub fn limit_between(
        &self,
        limit_mm: f64,
        level: f64,
        of: Of,
    ) -> Result<Option<(f64, f64)>, WearError> {
        let way = Way::of(self, limit_mm, of)?;
        let half = (1.0 - level) / 2.0;
        if !way.falls(student_quantile(1.0 - half, way.degrees)) || way.spread.drift > 0.0 {
            return Ok(None);
        }
        // One end lies on either side of where the line itself reaches the limit; the earlier perhaps before the last
        // reading.
        let straight = way.above / way.rate;
        let way = &way;
        let reached = |wanted: f64| move |ahead: f64| way.below(ahead) >= wanted;
        let step = way.error / way.rate;
        let early = reached(student_quantile(half, way.degrees));
        let late = reached(student_quantile(1.0 - half, way.degrees));
        let before = farther(-straight, step).find(|back| !early(-back));
        let after = farther(straight, step).find(|ahead| late(*ahead));
        Ok(before.zip(after).map(|(before, after)| {
            let low = turning_point(-before, straight, early);
            let high = turning_point(straight, after, late);
            (self.at() + low, self.at() + high)
        }))
    }
}

/// The use expected of a day.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct DayUse {
    /// The day.
    pub day: NaiveDate,
    /// The use, in the class's unit; below nothing counts as nothing.
    pub uses: f64,
}

/// The days on which the remaining use of 10, 50 and 90 % is gone, by the use expected of each day: the days of the plan
/// first, then those of the season. None where it lies beyond the last of them, or no finite use could be named.
pub fn dates(remaining: &Remaining, days: &[DayUse]) -> [Option<NaiveDate>; 3] {
    [remaining.p10, remaining.p50, remaining.p90].map(|left| {
        let mut left = left?;
        days.iter().find_map(|one| {
            left -= one.uses.max(0.0);
            (left <= 0.0).then_some(one.day)
        })
    })
}
