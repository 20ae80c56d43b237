//! Readings that cannot well be: a finger slipped, a wrong brush, inches for millimetres. They are kept apart until a
//! second reading says the same.

use serde::{Deserialize, Serialize};

use super::remaining::Of;
use super::{Reading, Wear, WearError};
use crate::chance::student_cdf;

/// A reading is doubted where less than one in so many would lie as far off: of one wrong reading in fifty the coarse
/// ones are caught, and of 500 right ones one is read again.
const ONE_IN: f64 = 500.0;
/// No t distribution has its two-sided point of [`ONE_IN`] nearer than the normal one does (3.0902, scipy 1.17.1,
/// `stats.norm.isf(1 / 1000)`), so that nearer readings need no closer look.
const SURELY_WITHIN: f64 = 3.090;

word_enum! {
    /// What speaks against a reading.
    Doubt {
        /// Longer than the last one, beyond what the error of two readings allows: bristles do not grow.
        TooLong = "too_long",
        /// Farther from what was expected of it than the forecast allows.
        FurtherThanForecast = "further_than_forecast",
    }
}

/// What speaks against `reading`, if anything does. Nothing can where no forecast is to be had yet.
pub fn doubt(state: &Wear, reading: Reading) -> Option<Doubt> {
    let (variance, degrees) = state.error()?;
    let far_off = |off: f64, scale: f64| {
        let off = off / scale;
        off.abs() > SURELY_WITHIN && 2.0 * student_cdf(-off.abs(), degrees) < 1.0 / ONE_IN
    };
    let even = state.even(reading.length_mm);
    if let Some(last) = state.last() {
        let longer = even - state.even(last.length_mm);
        if reading.used >= last.used && longer > 0.0 && far_off(longer, (2.0 * variance).sqrt()) {
            return Some(Doubt::TooLong);
        }
    }
    let forecast = state.forecast(reading.used, Of::Reading).ok()?;
    far_off(even - forecast.even, forecast.spread).then_some(Doubt::FurtherThanForecast)
}

/// Whether a second reading says the same as one that is doubted: no farther from it than the error of two readings
/// and the wear between them, as the forecast has it, allow.
pub fn confirms(state: &Wear, doubted: Reading, again: Reading) -> bool {
    let (Some((variance, degrees)), Some((_, rate))) = (state.error(), state.now()) else {
        return true;
    };
    let step = again.used - doubted.used;
    let expected = rate.mul_add(step, state.even(doubted.length_mm));
    let scale = (variance * (2.0 + state.spread().rate * step * step)).sqrt();
    let off = (state.even(again.length_mm) - expected) / scale;
    2.0 * student_cdf(-off.abs(), degrees) >= 1.0 / ONE_IN
}

/// What became of a reading.
#[derive(Clone, Debug, PartialEq)]
pub enum Told {
    /// It moves the forecast. One doubted before is dropped.
    Taken,
    /// It moves the forecast, and so do these, which were doubted before and which it confirms.
    Confirms(Vec<Reading>),
    /// It moves nothing until it is confirmed.
    Doubted(Doubt),
}

/// A brush with the readings that are doubted, if any are.
///
/// A doubted reading is confirmed by the next one that says the same, or by being the third in a row that is doubted: so
/// many are seldom wrong, and it is the forecast that was. One that is as expected drops those doubted before it.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Record {
    /// What is known of it, without the doubted readings.
    pub wear: Wear,
    /// The doubted readings, in the order in which they came; at most two.
    pub doubted: Vec<Reading>,
}

impl Record {
    /// A brush without a doubted reading.
    pub const fn new(wear: Wear) -> Self {
        Self {
            wear,
            doubted: Vec::new(),
        }
    }

    /// Tells one reading more. On an error nothing has changed.
    pub fn tell(&mut self, reading: Reading) -> Result<Told, WearError> {
        let mut wear = self.wear;
        // Whether it can be taken at all is said at once.
        wear.take(reading)?;
        let Some(why) = doubt(&self.wear, reading) else {
            *self = Self::new(wear);
            return Ok(Told::Taken);
        };
        let same = |before: &Reading| confirms(&self.wear, *before, reading);
        let confirmed: Vec<Reading> = match self.doubted.last() {
            Some(last) if same(last) => self.doubted.iter().copied().filter(same).collect(),
            Some(_) if self.doubted.len() >= 2 => self.doubted.clone(),
            _ => {
                self.doubted.push(reading);
                return Ok(Told::Doubted(why));
            }
        };
        let mut wear = self.wear;
        for before in &confirmed {
            wear.take(*before)?;
        }
        wear.take(reading)?;
        *self = Self::new(wear);
        Ok(Told::Confirms(confirmed))
    }
}

#[cfg(test)]
mod tests {
    use super::super::ClassPrior;
    use super::*;

    fn at(used: f64, length_mm: f64) -> Reading {
        Reading { used, length_mm }
    }

    /// A brush of the usual class, read every 30 uses, that wears 2.2 mm between.
    fn worn(readings: u32) -> Record {
        let mut record = Record::new(Wear::new(&ClassPrior::default()).unwrap());
        for nth in 1..=readings {
            let nth = f64::from(nth);
            record
                .tell(at(30.0 * nth, 2.2_f64.mul_add(-nth, 134.0)))
                .unwrap();
        }
        record
    }

    #[test]
    fn a_reading_as_expected_is_not_doubted() {
        let record = worn(10);
        assert_eq!(doubt(&record.wear, at(330.0, 109.8)), None);
        assert_eq!(doubt(&record.wear, at(330.0, 108.0)), None);
    }

    #[test]
    fn a_brush_that_has_grown_is_doubted() {
        let record = worn(10);
        assert_eq!(doubt(&record.wear, at(330.0, 122.0)), Some(Doubt::TooLong));
    }

    #[test]
    fn a_reading_an_inch_short_is_doubted_and_moves_nothing() {
        let mut record = worn(10);
        let before = record.wear;
        let told = record.tell(at(330.0, 109.8 - 25.4)).unwrap();
        assert_eq!(told, Told::Doubted(Doubt::FurtherThanForecast));
        assert_eq!(record.wear, before);
        // The next one, as expected, drops it.
        assert_eq!(record.tell(at(360.0, 107.6)), Ok(Told::Taken));
        assert!(record.doubted.is_empty() && record.wear.readings() == 11);
    }

    #[test]
    fn a_second_reading_that_says_the_same_confirms_it() {
        let mut record = worn(10);
        record.tell(at(330.0, 84.4)).unwrap();
        let told = record.tell(at(330.0, 84.9)).unwrap();
        assert_eq!(told, Told::Confirms(vec![at(330.0, 84.4)]));
        assert!(record.doubted.is_empty() && record.wear.readings() == 12);
    }

    #[test]
    fn another_strange_reading_confirms_nothing() {
        let mut record = worn(10);
        record.tell(at(330.0, 84.4)).unwrap();
        let told = record.tell(at(330.0, 60.0)).unwrap();
        assert_eq!(told, Told::Doubted(Doubt::FurtherThanForecast));
        assert_eq!(record.wear.readings(), 10);
    }

    #[test]
    fn a_brush_that_goes_on_against_its_forecast_is_believed_the_third_time() {
        let mut record = worn(10);
        for (used, length) in [(330.0, 84.0), (360.0, 67.0)] {
            let told = record.tell(at(used, length)).unwrap();
            assert_eq!(told, Told::Doubted(Doubt::FurtherThanForecast));
        }
        let told = record.tell(at(390.0, 50.0)).unwrap();
        assert!(matches!(told, Told::Confirms(before) if before.len() == 2));
        assert!(record.doubted.is_empty() && record.wear.readings() == 13);
    }

    #[test]
    fn nothing_is_doubted_where_nothing_is_known() {
        assert_eq!(doubt(&Wear::flat(), at(0.0, 1e6)), None);
    }
}
