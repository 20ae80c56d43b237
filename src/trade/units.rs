//! Quantities in whole numbers that do not mix, their exact conversions, and how a site shows them.
//!
//! Only the arithmetic that makes sense is there: like adds to like, millimetres by millimetres are
//! square millimetres, a flow over seconds is a volume.

mod customary;
mod show;

pub use crate::whole::Overflow;
pub use show::show_wind;

whole_number! {
    /// A span of time in seconds, or a time of day as seconds since the day's first instant.
    Seconds
}
whole_number! {
    /// A length on the court, in millimetres.
    Millimetres
}
whole_number! {
    /// A reading of a wear part, in thousandths of a millimetre.
    Micrometres
}
whole_number! {
    /// An area in square millimetres.
    SquareMillimetres
}
whole_number! {
    /// A mass in grams.
    Grams
}
whole_number! {
    /// A volume in millilitres.
    Millilitres
}
whole_number! {
    /// A flow in millilitres a second.
    MlPerSecond
}
whole_number! {
    /// A temperature in thousandths of a degree Celsius.
    Millicelsius
}

word_enum! {
    /// How a site wants its quantities shown; stored numbers are metric in either case.
    UnitSystem {
        /// Feet, inches, pounds, US gallons, degrees Fahrenheit.
        UsCustomary = "us_customary",
        /// Metres, kilograms, litres, degrees Celsius.
        Metric = "metric",
    }
}

impl Millimetres {
    /// The area of a rectangle with these sides.
    pub fn times(self, other: Self) -> Result<SquareMillimetres, Overflow> {
        self.0
            .checked_mul(other.0)
            .map(SquareMillimetres)
            .ok_or(Overflow)
    }

    /// The same length in micrometres.
    pub fn to_micrometres(self) -> Result<Micrometres, Overflow> {
        self.0.checked_mul(1_000).map(Micrometres).ok_or(Overflow)
    }
}

impl Micrometres {
    /// The nearest whole millimetre, a half to the even one.
    pub fn to_millimetres(self) -> Result<Millimetres, Overflow> {
        crate::whole::scaled(self.0, 1, 1_000).map(Millimetres)
    }
}

impl MlPerSecond {
    /// What flows in that time.
    pub fn over(self, time: Seconds) -> Result<Millilitres, Overflow> {
        self.0.checked_mul(time.0).map(Millilitres).ok_or(Overflow)
    }
}

impl Seconds {
    /// Whole minutes as seconds.
    pub fn from_minutes(minutes: i64) -> Result<Self, Overflow> {
        Self(minutes).checked_mul(60)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sides_make_an_area_and_a_flow_makes_a_volume() {
        assert_eq!(
            Millimetres(3).times(Millimetres(4)),
            Ok(SquareMillimetres(12))
        );
        assert_eq!(
            MlPerSecond(1_500).over(Seconds(600)),
            Ok(Millilitres(900_000))
        );
        assert_eq!(MlPerSecond(i64::MAX).over(Seconds(2)), Err(Overflow));
    }

    #[test]
    fn a_reading_keeps_its_thousandths() {
        assert_eq!(Millimetres(114).to_micrometres(), Ok(Micrometres(114_000)));
        assert_eq!(Micrometres(114_300).to_millimetres(), Ok(Millimetres(114)));
    }
}
