//! How long parts of a class last: their lives as a Weibull distribution, and the age at which a planned change costs
//! least.
//!
//! A life is what a part was used, or how old it was, in whatever unit the site counts it, when it failed; or so far, if it
//! has not failed, or was changed before it did. Both count: leaving out those that still hold would make lives look short.

mod fit;
mod given;
mod replace;
mod weibull;

use serde::{Deserialize, Serialize};
use thiserror::Error;

pub use fit::{Between, Fit, fit};
pub use given::{ENOUGH_FAILURES, USUAL_SHAPE, fit_class, fit_with_shape};
pub use replace::{Replacement, best_age, cost_rate};
pub use weibull::Weibull;

/// One part's life.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Life {
    /// Its age when it failed, or its age so far; above zero.
    pub age: f64,
    /// Whether it failed at that age.
    pub failed: bool,
}

/// Why no distribution of lives can be had.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Error)]
pub enum LifeError {
    /// An age of nothing or less, or none.
    #[error("life {0} has no age above zero")]
    NoAge(usize),
    /// No life at all.
    #[error("there are no lives")]
    NoLives,
    /// Nothing has failed yet.
    #[error("none has failed yet: how long they last is not known, only that it is longer")]
    NoFailures,
    /// Every failure was at the oldest age of all.
    #[error("all failures are at one age and none is older: the shape has no bound")]
    ShapeUnbounded,
    /// A shape of nothing or less, or none.
    #[error("a shape is above zero")]
    NoShape,
}

/// The same lives, if each has an age.
fn checked(lives: &[Life]) -> Result<&[Life], LifeError> {
    if lives.is_empty() {
        return Err(LifeError::NoLives);
    }
    match lives
        .iter()
        .position(|life| !(life.age > 0.0 && life.age.is_finite()))
    {
        Some(place) => Err(LifeError::NoAge(place)),
        None => Ok(lives),
    }
}
