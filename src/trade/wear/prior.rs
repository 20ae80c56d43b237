//! What is known of a brush before it was ever read, from its tool class.

use serde::{Deserialize, Serialize};

use super::WearError;
use super::easing::Easing;

/// How far a reading lies from the true mean length of the bristles, one standard deviation.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum ReadingError {
    /// Known, as from readings taken over again.
    Given {
        /// Standard deviation, millimetres.
        mm: f64,
    },
    /// Guessed, and learned from the readings.
    Estimated {
        /// The guess, millimetres.
        mm: f64,
        /// How many readings the guess counts for.
        weight: f64,
    },
}

/// The brushes of one tool class, as they come and as they wear.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct ClassPrior {
    /// Mean length when new, millimetres.
    pub start_mm: f64,
    /// How far new ones differ from it, one standard deviation; zero where this one's is known exactly.
    pub start_sd_mm: f64,
    /// Mean loss for each unit of use while they are new, millimetres.
    pub rate_mm: f64,
    /// How far brushes differ from it, one standard deviation.
    pub rate_sd_mm: f64,
    /// How well they are read.
    pub error: ReadingError,
    /// By how much the rate of one brush changes over `drift_over` of use, one standard deviation, millimetres for
    /// each unit of use; zero for a straight line.
    pub drift_mm: f64,
    /// The use over which it does.
    pub drift_over: f64,
    /// How the rate of a brush falls with its length: as (length ÷ start)^easing, from 0, not at all, to below 1.
    pub easing: f64,
}

/// How far the rates of brushes of one class lie apart, as a share of the class's: courts, surfaces and crews differ.
/// Common practice, no source.
pub const RATE_SPREAD: f64 = 0.35;
/// By how much of the class's rate a brush's own rate changes over a life, one standard deviation: bristles stiffen as
/// they shorten, splay, and are worn otherwise in the dry months. Common practice, no source; the tests of calibration
/// show what it does.
pub const DRIFT: f64 = 0.33;
/// How the rate falls with the length: short bristles bend less. Common practice, no source.
pub const EASING: f64 = 0.4;
/// What a ruler in the shed reads a bristle to, one standard deviation: a millimetre's rounding, and where on the brush
/// it is held. Common practice, no source.
pub const RULER_MM: f64 = 1.0;
/// How many readings that guess counts for.
pub const RULER_WEIGHT: f64 = 20.0;

impl ClassPrior {
    /// A class by what a site knows of it: the length when new and how far it differs, the limit at which it is changed,
    /// and how much use it lasts until then.
    pub fn of_life(
        start_mm: f64,
        start_sd_mm: f64,
        limit_mm: f64,
        life: f64,
    ) -> Result<Self, WearError> {
        if !(start_mm > limit_mm && limit_mm >= 0.0 && start_mm.is_finite()) {
            return Err(WearError::NotPositive("what wears off until the limit"));
        }
        if !(life > 0.0 && life.is_finite()) {
            return Err(WearError::NotPositive("the life of the class"));
        }
        Self::lasting(start_mm, start_sd_mm, limit_mm, life).checked()
    }

    fn lasting(start_mm: f64, start_sd_mm: f64, limit_mm: f64, life: f64) -> Self {
        let even = Easing::new(start_mm, EASING);
        let rate = (even.even(start_mm) - even.even(limit_mm)) / life;
        Self {
            start_mm,
            start_sd_mm,
            rate_mm: rate,
            rate_sd_mm: RATE_SPREAD * rate,
            error: ReadingError::Estimated {
                mm: RULER_MM,
                weight: RULER_WEIGHT,
            },
            drift_mm: DRIFT * rate,
            drift_over: life,
            easing: EASING,
        }
    }

    /// The same, if a forecast can be made from it.
    pub fn checked(self) -> Result<Self, WearError> {
        let (error, weight) = match self.error {
            ReadingError::Given { mm } => (mm, 1.0),
            ReadingError::Estimated { mm, weight } => (mm, weight),
        };
        for (name, value) in [
            ("the length when new", self.start_mm),
            ("the rate", self.rate_mm),
        ] {
            if !value.is_finite() {
                return Err(WearError::NotANumber(name));
            }
        }
        for (name, value, zero) in [
            ("the spread of lengths when new", self.start_sd_mm, true),
            ("the spread of rates", self.rate_sd_mm, false),
            ("the error of a reading", error, false),
            ("the weight of the error", weight, false),
            ("the drift of the rate", self.drift_mm, true),
            ("the use over which the rate drifts", self.drift_over, false),
            ("the easing of the rate", self.easing, true),
        ] {
            if !value.is_finite() {
                return Err(WearError::NotANumber(name));
            }
            if value < 0.0 || (!zero && value <= 0.0) {
                return Err(WearError::NotPositive(name));
            }
        }
        if self.easing >= 1.0 {
            return Err(WearError::NotPositive("one less the easing of the rate"));
        }
        if self.start_mm <= 0.0 {
            return Err(WearError::NotPositive("the length when new"));
        }
        Ok(self)
    }
}

/// The use that a drag broom lasts in a season of daily use, in courts groomed. Common practice, no source.
pub const SEASON_OF_COURTS: f64 = 900.0;

impl Default for ClassPrior {
    /// A drag broom, a use being one court groomed: bristles of 4.5 to 6 in, any of which comes as likely (5.25 in, and
    /// 1.5 in ÷ √12), changed at half of that after a season. Common practice, no source.
    fn default() -> Self {
        const INCH: f64 = 25.4;
        let start_mm = 5.25 * INCH;
        let start_sd_mm = 1.5 * INCH / 12_f64.sqrt();
        Self::lasting(start_mm, start_sd_mm, start_mm / 2.0, SEASON_OF_COURTS)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_drag_broom_is_a_class_of_its_life() {
        let usual = ClassPrior::default();
        let (start, sd) = (usual.start_mm, usual.start_sd_mm);
        let same = ClassPrior::of_life(start, sd, start / 2.0, SEASON_OF_COURTS).unwrap();
        assert!((same.rate_mm - usual.rate_mm).abs() < 1e-15);
        assert!((sd - 10.998_5).abs() < 1e-4);
    }

    #[test]
    fn a_class_that_cannot_be_is_refused_by_what_is_wrong() {
        let of = |start, limit, life| ClassPrior::of_life(start, 1.0, limit, life);
        assert!(of(100.0, 50.0, 900.0).is_ok());
        let why = of(50.0, 50.0, 900.0).unwrap_err().to_string();
        assert_eq!(why, "what wears off until the limit must be above zero");
        assert!(of(50.0, 20.0, 0.0).is_err() && of(f64::NAN, 20.0, 1.0).is_err());
        let usual = ClassPrior::default();
        for wrong in [
            ClassPrior {
                rate_sd_mm: 0.0,
                ..usual
            },
            ClassPrior {
                start_sd_mm: -1.0,
                ..usual
            },
            ClassPrior {
                error: ReadingError::Given { mm: 0.0 },
                ..usual
            },
            ClassPrior {
                drift_mm: f64::INFINITY,
                ..usual
            },
        ] {
            assert!(wrong.checked().is_err(), "{wrong:?}");
        }
    }
}
