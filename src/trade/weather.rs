//! Weather as it is read off at the courts: what a reading may say, and the summary of a day.

mod column;

use serde::{Deserialize, Serialize};
use thiserror::Error;

pub use column::Column;

use crate::heat::{MilliFahrenheit, heat_index};
use crate::units::{Micrometres, Millicelsius};

/// One reading. What was not read is none.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub struct WeatherReading {
    /// Air temperature in the shade.
    pub temp: Option<Millicelsius>,
    /// Relative humidity, thousandths.
    pub humidity_permille: Option<i64>,
    /// Wind, mm/s.
    pub wind_mmps: Option<i64>,
    /// The strongest gust since the reading before, mm/s.
    pub gust_mmps: Option<i64>,
    /// Rain since the reading before.
    pub rain: Option<Micrometres>,
    /// What the sun sends to the ground, W/m².
    pub solar_w_m2: Option<i64>,
    /// Whether there is frost in the ground.
    pub frost: Option<bool>,
}

/// What each value can be, by its name with its unit. The ranges hold every value ever measured at the ground, from
/// memory: -89 to 57 °C, gusts of 113 m/s, 0.4 m of rain in an hour and 1.9 m in a day, and sun up to the 1,361 W/m²
/// above the air, with room for the edges of clouds.
const RANGES: [(&str, i64, i64); 6] = [
    ("temp_mc", -90_000, 60_000),
    ("humidity_permille", 0, 1_000),
    ("wind_mmps", 0, 120_000),
    ("gust_mmps", 0, 120_000),
    ("rain_um", 0, 2_000_000),
    ("solar_w_m2", 0, 2_000),
];

/// A value that no instrument at a court could read.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Error)]
pub enum WeatherError {
    /// Out of its range.
    #[error("give {low} to {high}")]
    OutOfRange {
        /// Which value, with its unit.
        field: &'static str,
        /// The least it can be.
        low: i64,
        /// The most it can be.
        high: i64,
    },
    /// Nothing was read.
    #[error("give at least one thing that was read")]
    Empty,
    /// Gusts weaker than the wind.
    #[error("a gust is at least as strong as the wind: swap or mend the two")]
    GustBelowWind,
}

impl WeatherError {
    /// The field to mend, empty where it is the whole reading.
    pub const fn field(&self) -> &'static str {
        match self {
            Self::OutOfRange { field, .. } => field,
            Self::Empty => "",
            Self::GustBelowWind => "gust_mmps",
        }
    }
}

impl WeatherReading {
    /// The same reading, if instruments could give it.
    pub fn checked(self) -> Result<Self, WeatherError> {
        let values = [
            self.temp.map(|t| t.0),
            self.humidity_permille,
            self.wind_mmps,
            self.gust_mmps,
            self.rain.map(|r| r.0),
            self.solar_w_m2,
        ];
        for ((field, low, high), value) in RANGES.into_iter().zip(values) {
            if value.is_some_and(|value| !(low..=high).contains(&value)) {
                return Err(WeatherError::OutOfRange { field, low, high });
            }
        }
        if values.iter().all(Option::is_none) && self.frost.is_none() {
            return Err(WeatherError::Empty);
        }
        match (self.wind_mmps, self.gust_mmps) {
            (Some(wind), Some(gust)) if gust < wind => Err(WeatherError::GustBelowWind),
            _ => Ok(self),
        }
    }

    /// The least and the most that a value can be, by its name with its unit.
    pub fn range(field: &str) -> Option<(i64, i64)> {
        let mut all = RANGES.iter();
        all.find(|(name, ..)| *name == field)
            .map(|(_, low, high)| (*low, *high))
    }

    /// The heat index in the shade, where temperature and humidity were read.
    pub fn heat_index(&self) -> Option<MilliFahrenheit> {
        Some(heat_index(self.temp?, self.humidity_permille?))
    }
}

/// A day's weather. What no reading says is none.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub struct DayWeather {
    /// The lowest temperature.
    pub temp_min: Option<Millicelsius>,
    /// The highest temperature.
    pub temp_max: Option<Millicelsius>,
    /// The mean of the two, as is usual for a day (FAO Irrigation and Drainage Paper 56, eq. 9).
    pub temp_mean: Option<Millicelsius>,
    /// The lowest humidity, thousandths.
    pub humidity_min_permille: Option<i64>,
    /// The highest humidity, thousandths.
    pub humidity_max_permille: Option<i64>,
    /// The mean of the winds read, mm/s.
    pub wind_mmps: Option<i64>,
    /// The strongest gust, mm/s.
    pub gust_mmps: Option<i64>,
    /// All rain.
    pub rain: Option<Micrometres>,
    /// The mean of the sun's radiation read, W/m²; a day's kJ/m² where it was read evenly round the clock is this times 86.4.
    pub solar_w_m2: Option<i64>,
    /// Whether any reading found frost.
    pub frost: bool,
}

/// The summary of a day's readings, in any order.
pub fn day_summary(readings: &[WeatherReading]) -> DayWeather {
    let temps = || readings.iter().filter_map(|r| r.temp);
    let humid = || readings.iter().filter_map(|r| r.humidity_permille);
    let rains: Vec<i64> = readings
        .iter()
        .filter_map(|r| r.rain.map(|r| r.0))
        .collect();
    let (low, high) = (temps().min(), temps().max());
    DayWeather {
        temp_min: low,
        temp_max: high,
        temp_mean: low
            .zip(high)
            .and_then(|(low, high)| mean(&[low.0, high.0]))
            .map(Millicelsius),
        humidity_min_permille: humid().min(),
        humidity_max_permille: humid().max(),
        wind_mmps: mean(&values(readings, |r| r.wind_mmps)),
        gust_mmps: readings.iter().filter_map(|r| r.gust_mmps).max(),
        rain: (!rains.is_empty())
            .then(|| Micrometres(rains.iter().fold(0, |all, one| all.saturating_add(*one)))),
        solar_w_m2: mean(&values(readings, |r| r.solar_w_m2)),
        frost: readings.iter().any(|r| r.frost == Some(true)),
    }
}

fn values(readings: &[WeatherReading], of: fn(&WeatherReading) -> Option<i64>) -> Vec<i64> {
    readings.iter().filter_map(of).collect()
}

fn mean(of: &[i64]) -> Option<i64> {
    let count = i128::try_from(of.len()).ok().filter(|count| *count > 0)?;
    let sum: i128 = of.iter().copied().map(i128::from).sum();
    crate::whole::narrow(crate::whole::half_even(sum, count)).ok()
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn read(temp: i64, rain: i64) -> WeatherReading {
        WeatherReading {
            temp: Some(Millicelsius(temp)),
            rain: Some(Micrometres(rain)),
            ..WeatherReading::default()
        }
    }

    #[test]
    fn what_no_instrument_could_read_is_refused_by_its_name() {
        let field = |reading: WeatherReading| reading.checked().map_err(|e| e.field().to_owned());
        assert_eq!(field(read(60_001, 0)), Err("temp_mc".into()));
        assert_eq!(field(read(20_000, -1)), Err("rain_um".into()));
        let gusty = WeatherReading {
            wind_mmps: Some(9_000),
            gust_mmps: Some(8_000),
            ..WeatherReading::default()
        };
        assert_eq!(field(gusty), Err("gust_mmps".into()));
        let empty = WeatherReading::default();
        assert_eq!(empty.checked(), Err(WeatherError::Empty));
        assert!(read(20_000, 0).checked().is_ok());
    }

    #[test]
    fn a_day_is_summed_up() {
        let day = day_summary(&[read(18_000, 200), read(31_000, 0), read(24_000, 1_300)]);
        assert_eq!(day.temp_min, Some(Millicelsius(18_000)));
        assert_eq!(day.temp_max, Some(Millicelsius(31_000)));
        // FAO Irrigation and Drainage Paper 56, eq. 9: half of highest and lowest.
        assert_eq!(day.temp_mean, Some(Millicelsius(24_500)));
        assert_eq!(day.rain, Some(Micrometres(1_500)));
        assert_eq!(day.wind_mmps, None);
        assert_eq!(day_summary(&[]), DayWeather::default());
    }

    proptest! {
        #[test]
        fn the_order_of_readings_does_not_matter(temps in prop::collection::vec(-40_000_i64..50_000, 0..20)) {
            let there: Vec<_> = temps.iter().map(|t| read(*t, *t)).collect();
            let back: Vec<_> = there.iter().rev().copied().collect();
            prop_assert_eq!(day_summary(&there), day_summary(&back));
        }
    }
}
