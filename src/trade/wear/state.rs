//! One brush: what is known of it, told reading by reading, and its length to come.

use serde::{Deserialize, Serialize};

use super::easing::Easing;
use super::prior::{ClassPrior, ReadingError};
use super::remaining::Of;
use super::root::Root;
use super::{Reading, WearError};
use crate::chance::{student_cdf, student_quantile};

/// A start that is known exactly is known to this share of the error of a reading. A pivot heavier by far would cost the
/// lighter rows their digits.
const EXACTLY: f64 = 1e-6;

/// The rates between which the drift follows the brush's own rate, as shares of the class's.
const SLOWEST: f64 = 0.3;
const FASTEST: f64 = 3.0;

/// What is known of the error of a reading.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
enum Error {
    Given { variance: f64 },
    Estimated { squares: f64, weight: f64 },
}

/// How the rate drifts: the variance it gains for each unit of use, in squares of the error of a reading.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
struct Drift {
    /// Of a brush that wears as its class does.
    of_class: f64,
    /// The class's rate.
    rate: f64,
}

impl Drift {
    const NONE: Self = Self {
        of_class: 0.0,
        rate: 1.0,
    };

    /// Of a brush that wears at `rate`. One that wears twice as fast has half the life, and its rate changes by twice as
    /// much over it: the variance for each unit of use goes with the third power of the rate. What is known of the rate
    /// puts limits to that.
    fn of(self, rate: f64) -> f64 {
        self.of_class * (rate / self.rate).clamp(SLOWEST, FASTEST).powi(3)
    }
}

/// What the R² of a line is measured against.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
enum Against {
    /// The mean of the lengths.
    Mean,
    /// The length when new.
    Start(f64),
    /// Nothing: a prior stands behind the line.
    Nothing,
}

/// What is known of one brush: the prior of its class and its readings, brought together. One more reading takes the
/// same time whether it is the second or the thousandth.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Wear {
    root: Root,
    at: f64,
    drift: Drift,
    easing: Easing,
    error: Error,
    against: Against,
    readings: u32,
    mean: f64,
    squares: f64,
    last: Option<Reading>,
}

/// How sure length and rate are, in squares of the error of a reading.
#[derive(Clone, Copy, Debug)]
pub(super) struct Spread {
    /// Variance of the length.
    pub length: f64,
    /// Covariance of both.
    pub both: f64,
    /// Variance of the rate.
    pub rate: f64,
    /// What the variance of the rate grows by for each unit of use.
    pub drift: f64,
}

/// A length to come: on the scale on which the brush wears evenly (millimetres without easing) a Student t.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Forecast {
    /// Its centre on the even scale.
    pub(super) even: f64,
    /// Its scale there.
    pub(super) spread: f64,
    /// Its degrees of freedom; infinite where the error of a reading was given.
    pub degrees: f64,
    easing: Easing,
}

impl Forecast {
    /// The length it is as likely below as above, millimetres.
    pub fn median_mm(&self) -> f64 {
        self.easing.length(self.even)
    }

    /// The length below which it lies with chance `p`, millimetres.
    pub fn quantile(&self, p: f64) -> f64 {
        let off = student_quantile(p, self.degrees);
        self.easing.length(off.mul_add(self.spread, self.even))
    }

    /// The chance of a length of at most so much.
    pub fn chance_of_at_most(&self, length_mm: f64) -> f64 {
        let off = self.easing.even(length_mm) - self.even;
        student_cdf(off / self.spread, self.degrees)
    }

    /// Its scale, millimetres, near its median.
    pub fn sd_mm(&self) -> f64 {
        self.spread * self.easing.slope(self.median_mm())
    }
}

/// The line as it runs now: length = intercept + slope × use. Of a flat prior it is that of least squares. With easing
/// the intercept is where the brush began, the slope how it wears at its present length, and the line between is bent.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Line {
    /// The length at no use, millimetres, as the present rate has it.
    pub intercept: f64,
    /// Its standard error.
    pub intercept_se: f64,
    /// The change of length for each unit of use, millimetres; below zero for a brush that wears.
    pub slope: f64,
    /// Its standard error.
    pub slope_se: f64,
    /// How far a reading lies from the line, one standard deviation, millimetres.
    pub residual_sd: f64,
    /// The degrees of freedom of that; none where it was given.
    pub degrees_of_freedom: Option<f64>,
    /// The residual sum of squares, mm²; with a prior, what the prior does not fit included.
    pub residual_ss: f64,
    /// The share of the squares that the line explains: about their mean, or about the start where that is known
    /// exactly; none with a prior.
    pub r_squared: Option<f64>,
}

impl Wear {
    /// A brush of a class, before its first reading.
    pub fn new(prior: &ClassPrior) -> Result<Self, WearError> {
        let prior = prior.checked()?;
        let (mm, error) = match prior.error {
            ReadingError::Given { mm } => (mm, Error::Given { variance: mm * mm }),
            ReadingError::Estimated { mm, weight } => {
                let squares = weight * mm * mm;
                (mm, Error::Estimated { squares, weight })
            }
        };
        let drift = Drift {
            of_class: (prior.drift_mm / mm).powi(2) / prior.drift_over,
            rate: prior.rate_mm,
        };
        let mut new = Self::bare(error, drift, Against::Nothing);
        new.easing = Easing::new(prior.start_mm, prior.easing);
        let start = mm / prior.start_sd_mm.max(EXACTLY * mm);
        let rate = mm / prior.rate_sd_mm;
        new.root.take([start, 0.0, start * prior.start_mm]);
        new.root.take([0.0, rate, -rate * prior.rate_mm]);
        Ok(new)
    }

    /// A brush of which nothing is known but its readings: least squares.
    pub fn flat() -> Self {
        let error = Error::Estimated {
            squares: 0.0,
            weight: -2.0,
        };
        Self::bare(error, Drift::NONE, Against::Mean)
    }

    /// A brush of which nothing is known but its length when new, exactly, and its readings: least squares through it.
    pub fn flat_from(start_mm: f64) -> Self {
        let error = Error::Estimated {
            squares: 0.0,
            weight: -1.0,
        };
        let mut new = Self::bare(error, Drift::NONE, Against::Start(start_mm));
        new.root.take([1.0 / EXACTLY, 0.0, start_mm / EXACTLY]);
        new
    }

    const fn bare(error: Error, drift: Drift, against: Against) -> Self {
        Self {
            root: Root::EMPTY,
            at: 0.0,
            drift,
            easing: Easing::NONE,
            error,
            against,
            readings: 0,
            mean: 0.0,
            squares: 0.0,
            last: None,
        }
    }

    /// The same with all these readings, in any order.
    pub fn with_all(mut self, readings: &[Reading]) -> Result<Self, WearError> {
        let mut in_order = readings.to_vec();
        in_order.sort_by(|a, b| a.used.total_cmp(&b.used));
        for reading in in_order {
            self.take(reading)?;
        }
        Ok(self)
    }

    /// Takes in one more reading. Where the rate drifts, readings come in the order of their use. On an error nothing
    /// has changed.
    pub fn take(&mut self, reading: Reading) -> Result<(), WearError> {
        let Reading { used, length_mm } = reading;
        if !used.is_finite() {
            return Err(WearError::NotANumber("the use"));
        }
        if !length_mm.is_finite() {
            return Err(WearError::NotANumber("the length"));
        }
        if used < self.at && self.drift.of_class > 0.0 {
            return Err(WearError::OutOfOrder);
        }
        if used > self.at {
            let drift = self.drift_now();
            self.root.go_on(used - self.at, drift);
            self.at = used;
        }
        let even = self.easing.even(length_mm);
        self.root.take([1.0, used - self.at, even]);
        self.count(length_mm);
        if self.last.is_none_or(|last| last.used <= used) {
            self.last = Some(reading);
        }
        Ok(())
    }

    /// Keeps the squares about the mean (Welford 1962) or the start.
    fn count(&mut self, length_mm: f64) {
        self.readings += 1;
        match self.against {
            Against::Start(start) => self.squares += (length_mm - start).powi(2),
            Against::Mean | Against::Nothing => {
                let off = length_mm - self.mean;
                self.mean += off / f64::from(self.readings);
                self.squares += off * (length_mm - self.mean);
            }
        }
    }

    /// How many readings were taken in.
    pub const fn readings(&self) -> u32 {
        self.readings
    }

    /// The reading of the most use.
    pub const fn last(&self) -> Option<Reading> {
        self.last
    }

    /// The use up to which it was read.
    pub(super) const fn at(&self) -> f64 {
        self.at
    }

    /// Variance of the error of a reading (mm²) and its degrees of freedom; none before there are any.
    pub(super) fn error(&self) -> Option<(f64, f64)> {
        match self.error {
            Error::Given { variance } => Some((variance, f64::INFINITY)),
            Error::Estimated { squares, weight } => {
                let degrees = weight + f64::from(self.readings);
                let variance = (squares + self.root.left_over) / degrees;
                (degrees > 0.0).then_some((variance, degrees))
            }
        }
    }

    /// Length now, on the even scale, and its change for each unit of use.
    pub(super) fn now(&self) -> Option<(f64, f64)> {
        self.root.solve()
    }

    /// How the rate drifts from now on.
    fn drift_now(&self) -> f64 {
        if self.drift.of_class <= 0.0 {
            return 0.0;
        }
        let rate = self.now().map_or(self.drift.rate, |(_, rate)| -rate);
        self.drift.of(rate)
    }

    /// How sure length and rate are at the last reading.
    pub(super) fn spread(&self) -> Spread {
        let (length, both, rate) = self.root.spread();
        Spread {
            length,
            both,
            rate,
            drift: self.drift_now(),
        }
    }

    /// Variance of the line `ahead` of the last reading, in squares of the error of a reading. Behind it, that of the
    /// present line.
    pub(super) fn variance_ahead(&self, ahead: f64) -> f64 {
        let drifted = self.drift_now() * ahead.max(0.0).powi(3) / 3.0;
        self.root.variance(1.0, ahead) + drifted
    }

    /// What is to be expected of its length at `used`.
    pub fn forecast(&self, used: f64, of: Of) -> Result<Forecast, WearError> {
        let (length, rate) = self.now().ok_or(WearError::TooFewReadings)?;
        let (variance, degrees) = self.error().ok_or(WearError::TooFewReadings)?;
        let ahead = used - self.at;
        Ok(Forecast {
            even: rate.mul_add(ahead, length),
            spread: ((self.variance_ahead(ahead) + of.variance()) * variance).sqrt(),
            degrees,
            easing: self.easing,
        })
    }

    /// Where a length lies on the even scale.
    pub(super) fn even(&self, length_mm: f64) -> f64 {
        self.easing.even(length_mm)
    }

    /// The line as it runs now.
    pub fn line(&self) -> Result<Line, WearError> {
        let (length, slope) = self.now().ok_or(WearError::TooFewReadings)?;
        let (variance, degrees) = self.error().ok_or(WearError::TooFewReadings)?;
        let residual_ss = self.root.left_over;
        let r_squared = match self.against {
            Against::Nothing => None,
            Against::Mean | Against::Start(_) => {
                (self.squares > 0.0).then(|| 1.0 - residual_ss / self.squares)
            }
        };
        let start = self.easing.length(slope.mul_add(-self.at, length));
        let bent_at_start = self.easing.slope(start);
        let bent_now = self.easing.slope(self.easing.length(length));
        let start_se = (self.root.variance(1.0, -self.at) * variance).sqrt();
        Ok(Line {
            intercept: start,
            intercept_se: start_se * bent_at_start,
            slope: slope * bent_now,
            slope_se: (self.spread().rate * variance).sqrt() * bent_now,
            residual_sd: variance.sqrt(),
            degrees_of_freedom: degrees.is_finite().then_some(degrees),
            residual_ss,
            r_squared,
        })
    }
}
