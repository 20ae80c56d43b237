//! Water: how much a court wants, the midday soak, watering by hand, the night's spaced cycles within what a line
//! carries, and the level of courts watered from below.

mod level;
mod need;
mod night;

use serde::{Deserialize, Serialize};
use thiserror::Error;

pub use level::{LevelRule, Step, level_due, level_step};
pub use need::{
    Asked, DayWeather, Finding, Found, Humidity, Limits, Method, MoistureRule, NeedError,
    PenmanMonteith, Reference, Scaled, Spot, Sun, Why, correction, effective_rain, hargreaves,
    penman_monteith, reference, run_of, scale, sun,
};
pub use night::{
    Budget, Cycle, Line, NightValve, NightWatering, Stretch, Taken, Unfinished, WhyUnfinished,
    again_before_play, latest_run, night_cycles,
};

use crate::units::{Millilitres, MlPerSecond, Seconds};
use crate::whole::Overflow;

word_enum! {
    /// How a court gets its water.
    WateringKind {
        /// From sprinklers: a soak at midday, spaced cycles at night.
        Sprinklers = "sprinklers",
        /// From below, all the time.
        Subsurface = "subsurface",
        /// With a hose, as a step of somebody's work.
        ByHand = "by_hand",
    }
}

/// Why a watering makes no sense.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Error)]
pub enum WateringError {
    /// A flow of nothing or less.
    #[error("a flow is more than nothing")]
    NoFlow,
    /// A run of no seconds or fewer.
    #[error("a run of water lasts at least a second")]
    NoRun,
    /// A negative pause, or a flow or capacity below zero.
    #[error("a pause, a capacity and a flow already given away are not negative")]
    Negative,
    /// The same valve twice in one night.
    #[error("valve {0} stands twice in the list")]
    SameValveTwice(i64),
    /// A number does not fit 64 bits.
    #[error(transparent)]
    Overflow(#[from] Overflow),
}

/// One unbroken soak of a court.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub struct Soak {
    /// What runs.
    pub flow: MlPerSecond,
    /// How long.
    pub run: Seconds,
    /// What that comes to.
    pub volume: Millilitres,
    /// Somebody stands there with a hose for all of `run`; else nobody has to.
    pub by_hand: bool,
}

/// The full soak at midday: sprinklers, or a hose as its own step of work. `None` for a court watered from below.
pub fn midday_soak(
    kind: WateringKind,
    flow: MlPerSecond,
    run: Seconds,
) -> Result<Option<Soak>, WateringError> {
    if kind == WateringKind::Subsurface {
        return Ok(None);
    }
    if flow.0 <= 0 {
        return Err(WateringError::NoFlow);
    }
    if run.0 <= 0 {
        return Err(WateringError::NoRun);
    }
    Ok(Some(Soak {
        flow,
        run,
        volume: flow.over(run)?,
        by_hand: kind == WateringKind::ByHand,
    }))
}

#[cfg(test)]
mod tests {
    use super::*;

    // Common practice, no source: a midday soak is 5 to 10 minutes of sprinklers.
    #[test]
    fn eight_minutes_of_four_litres_a_second_are_500_gallons() {
        let soak = midday_soak(WateringKind::Sprinklers, MlPerSecond(4_000), Seconds(480))
            .unwrap()
            .unwrap();
        assert_eq!((soak.volume, soak.by_hand), (Millilitres(1_920_000), false));
        assert_eq!(soak.volume.to_us_gallons(), Ok(507));
    }

    #[test]
    fn a_court_watered_from_below_is_not_soaked_and_one_watered_by_hand_needs_somebody() {
        let of = |kind| midday_soak(kind, MlPerSecond(1_000), Seconds(600)).unwrap();
        assert_eq!(of(WateringKind::Subsurface), None);
        assert!(of(WateringKind::ByHand).unwrap().by_hand);
    }

    #[test]
    fn a_soak_without_flow_or_time_is_refused() {
        let of = |flow, run| midday_soak(WateringKind::Sprinklers, MlPerSecond(flow), Seconds(run));
        assert_eq!(of(0, 60), Err(WateringError::NoFlow));
        assert_eq!(of(5, 0), Err(WateringError::NoRun));
        assert_eq!(of(i64::MAX, 2), Err(WateringError::Overflow(Overflow)));
    }
}
