//! Reference evapotranspiration: what the air draws from a short green surface in a day. FAO Irrigation and Drainage
//! Paper 56 (1998): Penman-Monteith (equation 6), and Hargreaves (equation 52) where temperatures are all there is.
//!
//! A clay court is no grass: the number only says how one day compares with another.

use chrono::{Datelike, NaiveDate};
use serde::{Deserialize, Serialize};

use super::radiation::{Sun, sun};
use super::{NeedError, within};
use crate::units::{Micrometres, Millicelsius, Millimetres, Seconds};

/// Where the weather was measured.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub struct Spot {
    /// Millionths of a degree, north positive.
    pub latitude_udeg: i64,
    /// Above the sea.
    pub altitude: Millimetres,
}

/// How damp the air was.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Humidity {
    /// Relative humidity, thousandths: the day's lowest and highest.
    Relative {
        /// The lowest.
        min_permille: i64,
        /// The highest.
        max_permille: i64,
    },
    /// The mean vapour pressure, Pa.
    VapourPressure(i64),
}

/// The weather of one day. What is not known is none.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub struct DayWeather {
    /// The day's lowest temperature.
    pub temp_min: Millicelsius,
    /// The day's highest temperature.
    pub temp_max: Millicelsius,
    /// How damp the air was.
    pub humidity: Option<Humidity>,
    /// The mean wind, mm/s.
    pub wind_mmps: Option<i64>,
    /// How high above the ground the wind was measured.
    pub wind_height: Millimetres,
    /// How long the sun shone.
    pub sunshine: Option<Seconds>,
    /// What the sun sent to the ground, kJ/m² in the day; counts before the hours of sunshine.
    pub solar_kj_m2: Option<i64>,
}

/// By which of the two equations.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Method {
    /// Equation 6.
    PenmanMonteith,
    /// Equation 52.
    Hargreaves,
}

/// What the air draws in a day, as water depth.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub struct Reference {
    /// Thousandths of a millimetre a day.
    pub depth: Micrometres,
    /// How it was reckoned.
    pub by: Method,
}

/// Penman-Monteith with what it is made of, so that each part can be held against the paper.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PenmanMonteith {
    /// Wind at 2 m, m/s (equation 47).
    pub wind_2m: f64,
    /// Air pressure, kPa (equation 7).
    pub pressure: f64,
    /// Psychrometric constant, kPa/°C (equation 8).
    pub gamma: f64,
    /// Slope of the vapour pressure curve, kPa/°C (equation 13).
    pub slope: f64,
    /// Saturation vapour pressure, kPa (equation 12).
    pub saturated: f64,
    /// Actual vapour pressure, kPa (equation 17).
    pub actual: f64,
    /// The sun.
    pub sun: Sun,
    /// Radiation at the ground, MJ/m² a day (equation 35).
    pub solar: f64,
    /// The same under a clear sky (equation 37).
    pub clear_sky: f64,
    /// What is kept of it (equation 38).
    pub short_wave: f64,
    /// What the ground sends back (equation 39).
    pub long_wave: f64,
    /// Net radiation (equation 40).
    pub net: f64,
    /// Reference evapotranspiration, mm a day (equation 6).
    pub depth_mm: f64,
}

/// What is measured, in the paper's own units.
struct Measured {
    low: f64,
    high: f64,
    day_of_year: u32,
    latitude: f64,
    altitude_m: f64,
}

fn measured(weather: &DayWeather, spot: Spot, on: NaiveDate) -> Result<Measured, NeedError> {
    let temp = |field, t: Millicelsius| Ok(within(field, t.0, -60_000, 60_000)? / 1_000.0);
    let low = temp("temp_min_mc", weather.temp_min)?;
    let high = temp("temp_max_mc", weather.temp_max)?;
    if high < low {
        return Err(NeedError::Swapped {
            high: "temp_max_mc",
            low: "temp_min_mc",
        });
    }
    let degrees = within("latitude_udeg", spot.latitude_udeg, -90_000_000, 90_000_000)?;
    let altitude = within("altitude_mm", spot.altitude.0, -500_000, 6_000_000)?;
    Ok(Measured {
        low,
        high,
        day_of_year: on.ordinal(),
        latitude: (degrees / 1e6).to_radians(),
        altitude_m: altitude / 1_000.0,
    })
}

/// Saturation vapour pressure at a temperature, kPa (equation 11).
fn saturation(temp: f64) -> f64 {
    0.6108 * (17.27 * temp / (temp + 237.3)).exp()
}

/// Equation 6 for a day; none where humidity, wind or sun is not known.
pub fn penman_monteith(
    weather: &DayWeather,
    spot: Spot,
    on: NaiveDate,
) -> Result<Option<PenmanMonteith>, NeedError> {
    let at = measured(weather, spot, on)?;
    let actual = weather
        .humidity
        .map(|humidity| vapour(humidity, at.low, at.high))
        .transpose()?;
    let wind_2m = weather
        .wind_mmps
        .map(|wind| wind_at_2m(wind, weather.wind_height))
        .transpose()?;
    let sun = sun(at.latitude, at.day_of_year);
    let solar = solar(weather, &sun)?;
    let (Some(actual), Some(wind_2m), Some(solar)) = (actual, wind_2m, solar) else {
        return Ok(None);
    };
    // A day has no heat of the soil to speak of (equation 42).
    Ok(Some(combine(&at, actual, wind_2m, sun, solar, 0.0)))
}

fn combine(
    at: &Measured,
    actual: f64,
    wind_2m: f64,
    sun: Sun,
    solar: f64,
    soil: f64,
) -> PenmanMonteith {
    let mean = f64::midpoint(at.low, at.high);
    let pressure = 101.3 * (0.0065_f64.mul_add(-at.altitude_m, 293.0) / 293.0).powf(5.26);
    let gamma = 0.665e-3 * pressure;
    let slope = 4098.0 * saturation(mean) / (mean + 237.3).powi(2);
    let saturated = f64::midpoint(saturation(at.high), saturation(at.low));
    let clear_sky = 2e-5_f64.mul_add(at.altitude_m, 0.75) * sun.radiation;
    let short_wave = (1.0 - 0.23) * solar;
    // In a night without a sun no share of clear sky is known; the paper's middling one is taken.
    let share = if clear_sky > 0.0 {
        (solar / clear_sky).clamp(0.3, 1.0)
    } else {
        0.5
    };
    let kelvin = |temp: f64| (temp + 273.16).powi(4);
    let long_wave = 4.903e-9
        * f64::midpoint(kelvin(at.high), kelvin(at.low))
        * 0.14_f64.mul_add(-actual.sqrt(), 0.34)
        * 1.35_f64.mul_add(share, -0.35);
    let net = short_wave - long_wave;
    let depth_mm = (0.408 * slope).mul_add(
        net - soil,
        gamma * 900.0 / (mean + 273.0) * wind_2m * (saturated - actual),
    ) / gamma.mul_add(0.34_f64.mul_add(wind_2m, 1.0), slope);
    PenmanMonteith {
        wind_2m,
        pressure,
        gamma,
        slope,
        saturated,
        actual,
        sun,
        solar,
        clear_sky,
        short_wave,
        long_wave,
        net,
        depth_mm,
    }
}

/// The actual vapour pressure, kPa.
fn vapour(humidity: Humidity, low: f64, high: f64) -> Result<f64, NeedError> {
    match humidity {
        Humidity::Relative {
            min_permille,
            max_permille,
        } => {
            let least = within("humidity_min_permille", min_permille, 0, 1_000)? / 1_000.0;
            let most = within("humidity_max_permille", max_permille, 0, 1_000)? / 1_000.0;
            if most < least {
                return Err(NeedError::Swapped {
                    high: "humidity_max_permille",
                    low: "humidity_min_permille",
                });
            }
            Ok(f64::midpoint(
                saturation(low) * most,
                saturation(high) * least,
            ))
        }
        Humidity::VapourPressure(pa) => Ok(within("vapour_pressure_pa", pa, 0, 12_000)? / 1_000.0),
    }
}

fn wind_at_2m(wind_mmps: i64, height: Millimetres) -> Result<f64, NeedError> {
    let wind = within("wind_mmps", wind_mmps, 0, 80_000)? / 1_000.0;
    let height = within("wind_height_mm", height.0, 500, 100_000)? / 1_000.0;
    Ok(wind * 4.87 / 67.8_f64.mul_add(height, -5.42).ln())
}

/// What reaches the ground, MJ/m²: as measured, or by the hours of sunshine.
fn solar(weather: &DayWeather, sun: &Sun) -> Result<Option<f64>, NeedError> {
    if let Some(measured) = weather.solar_kj_m2 {
        return Ok(Some(within("solar_kj_m2", measured, 0, 50_000)? / 1_000.0));
    }
    let Some(shone) = weather.sunshine else {
        return Ok(None);
    };
    let hours = within("sunshine_s", shone.0, 0, 86_400)? / 3_600.0;
    let share = if sun.daylight_h > 0.0 {
        (hours / sun.daylight_h).min(1.0)
    } else {
        0.0
    };
    Ok(Some(0.5_f64.mul_add(share, 0.25) * sun.radiation))
}

/// Equation 52, mm a day: from temperatures and the date alone.
pub fn hargreaves(weather: &DayWeather, spot: Spot, on: NaiveDate) -> Result<f64, NeedError> {
    let at = measured(weather, spot, on)?;
    let radiation = sun(at.latitude, at.day_of_year).radiation;
    let mean = f64::midpoint(at.low, at.high);
    Ok((0.0023 * (mean + 17.8) * (at.high - at.low).sqrt() * 0.408 * radiation).max(0.0))
}

/// What the air draws on a day: by Penman-Monteith where all is known that it takes, else by Hargreaves. The two do
/// not agree, so that days are only compared with days of the same method.
pub fn reference(weather: &DayWeather, spot: Spot, on: NaiveDate) -> Result<Reference, NeedError> {
    let (mm, by) = match penman_monteith(weather, spot, on)? {
        Some(parts) => (parts.depth_mm, Method::PenmanMonteith),
        None => (hargreaves(weather, spot, on)?, Method::Hargreaves),
    };
    // The ranges above keep it far below what an i64 holds; dew (less than nothing) is nothing here.
    #[allow(clippy::cast_possible_truncation)]
    let depth = (mm * 1_000.0).round().clamp(0.0, 100_000.0) as i64;
    Ok(Reference {
        depth: Micrometres(depth),
        by,
    })
}

#[cfg(test)]
mod tests;
