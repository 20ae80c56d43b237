//! What the sun sends to a place on a day, before any air is in the way. FAO Irrigation and Drainage Paper 56
//! (1998), chapter 3.

use std::f64::consts::PI;

/// The sun over one place on one day.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sun {
    /// Inverse relative distance to the sun, no unit (equation 23).
    pub distance: f64,
    /// Declination, rad (equation 24).
    pub declination: f64,
    /// Sunset hour angle, rad: 0 where it does not rise, π where it does not set (equation 25).
    pub sunset_angle: f64,
    /// Radiation outside the air, MJ/m² a day (equation 21).
    pub radiation: f64,
    /// Hours of daylight (equation 34).
    pub daylight_h: f64,
}

/// The sun at a latitude (radians, north positive) on a day of the year (1 to 366).
pub fn sun(latitude: f64, day_of_year: u32) -> Sun {
    let year = 2.0 * PI / 365.0 * f64::from(day_of_year);
    let distance = 0.033_f64.mul_add(year.cos(), 1.0);
    let declination = 0.409 * (year - 1.39).sin();
    // Beyond the polar circles the product leaves -1..1: the sun then stays up or down all day.
    let cosine = (-latitude.tan() * declination.tan()).clamp(-1.0, 1.0);
    let sunset_angle = cosine.acos();
    let solar_constant = 0.0820;
    let radiation = 24.0 * 60.0 / PI
        * solar_constant
        * distance
        * (sunset_angle * latitude.sin()).mul_add(
            declination.sin(),
            latitude.cos() * declination.cos() * sunset_angle.sin(),
        );
    Sun {
        distance,
        declination,
        sunset_angle,
        radiation: radiation.max(0.0),
        daylight_h: 24.0 / PI * sunset_angle,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    // Example 8: 20° S on 3 September, day 246. 32.194 recomputed; the paper's 32.2 is from memory.
    #[test]
    fn the_radiation_of_example_8_comes_out() {
        let sun = sun((-20.0_f64).to_radians(), 246);
        assert!((sun.radiation - 32.194).abs() < 0.001, "{sun:?}");
    }

    #[test]
    fn the_sun_does_not_set_in_a_polar_summer_nor_rise_in_a_polar_winter() {
        let at = |day| sun(80.0_f64.to_radians(), day);
        assert!((at(172).daylight_h - 24.0).abs() < 1e-9);
        assert!(at(355).daylight_h < 1e-9 && at(355).radiation < 1e-9);
    }
}
