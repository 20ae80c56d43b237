//! Conversions between the stored metric numbers and US customary units.
//!
//! Factors are exact (NIST SP 811, appendix B.8; NIST Handbook 44, appendix C; international foot):
//! 1 in = 25.4 mm, 1 ft = 304.8 mm, 1 lb = 453.59237 g, 1 short ton = 2,000 lb, 1 US gal = 231 in³ = 3,785.411784 ml,
//! t °F = (t - 32) / 1.8 °C. Both ways round to the nearest whole number, a half to the even one; whole customary
//! units come back as they went in.

use super::{
    Grams, Micrometres, Millicelsius, Millilitres, Millimetres, MlPerSecond, SquareMillimetres,
};
use crate::whole::{Overflow, half_even, narrow, scaled};

/// Declares the two ways of a conversion: `from` a whole number of customary units, `to` the nearest one.
macro_rules! converts {
    ($kind:ident, $unit:literal, $from:ident, $to:ident, $times:literal / $per:literal) => {
        impl $kind {
            #[doc = concat!("So many ", $unit, ", to the nearest stored unit.")]
            pub fn $from(number: i64) -> Result<Self, Overflow> {
                scaled(number, $times, $per).map(Self)
            }

            #[doc = concat!("The nearest whole number of ", $unit, ".")]
            pub fn $to(self) -> Result<i64, Overflow> {
                scaled(self.0, $per, $times)
            }
        }
    };
}

converts!(
    Millimetres,
    "eighths of an inch",
    from_eighth_inches,
    to_eighth_inches,
    3_175 / 1_000
);
converts!(Millimetres, "inches", from_inches, to_inches, 254 / 10);
converts!(Millimetres, "feet", from_feet, to_feet, 3_048 / 10);
converts!(
    Micrometres,
    "eighths of an inch",
    from_eighth_inches,
    to_eighth_inches,
    3_175 / 1
);
converts!(Micrometres, "inches", from_inches, to_inches, 25_400 / 1);
converts!(
    SquareMillimetres,
    "square feet",
    from_square_feet,
    to_square_feet,
    9_290_304 / 100
);
converts!(
    Grams,
    "pounds",
    from_pounds,
    to_pounds,
    45_359_237 / 100_000
);
converts!(
    Grams,
    "short tons",
    from_short_tons,
    to_short_tons,
    90_718_474 / 100
);
converts!(
    Millilitres,
    "US gallons",
    from_us_gallons,
    to_us_gallons,
    3_785_411_784 / 1_000_000
);
converts!(
    MlPerSecond,
    "US gallons a minute",
    from_us_gallons_a_minute,
    to_us_gallons_a_minute,
    3_785_411_784 / 60_000_000
);

impl Millicelsius {
    /// Whole degrees Fahrenheit, to the nearest thousandth of a degree Celsius.
    pub fn from_fahrenheit(degrees: i64) -> Result<Self, Overflow> {
        narrow(half_even((i128::from(degrees) - 32) * 5_000, 9)).map(Self)
    }

    /// The nearest whole degree Fahrenheit.
    pub fn to_fahrenheit(self) -> Result<i64, Overflow> {
        narrow(half_even(i128::from(self.0) * 9 + 160_000, 5_000))
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    // NIST SP 811, appendix B.8 and NIST Handbook 44, appendix C, on a scale where the factor is whole.
    #[test]
    fn the_published_factors_come_out() {
        assert_eq!(Millimetres::from_inches(10), Ok(Millimetres(254)));
        assert_eq!(Millimetres::from_feet(10_000), Ok(Millimetres(3_048_000)));
        assert_eq!(Micrometres::from_inches(1), Ok(Micrometres(25_400)));
        assert_eq!(
            SquareMillimetres::from_square_feet(100),
            Ok(SquareMillimetres(9_290_304))
        );
        assert_eq!(Grams::from_pounds(100_000), Ok(Grams(45_359_237)));
        assert_eq!(Grams::from_short_tons(100), Ok(Grams(90_718_474)));
        assert_eq!(
            Millilitres::from_us_gallons(1_000_000),
            Ok(Millilitres(3_785_411_784))
        );
        assert_eq!(
            MlPerSecond::from_us_gallons_a_minute(60_000_000),
            Ok(MlPerSecond(3_785_411_784))
        );
    }

    #[test]
    fn water_freezes_at_32_and_boils_at_212_fahrenheit() {
        assert_eq!(Millicelsius::from_fahrenheit(32), Ok(Millicelsius(0)));
        assert_eq!(
            Millicelsius::from_fahrenheit(212),
            Ok(Millicelsius(100_000))
        );
        assert_eq!(Millicelsius(-40_000).to_fahrenheit(), Ok(-40));
    }

    #[test]
    fn a_bristle_of_four_and_a_half_inches_is_kept_exactly() {
        assert_eq!(
            Micrometres::from_eighth_inches(36),
            Ok(Micrometres(114_300))
        );
    }

    proptest! {
        #[test]
        fn whole_customary_units_come_back_as_they_went_in(n in -1_000_000_000_i64..=1_000_000_000) {
            prop_assert_eq!(Millimetres::from_eighth_inches(n).unwrap().to_eighth_inches(), Ok(n));
            prop_assert_eq!(Millimetres::from_inches(n).unwrap().to_inches(), Ok(n));
            prop_assert_eq!(Millimetres::from_feet(n).unwrap().to_feet(), Ok(n));
            prop_assert_eq!(Micrometres::from_eighth_inches(n).unwrap().to_eighth_inches(), Ok(n));
            prop_assert_eq!(Micrometres::from_inches(n).unwrap().to_inches(), Ok(n));
            prop_assert_eq!(SquareMillimetres::from_square_feet(n).unwrap().to_square_feet(), Ok(n));
            prop_assert_eq!(Grams::from_pounds(n).unwrap().to_pounds(), Ok(n));
            prop_assert_eq!(Grams::from_short_tons(n).unwrap().to_short_tons(), Ok(n));
            prop_assert_eq!(Millilitres::from_us_gallons(n).unwrap().to_us_gallons(), Ok(n));
            prop_assert_eq!(MlPerSecond::from_us_gallons_a_minute(n).unwrap().to_us_gallons_a_minute(), Ok(n));
            prop_assert_eq!(Millicelsius::from_fahrenheit(n).unwrap().to_fahrenheit(), Ok(n));
        }
    }
}
