//! How hot it feels, and what that asks of the day: rests, what heavy work may be done, how people begin.
//!
//! The heat index is that of the US National Weather Service ("The Heat Index Equation", Weather Prediction Center;
//! Rothfusz 1990, technical attachment SR 90-23). It is for shade and light wind: full sun can add up to 15 °F.

mod begin;
mod rule;
mod table;

use serde::{Deserialize, Serialize};

pub use begin::{Newcomer, Worked, heat_share_pct, newcomer, rests_for_newcomers};
pub use rule::{HeatRule, HeatRuleError};
pub use rule::{Hour, Rest, RestBy, heavy_allowed, hot_hours, rests};
pub use table::{Effort, WorkRest, adjusted, work_rest};

use crate::units::{Millicelsius, UnitSystem};

whole_number! {
    /// A temperature or a heat index in thousandths of a degree Fahrenheit.
    MilliFahrenheit
}

impl MilliFahrenheit {
    /// `100 °F`; `38 °C`.
    pub fn show(self, system: UnitSystem) -> String {
        let celsius = crate::whole::half_even((i128::from(self.0) - 32_000) * 5, 9);
        Millicelsius(i64::try_from(celsius).unwrap_or(i64::MAX)).show(system)
    }
}

/// The most that full sun adds to the index of the shade: 15 °F (US National Weather Service).
pub const FULL_SUN_MOST: MilliFahrenheit = MilliFahrenheit(15_000);

impl From<Millicelsius> for MilliFahrenheit {
    fn from(of: Millicelsius) -> Self {
        let wide = crate::whole::half_even(i128::from(of.0) * 9, 5) + 32_000;
        Self(i64::try_from(wide).unwrap_or(if wide < 0 { i64::MIN } else { i64::MAX }))
    }
}

/// The heat index in the shade at an air temperature and a relative humidity in thousandths. Humidity beyond
/// nothing and full is taken as those.
pub fn heat_index(air: Millicelsius, humidity_permille: i64) -> MilliFahrenheit {
    let humidity = float(humidity_permille.clamp(0, 1_000)) / 10.0;
    let air = float(MilliFahrenheit::from(air).0) / 1_000.0;
    whole(index(air, humidity) * 1_000.0)
}

/// °F of °F and percent. The two ways meet at a simple index of 80, as the Service's page has it in words.
fn index(t: f64, rh: f64) -> f64 {
    // The half is already the mean with the temperature of which the page speaks.
    let simple = 0.5 * (t + 61.0 + (t - 68.0) * 1.2 + 0.094 * rh);
    if simple < 80.0 {
        return simple;
    }
    let bare = regression(t, rh);
    if rh < 13.0 && (80.0..=112.0).contains(&t) {
        return bare - (13.0 - rh) / 4.0 * ((17.0 - (t - 95.0).abs()) / 17.0).sqrt();
    }
    if rh > 85.0 && (80.0..=87.0).contains(&t) {
        return bare + (rh - 85.0) / 10.0 * ((87.0 - t) / 5.0);
    }
    bare
}

#[expect(
    clippy::suboptimal_flops,
    reason = "the terms stand as they are printed"
)]
fn regression(t: f64, rh: f64) -> f64 {
    -42.379 + 2.049_015_23 * t + 10.143_331_27 * rh
        - 0.224_755_41 * t * rh
        - 0.006_837_83 * t * t
        - 0.054_817_17 * rh * rh
        + 0.001_228_74 * t * t * rh
        + 0.000_852_82 * t * rh * rh
        - 0.000_001_99 * t * t * rh * rh
}

#[expect(
    clippy::cast_precision_loss,
    reason = "what a thermometer reads is far below 2^53"
)]
const fn float(of: i64) -> f64 {
    of as f64
}

#[expect(
    clippy::cast_possible_truncation,
    reason = "a cast of a float stops at the ends of what fits"
)]
fn whole(of: f64) -> MilliFahrenheit {
    MilliFahrenheit(of.round_ties_even() as i64)
}

word_enum! {
    /// How the Service's chart calls an index.
    Band {
        /// Below the first edge.
        None = "none",
        /// Caution.
        Caution = "caution",
        /// Extreme caution.
        ExtremeCaution = "extreme_caution",
        /// Danger.
        Danger = "danger",
        /// Extreme danger.
        ExtremeDanger = "extreme_danger",
    }
}

/// Where the bands begin.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub struct Bands {
    /// Caution from here.
    pub caution: MilliFahrenheit,
    /// Extreme caution from here.
    pub extreme_caution: MilliFahrenheit,
    /// Danger from here.
    pub danger: MilliFahrenheit,
    /// Extreme danger from here.
    pub extreme_danger: MilliFahrenheit,
}

impl Default for Bands {
    /// As one edition of the chart prints them; others print 91, 103 and 126.
    fn default() -> Self {
        Self {
            caution: MilliFahrenheit(80_000),
            extreme_caution: MilliFahrenheit(90_000),
            danger: MilliFahrenheit(103_000),
            extreme_danger: MilliFahrenheit(125_000),
        }
    }
}

impl Bands {
    /// The band of an index.
    pub fn of(&self, index: MilliFahrenheit) -> Band {
        match index {
            i if i >= self.extreme_danger => Band::ExtremeDanger,
            i if i >= self.danger => Band::Danger,
            i if i >= self.extreme_caution => Band::ExtremeCaution,
            i if i >= self.caution => Band::Caution,
            _ => Band::None,
        }
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    /// The formula of the US National Weather Service's page, reckoned anew with two programs; four decimals.
    #[test]
    fn the_index_is_that_of_the_weather_service() {
        for (t, rh, hi) in [
            (70.0, 50.0, 69.05),
            (75.0, 40.0, 74.08),
            (78.0, 60.0, 78.32),
            (80.0, 40.0, 79.58),
            (79.0, 90.0, 82.9799),
            (90.0, 60.0, 99.6777),
            (96.0, 65.0, 121.0316),
            (82.0, 90.0, 91.9917),
            (84.0, 95.0, 100.8817),
            (86.0, 100.0, 111.8495),
            (95.0, 10.0, 89.4496),
            (100.0, 5.0, 92.5040),
            (112.0, 10.0, 106.7510),
        ] {
            let found = index(t, rh);
            assert!(
                (found - hi).abs() < 1e-4,
                "{t} °F, {rh} %: {found}, not {hi}"
            );
        }
    }

    /// Cells of the Service's printed chart, which carries no adjustment for damp air.
    #[test]
    fn the_printed_chart_is_the_bare_regression() {
        for (t, rh, hi) in [
            (80.0, 40.0, 80.0),
            (80.0, 80.0, 84.0),
            (82.0, 60.0, 84.0),
            (84.0, 65.0, 89.0),
            (84.0, 80.0, 94.0),
            (86.0, 50.0, 88.0),
            (86.0, 75.0, 97.0),
            (88.0, 60.0, 95.0),
            (90.0, 40.0, 91.0),
            (90.0, 60.0, 100.0),
            (90.0, 85.0, 117.0),
            (92.0, 50.0, 99.0),
            (94.0, 55.0, 106.0),
            (94.0, 70.0, 119.0),
            (96.0, 65.0, 121.0),
            (98.0, 45.0, 109.0),
            (100.0, 40.0, 109.0),
            (100.0, 65.0, 136.0),
            (104.0, 55.0, 137.0),
            (110.0, 40.0, 136.0),
        ] {
            let found = regression(t, rh).round();
            assert!(
                (found - hi).abs() < 0.5,
                "{t} °F, {rh} %: {found}, not {hi}"
            );
        }
    }

    /// 90 °F is 32.222 °C; the index of 90 °F and 60 % by the Service's formula is 99.6777 °F.
    #[test]
    fn it_is_reckoned_from_what_is_stored() {
        let found = heat_index(Millicelsius(32_222), 600);
        assert!((found.0 - 99_678).abs() <= 2, "{found:?}");
    }

    /// The bands as the chart prints them.
    #[test]
    fn a_band_begins_at_its_edge_and_a_site_may_set_another() {
        let usual = Bands::default();
        let word = |f: i64| usual.of(MilliFahrenheit(f));
        assert_eq!(word(79_999), Band::None);
        assert_eq!(word(80_000), Band::Caution);
        assert_eq!(word(90_000), Band::ExtremeCaution);
        assert_eq!(word(103_000), Band::Danger);
        assert_eq!(word(125_000), Band::ExtremeDanger);
        let other = Bands {
            extreme_caution: MilliFahrenheit(91_000),
            ..usual
        };
        assert_eq!(other.of(MilliFahrenheit(90_500)), Band::Caution);
    }

    proptest! {
        #[test]
        fn no_reading_upsets_it(air: i64, humidity: i64) {
            let _ = heat_index(Millicelsius(air), humidity);
        }

        #[test]
        fn damper_air_never_feels_cooler(t in 27_000_i64..44_000, rh in 400_i64..840) {
            prop_assert!(heat_index(Millicelsius(t), rh) <= heat_index(Millicelsius(t), rh + 10));
        }
    }
}
