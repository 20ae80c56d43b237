//! The planner's unit of money, and totals as a plan writes them.
//!
//! A rate in cents an hour times seconds gives 3600ths of a cent, an overtime percentage hundredths of
//! these. The planner therefore counts in units of 1/360,000 cent, in which every cost of the contract is a
//! whole number: sums are exact, and equal costs are equal.

use serde::{Deserialize, Deserializer, Serialize, Serializer};

/// Units in a cent.
pub(crate) const CENT: i64 = 360_000;
/// Units in a hundredth of a cent, the least that a plan's totals tell apart.
pub(crate) const HUNDREDTH: i64 = CENT / 100;
/// Units a second for each cent an hour.
pub(crate) const PER_HOUR: i64 = CENT / 3600;

/// A total of money in hundredths of a cent; written as cents with two decimals.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub struct Total(i64);

impl Total {
    /// So many hundredths of a cent.
    pub const fn from_hundredths(hundredths: i64) -> Self {
        Self(hundredths)
    }

    /// Hundredths of a cent.
    pub const fn hundredths(self) -> i64 {
        self.0
    }

    /// Cents.
    #[expect(
        clippy::cast_precision_loss,
        reason = "a total stays below 2^53 hundredths, or is no money anybody has"
    )]
    pub fn cents(self) -> f64 {
        self.0 as f64 / 100.0
    }

    /// The nearest total.
    pub(crate) const fn of_units(units: i64) -> Self {
        Self((units + HUNDREDTH / 2).div_euclid(HUNDREDTH))
    }

    /// The total not above: for a lower bound.
    pub(crate) const fn not_above(units: i64) -> Self {
        Self(units.div_euclid(HUNDREDTH))
    }
}

impl Serialize for Total {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        to.serialize_f64(self.cents())
    }
}

impl<'de> Deserialize<'de> for Total {
    #[expect(
        clippy::cast_possible_truncation,
        reason = "a conversion from f64 saturates"
    )]
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        Ok(Self((f64::deserialize(from)? * 100.0).round() as i64))
    }
}
