//! How quantities are shown in the units a site has chosen. Numbers are grouped by thousands with a comma
//! and have a point before their decimals.

use super::{
    Grams, Micrometres, Millicelsius, Millilitres, Millimetres, MlPerSecond, Seconds,
    SquareMillimetres,
};
use super::{UnitSystem, UnitSystem::Metric, UnitSystem::UsCustomary};
use crate::whole::half_even;

/// `n / per` with so many decimals, its thousands set apart.
fn decimal(n: i128, per: i128, places: u32) -> String {
    let tens = 10_i128.pow(places);
    let rounded = half_even(n * tens, per);
    let (size, sign) = (rounded.abs(), if rounded < 0 { "-" } else { "" });
    let digits = (size / tens).to_string();
    let mut shown = String::from(sign);
    for (place, digit) in digits.char_indices() {
        if place > 0 && (digits.len() - place).is_multiple_of(3) {
            shown.push(',');
        }
        shown.push(digit);
    }
    if places == 0 {
        return shown;
    }
    let (rest, width) = (size % tens, places as usize);
    format!("{shown}.{rest:0width$}")
}

/// Inches and eighths, with feet before them from one foot on: `4 1/2 in`, `3 ft 6 in`.
fn feet_and_inches(micrometres: i128) -> String {
    let eighths = half_even(micrometres, 3_175);
    let (size, sign) = (eighths.abs(), if eighths < 0 { "-" } else { "" });
    let (feet, inches, rest) = (size / 96, size % 96 / 8, size % 8);
    let part = match rest {
        0 => String::new(),
        4 => "1/2".to_owned(),
        2 | 6 => format!("{}/4", rest / 2),
        _ => format!("{rest}/8"),
    };
    let mut words = Vec::new();
    if feet > 0 {
        words.push(format!("{} ft", decimal(feet, 1, 0)));
    }
    match (inches, part.is_empty()) {
        (0, true) if feet > 0 => {}
        (_, true) => words.push(format!("{inches} in")),
        (0, false) => words.push(format!("{part} in")),
        (_, false) => words.push(format!("{inches} {part} in")),
    }
    format!("{sign}{}", words.join(" "))
}

impl Millimetres {
    /// `78 ft`, `3 ft 6 in`, `4 1/2 in` (to the eighth); `23.77 m`, or below a metre `914 mm`.
    pub fn show(self, system: UnitSystem) -> String {
        let n = i128::from(self.0);
        match system {
            UsCustomary => feet_and_inches(n * 1_000),
            Metric if n.abs() >= 1_000 => format!("{} m", decimal(n, 1_000, 2)),
            Metric => format!("{n} mm"),
        }
    }
}

impl Micrometres {
    /// `4 5/8 in` (to the eighth); `117.5 mm`.
    pub fn show(self, system: UnitSystem) -> String {
        let n = i128::from(self.0);
        match system {
            UsCustomary => feet_and_inches(n),
            Metric => format!("{} mm", decimal(n, 1_000, 1)),
        }
    }

    /// Rain: `0.25 in`; `6.4 mm`.
    pub fn show_rain(self, system: UnitSystem) -> String {
        let n = i128::from(self.0);
        match system {
            UsCustomary => format!("{} in", decimal(n, 25_400, 2)),
            Metric => format!("{} mm", decimal(n, 1_000, 1)),
        }
    }
}

/// A wind of so many mm/s: `10 mph`; `4.5 m/s`.
pub fn show_wind(mmps: i64, system: UnitSystem) -> String {
    let n = i128::from(mmps);
    match system {
        UsCustomary => format!("{} mph", decimal(n * 100, 44_704, 0)),
        Metric => format!("{} m/s", decimal(n, 1_000, 1)),
    }
}

impl SquareMillimetres {
    /// `7,200 ft²`; `668.9 m²`.
    pub fn show(self, system: UnitSystem) -> String {
        let n = i128::from(self.0);
        match system {
            UsCustomary => format!("{} ft²", decimal(n * 100, 9_290_304, 0)),
            Metric => format!("{} m²", decimal(n, 1_000_000, 1)),
        }
    }
}

impl Grams {
    /// `80 lb`, from one short ton on `1.75 short tons`; `36.3 kg`, from one tonne on `1.59 t`.
    pub fn show(self, system: UnitSystem) -> String {
        let n = i128::from(self.0);
        match system {
            UsCustomary if n.abs() >= 907_185 => {
                format!("{} short tons", decimal(n * 100, 90_718_474, 2))
            }
            UsCustomary => format!("{} lb", decimal(n * 100_000, 45_359_237, 0)),
            Metric if n.abs() >= 1_000_000 => format!("{} t", decimal(n, 1_000_000, 2)),
            Metric => format!("{} kg", decimal(n, 1_000, 1)),
        }
    }
}

impl Millilitres {
    /// `1,250 gal`, or below ten gallons `0.5 gal`; `4.7 m³`, or below a cubic metre `950.0 L`.
    pub fn show(self, system: UnitSystem) -> String {
        let n = i128::from(self.0);
        match system {
            UsCustomary if n != 0 && n.abs() < 37_854 => {
                format!("{} gal", decimal(n * 1_000_000, 3_785_411_784, 1))
            }
            UsCustomary => format!("{} gal", decimal(n * 1_000_000, 3_785_411_784, 0)),
            Metric if n.abs() >= 1_000_000 => format!("{} m³", decimal(n, 1_000_000, 1)),
            Metric => format!("{} L", decimal(n, 1_000, 1)),
        }
    }
}

impl MlPerSecond {
    /// `30.0 gal/min`; `1.89 L/s`.
    pub fn show(self, system: UnitSystem) -> String {
        let n = i128::from(self.0);
        match system {
            UsCustomary => format!("{} gal/min", decimal(n * 60_000_000, 3_785_411_784, 1)),
            Metric => format!("{} L/s", decimal(n, 1_000, 2)),
        }
    }
}

impl Millicelsius {
    /// `86 °F`; `30 °C`.
    pub fn show(self, system: UnitSystem) -> String {
        let n = i128::from(self.0);
        match system {
            UsCustomary => format!("{} °F", decimal(n * 9 + 160_000, 5_000, 0)),
            Metric => format!("{} °C", decimal(n, 1_000, 0)),
        }
    }
}

impl Seconds {
    /// `1 h 25 min`, `8 min`, or below a minute `45 s`: the same in both systems.
    pub fn show(self) -> String {
        let (size, sign) = (self.0.unsigned_abs(), if self.0 < 0 { "-" } else { "" });
        if size < 60 {
            return format!("{sign}{size} s");
        }
        let minutes = size / 60 + u64::from(size % 60 >= 30);
        match (minutes / 60, minutes % 60) {
            (0, minutes) => format!("{sign}{minutes} min"),
            (hours, 0) => format!("{sign}{hours} h"),
            (hours, minutes) => format!("{sign}{hours} h {minutes} min"),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn both(show: impl Fn(UnitSystem) -> String) -> (String, String) {
        (show(UsCustomary), show(Metric))
    }

    fn pair(customary: &str, metric: &str) -> (String, String) {
        (customary.to_owned(), metric.to_owned())
    }

    /// 1 in is 25.4 mm, 1 mile an hour 0.44704 m/s: NIST SP 811, appendix B.8.
    #[test]
    fn rain_and_wind_read_as_a_site_is_used_to_them() {
        let rain = Micrometres(6_350);
        assert_eq!(rain.show_rain(UsCustomary), "0.25 in");
        assert_eq!(rain.show_rain(Metric), "6.4 mm");
        assert_eq!(show_wind(4_470, UsCustomary), "10 mph");
        assert_eq!(show_wind(4_470, Metric), "4.5 m/s");
    }

    #[test]
    fn lengths_read_as_on_the_court() {
        let of = |feet| Millimetres::from_feet(feet).unwrap();
        assert_eq!(both(|s| of(78).show(s)), pair("78 ft", "23.77 m"));
        assert_eq!(both(|s| Millimetres(914).show(s)), pair("3 ft", "914 mm"));
        assert_eq!(
            both(|s| Millimetres(1_067).show(s)),
            pair("3 ft 6 in", "1.07 m")
        );
        assert_eq!(both(|s| Millimetres(0).show(s)), pair("0 in", "0 mm"));
    }

    #[test]
    fn bristles_read_as_on_the_ruler() {
        assert_eq!(
            both(|s| Micrometres(117_475).show(s)),
            pair("4 5/8 in", "117.5 mm")
        );
        assert_eq!(
            both(|s| Micrometres(114_300).show(s)),
            pair("4 1/2 in", "114.3 mm")
        );
        assert_eq!(
            both(|s| Micrometres(19_050).show(s)),
            pair("3/4 in", "19.0 mm")
        );
    }

    #[test]
    fn areas_masses_and_water_read_plainly() {
        assert_eq!(
            both(|s| SquareMillimetres(668_901_888).show(s)),
            pair("7,200 ft²", "668.9 m²")
        );
        assert_eq!(
            both(|s| Grams::from_pounds(80).unwrap().show(s)),
            pair("80 lb", "36.3 kg")
        );
        assert_eq!(
            both(|s| Grams::from_pounds(3_500).unwrap().show(s)),
            pair("1.75 short tons", "1.59 t")
        );
        assert_eq!(
            both(|s| Millilitres::from_us_gallons(1_250).unwrap().show(s)),
            pair("1,250 gal", "4.7 m³")
        );
        assert_eq!(
            both(|s| Millilitres(950_000).show(s)),
            pair("251 gal", "950.0 L")
        );
        assert_eq!(
            both(|s| Millilitres(1_893).show(s)),
            pair("0.5 gal", "1.9 L")
        );
        assert_eq!(both(|s| Millilitres(0).show(s)), pair("0 gal", "0.0 L"));
        assert_eq!(
            both(|s| MlPerSecond(1_893).show(s)),
            pair("30.0 gal/min", "1.89 L/s")
        );
    }

    #[test]
    fn heat_and_time_read_plainly() {
        assert_eq!(
            both(|s| Millicelsius(30_000).show(s)),
            pair("86 °F", "30 °C")
        );
        let shown = [45, 60, 89, 90, 3_600, 5_100, 3_599, -120].map(|n| Seconds(n).show());
        assert_eq!(
            shown,
            [
                "45 s",
                "1 min",
                "1 min",
                "2 min",
                "1 h",
                "1 h 25 min",
                "1 h",
                "-2 min"
            ]
        );
    }

    #[test]
    fn large_and_negative_numbers_keep_their_groups() {
        assert_eq!(decimal(-1_234_567, 1, 0), "-1,234,567");
        assert_eq!(decimal(-5, 100, 2), "-0.05");
        assert_eq!(Millilitres(i64::MAX).show(Metric), "9,223,372,036,854.8 m³");
    }
}
