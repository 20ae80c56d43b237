//! How much water a court wants: the site's own run in ordinary weather, scaled by what the air draws, what rain
//! brought and how dry the court was found.

mod moisture;
mod radiation;
mod reference;
mod scale;

pub use moisture::{Finding, Found, MoistureRule, correction};
pub use radiation::{Sun, sun};
pub use reference::{
    DayWeather, Humidity, Method, PenmanMonteith, Reference, Spot, hargreaves, penman_monteith,
    reference,
};
pub use scale::{Asked, Limits, Scaled, Why, effective_rain, run_of, scale};

use thiserror::Error;

/// A value no weather station could measure, or one that contradicts another.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
pub enum NeedError {
    /// Out of its physical range.
    #[error("{field} is out of range: give {low} to {high}")]
    OutOfRange {
        /// Which value, with its unit.
        field: &'static str,
        /// The least it can be.
        low: i64,
        /// The most it can be.
        high: i64,
    },
    /// The higher of two is below the lower.
    #[error("{high} is below {low}: swap or mend them")]
    Swapped {
        /// The value that should be the higher.
        high: &'static str,
        /// The value that should be the lower.
        low: &'static str,
    },
    /// Limits between which nothing lies.
    #[error("the low limit must not be above the high one, and neither below nothing")]
    Limits,
}

/// `value`, where it lies in its range.
fn within(field: &'static str, value: i64, low: i64, high: i64) -> Result<f64, NeedError> {
    if !(low..=high).contains(&value) {
        return Err(NeedError::OutOfRange { field, low, high });
    }
    // Every range here is far inside the 53 bits an f64 holds exactly.
    #[allow(clippy::cast_precision_loss)]
    Ok(value as f64)
}
