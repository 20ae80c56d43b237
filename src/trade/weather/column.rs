//! The columns of a weather file: each named with its unit, in US customary or metric.

use super::WeatherReading;
use crate::units::{Micrometres, Millicelsius};
use crate::whole::{half_even, narrow};

word_enum! {
    /// What a column of a weather file holds.
    Column {
        /// Air temperature, °C.
        TempC = "temp_c",
        /// Air temperature, °F.
        TempF = "temp_f",
        /// Relative humidity, percent.
        HumidityPct = "humidity_pct",
        /// Wind, m/s.
        WindMps = "wind_mps",
        /// Wind, miles an hour.
        WindMph = "wind_mph",
        /// Wind, km/h.
        WindKmh = "wind_kmh",
        /// Gust, m/s.
        GustMps = "gust_mps",
        /// Gust, miles an hour.
        GustMph = "gust_mph",
        /// Gust, km/h.
        GustKmh = "gust_kmh",
        /// Rain, mm.
        RainMm = "rain_mm",
        /// Rain, inches.
        RainIn = "rain_in",
        /// Radiation, W/m².
        SolarWM2 = "solar_w_m2",
        /// Frost: yes or no.
        Frost = "frost",
    }
}

impl Column {
    /// Puts what a cell says into the reading; an empty one says nothing. `None` where it is no number of at most
    /// three decimals, or neither yes nor no.
    pub fn put(self, cell: &str, into: &mut WeatherReading) -> Option<()> {
        let cell = cell.trim();
        if cell.is_empty() {
            return Some(());
        }
        if self == Self::Frost {
            into.frost = Some(match cell {
                "yes" => true,
                "no" => false,
                _ => return None,
            });
            return Some(());
        }
        let read = i128::from(thousandths(cell)?);
        // Thousandths of the file's unit in the stored one: 1 mile an hour is 0.44704 m/s, 1 in is 25.4 mm (NIST SP
        // 811, appendix B.8).
        let whole = |times: i128, per: i128| narrow(half_even(read * times, per)).ok();
        match self {
            Self::TempC => into.temp = Some(Millicelsius(whole(1, 1)?)),
            Self::TempF => {
                let stored = narrow(half_even((read - 32_000) * 5, 9)).ok()?;
                into.temp = Some(Millicelsius(stored));
            }
            Self::HumidityPct => into.humidity_permille = Some(whole(1, 100)?),
            Self::WindMps => into.wind_mmps = Some(whole(1, 1)?),
            Self::WindMph => into.wind_mmps = Some(whole(44_704, 100_000)?),
            Self::WindKmh => into.wind_mmps = Some(whole(10, 36)?),
            Self::GustMps => into.gust_mmps = Some(whole(1, 1)?),
            Self::GustMph => into.gust_mmps = Some(whole(44_704, 100_000)?),
            Self::GustKmh => into.gust_mmps = Some(whole(10, 36)?),
            Self::RainMm => into.rain = Some(Micrometres(whole(1, 1)?)),
            Self::RainIn => into.rain = Some(Micrometres(whole(254, 10)?)),
            Self::SolarWM2 => into.solar_w_m2 = Some(whole(1, 1_000)?),
            Self::Frost => {}
        }
        Some(())
    }
}

/// A decimal number of at most three places, in thousandths.
fn thousandths(text: &str) -> Option<i64> {
    let (sign, digits) = match text.strip_prefix('-') {
        Some(rest) => (-1, rest),
        None => (1, text),
    };
    let (whole, part) = digits.split_once('.').unwrap_or((digits, ""));
    let plain = |text: &str| text.bytes().all(|b| b.is_ascii_digit());
    if whole.is_empty() || whole.len() > 9 || part.len() > 3 || !plain(whole) || !plain(part) {
        return None;
    }
    let part: i64 = format!("{part:0<3}").parse().ok()?;
    Some(sign * (whole.parse::<i64>().ok()? * 1_000 + part))
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn read(column: Column, cell: &str) -> Option<WeatherReading> {
        let mut reading = WeatherReading::default();
        column.put(cell, &mut reading).map(|()| reading)
    }

    /// Factors of NIST SP 811, appendix B.8: 1 mile an hour is 0.44704 m/s, 1 in is 25.4 mm; -40 °F is -40 °C.
    #[test]
    fn a_cell_is_read_in_the_unit_of_its_column() {
        let temp = |cell| read(Column::TempF, cell).and_then(|r| r.temp);
        assert_eq!(temp("-40"), Some(Millicelsius(-40_000)));
        assert_eq!(temp("90"), Some(Millicelsius(32_222)));
        let wind = |column, cell| read(column, cell).and_then(|r| r.wind_mmps);
        assert_eq!(wind(Column::WindMph, "10"), Some(4_470));
        assert_eq!(wind(Column::WindKmh, "36"), Some(10_000));
        let rain = read(Column::RainIn, "0.25").and_then(|r| r.rain);
        assert_eq!(rain, Some(Micrometres(6_350)));
        let humid = read(Column::HumidityPct, "62.5").and_then(|r| r.humidity_permille);
        assert_eq!(humid, Some(625));
    }

    #[test]
    fn a_cell_that_is_no_number_is_refused_and_an_empty_one_says_nothing() {
        for cell in [
            "warm",
            "1e3",
            "1.2345",
            "--1",
            ".",
            "9999999999",
            "NaN",
            "1,5",
        ] {
            assert_eq!(read(Column::TempC, cell), None, "{cell}");
        }
        assert_eq!(read(Column::TempC, " "), Some(WeatherReading::default()));
        assert_eq!(read(Column::Frost, "perhaps"), None);
    }

    proptest! {
        #[test]
        fn no_cell_upsets_it(cell: String, nth in 0..Column::ALL.len()) {
            let _ = read(Column::ALL[nth], &cell);
        }
    }
}
