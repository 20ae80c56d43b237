//! Work and rest by the hour: the table of the US National Institute for Occupational Safety and Health
//! (DHHS (NIOSH) publications 2016-106 and 2017-127), in adjusted air temperature.

use super::MilliFahrenheit;
use crate::units::Millicelsius;

word_enum! {
    /// How hard the work is.
    Effort {
        /// Light.
        Light = "light",
        /// Moderate.
        Moderate = "moderate",
        /// Heavy.
        Heavy = "heavy",
    }
}

/// What the table gives for an hour.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum WorkRest {
    /// Work as usual.
    Usual,
    /// So many minutes of work and of rest.
    Minutes {
        /// Work.
        work: i64,
        /// Rest.
        rest: i64,
    },
    /// High heat: the table gives no work.
    Caution,
}

const fn minutes(work: i64) -> WorkRest {
    WorkRest::Minutes {
        work,
        rest: 60 - work,
    }
}

/// What the table gives for work of this effort in an hour of this adjusted temperature, taken in whole
/// degrees upwards.
pub const fn work_rest(effort: Effort, adjusted: MilliFahrenheit) -> WorkRest {
    let degrees = adjusted.0.saturating_add(999).div_euclid(1_000);
    match (effort, degrees) {
        (Effort::Light, ..=105) | (Effort::Moderate, ..=99) | (Effort::Heavy, ..=94) => {
            WorkRest::Usual
        }
        (Effort::Light, 106) | (Effort::Moderate, 100) | (Effort::Heavy, 95..=96) => minutes(45),
        (Effort::Light, 107) | (Effort::Moderate, 101) | (Effort::Heavy, 97) => minutes(40),
        (Effort::Light, 108) | (Effort::Moderate, 102) | (Effort::Heavy, 98..=99) => minutes(35),
        (Effort::Light, 109) | (Effort::Moderate, 103..=104) | (Effort::Heavy, 100..=101) => {
            minutes(30)
        }
        (Effort::Moderate, 105) | (Effort::Heavy, 102) => minutes(25),
        (Effort::Moderate, 106) | (Effort::Heavy, 103..=104) => minutes(20),
        (Effort::Light, 110) | (Effort::Moderate, 107) | (Effort::Heavy, 105) => minutes(15),
        _ => WorkRest::Caution,
    }
}

/// The temperature with which the table is entered: full sun as it stands, 30 % humidity as it stands, 3 °F more
/// for each further tenth, 4 °F less at 20 % and 8 °F less at 10 %; between two tenths the damper one counts.
///
/// The steps are from memory; that 30 % is the base was read.
pub fn adjusted(air: Millicelsius, humidity_permille: i64) -> MilliFahrenheit {
    let tenths = humidity_permille.clamp(0, 1_000).saturating_add(99) / 100;
    let add = match tenths {
        ..=1 => -8_000,
        2 => -4_000,
        tenths => (tenths - 3) * 3_000,
    };
    MilliFahrenheit(MilliFahrenheit::from(air).0.saturating_add(add))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The printed example: heavy work at 104 °F is 20 min of work and 40 of rest; the other cells are the
    /// Institute's table.
    #[test]
    fn the_table_gives_work_and_rest_by_the_hour() {
        let at = |effort, f: i64| work_rest(effort, MilliFahrenheit(f * 1_000));
        assert_eq!(at(Effort::Heavy, 104), minutes(20));
        assert_eq!(at(Effort::Heavy, 94), WorkRest::Usual);
        assert_eq!(at(Effort::Heavy, 106), WorkRest::Caution);
        assert_eq!(at(Effort::Moderate, 105), minutes(25));
        assert_eq!(at(Effort::Moderate, 108), WorkRest::Caution);
        assert_eq!(at(Effort::Light, 110), minutes(15));
        assert_eq!(at(Effort::Light, 111), WorkRest::Caution);
    }

    #[test]
    fn part_of_a_degree_counts_as_the_next() {
        assert_eq!(
            work_rest(Effort::Heavy, MilliFahrenheit(94_001)),
            minutes(45)
        );
    }

    /// The base of 30 % was read in the Institute's page; the steps are from memory.
    #[test]
    fn damp_air_is_entered_hotter() {
        let air = Millicelsius(35_000);
        assert_eq!(adjusted(air, 300), MilliFahrenheit(95_000));
        assert_eq!(adjusted(air, 500), MilliFahrenheit(101_000));
        assert_eq!(adjusted(air, 100), MilliFahrenheit(87_000));
    }
}
