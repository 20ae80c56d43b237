//! How a brush wears: its length against its use, what is to be expected of it, and what it costs meanwhile.
//!
//! The length of a bristle (mm) is a line over its use: a length when new, less a rate times the use. Both are known
//! from the tool class before the first reading and from the brush's own readings after some, by the conjugate
//! normal-inverse-gamma prior of Bayesian linear regression (Bernardo and Smith, Bayesian Theory, 1994, 5.2 and A.4,
//! from memory). The rate may drift with use (West and Harrison, Bayesian Forecasting and Dynamic Models, 2nd ed.
//! 1997, 4.5 and 7.2, from memory), so that old readings weigh less than new ones. Without a prior and without drift
//! it is least squares.
//!
//! A use is what the site counts for the class: one court groomed, or how far it was pulled (see [`pulled`], [`weighed`]).

mod across;
mod booking;
mod decision;
mod doubt;
mod easing;
mod prior;
mod remaining;
mod root;
mod stagger;
mod state;
mod surface;

#[cfg(test)]
mod calibration;
#[cfg(test)]
mod published;

use serde::{Deserialize, Serialize};
use thiserror::Error;

pub use across::{Across, Verdict};
pub use booking::{BookingError, Carried, Share};
pub use decision::{ChangeCosts, Decision, When, best_check, decide};
pub use doubt::{Doubt, Record, Told, confirms, doubt};
pub use prior::{ClassPrior, ReadingError, SEASON_OF_COURTS};
pub use remaining::{DayUse, Of, Remaining, dates};
pub use stagger::{Limits, shares};
pub use state::{Forecast, Line, Wear};
pub use surface::{UsedFor, pulled, weighed};

/// One measured length of a brush.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Reading {
    /// What it had been used since it was new, in the class's unit of use.
    pub used: f64,
    /// Its bristles' length, millimetres.
    pub length_mm: f64,
}

/// Why a wear forecast cannot be had.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Error)]
pub enum WearError {
    /// A number that is none, or infinite.
    #[error("{0} must be a finite number")]
    NotANumber(&'static str),
    /// A spread or weight below nothing, or nothing where something is needed.
    #[error("{0} must be above zero")]
    NotPositive(&'static str),
    /// A reading of less use than the one before, where the order matters.
    #[error("readings are told in the order of their use: fit them all anew")]
    OutOfOrder,
    /// Too little is known for a line.
    #[error("too few readings, or all at one use: read again after more use")]
    TooFewReadings,
}
