//! The day plan (`day-plan/1`): who does what, in which order, by when, and what does not fit.

use serde::{Deserialize, Serialize};

use crate::money::Total;

/// The value of a plan's `format` field.
pub const FORMAT: &str = "day-plan/1";

/// One day's plan.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Plan {
    /// Always [`FORMAT`].
    pub format: String,
    /// The rounds, in the order of the problem's crews; a crew with no stop has none.
    pub rounds: Vec<Round>,
    /// One watering for each served visit with water, by start.
    pub watering: Vec<Watered>,
    /// What is left out, in the order of the problem's visits.
    pub unserved: Vec<Unserved>,
    /// What the plan costs.
    pub cost: Cost,
    /// No plan of this problem costs less (cents).
    pub lower_bound: Total,
    /// The seed it was made with.
    pub seed: u64,
    /// Time spent on it; the planner has no clock and leaves 0 for the caller to fill.
    pub elapsed_ms: u64,
}

/// A crew's stops of the day, in order.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Round {
    /// The crew's id.
    pub crew: String,
    /// The tool classes it takes along.
    pub kit: Vec<String>,
    /// When it leaves its start place.
    pub leave_s: i64,
    /// When it is at its end place.
    pub return_s: i64,
    /// In the order in which they are made.
    pub stops: Vec<Stop>,
    /// One for each of the crew's breaks, in its order.
    pub breaks: Vec<Rest>,
}

/// One visit served.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Stop {
    /// The visit's id.
    pub visit: String,
    /// Which of its ways, counted from 0.
    pub way: usize,
    /// When the crew is there.
    pub arrive_s: i64,
    /// When the work starts.
    pub start_s: i64,
    /// When it ends.
    pub end_s: i64,
}

/// One break taken.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Rest {
    /// Its start.
    pub start_s: i64,
    /// Its end.
    pub end_s: i64,
}

/// One watering.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Watered {
    /// The visit it follows.
    pub visit: String,
    /// Its start.
    pub start_s: i64,
    /// Its end.
    pub end_s: i64,
}

/// One visit left out.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Unserved {
    /// The visit's id.
    pub visit: String,
    /// Why.
    pub reason: Reason,
}

/// Why a visit is left out: the first that holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Reason {
    /// No crew has every skill of one of its ways.
    NoCrewHasTheSkill,
    /// No skilled crew has the hands.
    NoCrewHasTheHands,
    /// A tool it needs does not exist, or its tools go into no kit.
    NoSuchTool,
    /// No way's service fits into its window.
    WindowShorterThanTheWork,
    /// No crew gets there and home in time, even straight.
    NoCrewOnShiftInWindow,
    /// Its watering cannot end in time.
    WaterCannotFinish,
    /// A visit it waits for is left out.
    WaitsForAnUnservedVisit,
    /// It fits nowhere into the plan as it stands.
    NoTimeLeft,
    /// It fits, but costs more than leaving it out.
    DearerThanSkipping,
}

impl Reason {
    /// The reason as the plan writes it.
    pub const fn name(self) -> &'static str {
        match self {
            Self::NoCrewHasTheSkill => "no_crew_has_the_skill",
            Self::NoCrewHasTheHands => "no_crew_has_the_hands",
            Self::NoSuchTool => "no_such_tool",
            Self::WindowShorterThanTheWork => "window_shorter_than_the_work",
            Self::NoCrewOnShiftInWindow => "no_crew_on_shift_in_window",
            Self::WaterCannotFinish => "water_cannot_finish",
            Self::WaitsForAnUnservedVisit => "waits_for_an_unserved_visit",
            Self::NoTimeLeft => "no_time_left",
            Self::DearerThanSkipping => "dearer_than_skipping",
        }
    }
}

/// The cost of a plan in its parts, cents with two decimals. Each part is rounded by itself.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Cost {
    /// Time on the way.
    pub travel: Total,
    /// Time at work.
    pub service: Total,
    /// The premium for overtime.
    pub overtime: Total,
    /// Work above a crew's fair share.
    #[serde(default)]
    pub balance: Total,
    /// The chosen ways' extra cost.
    pub ways: Total,
    /// Work that ends after its aim.
    pub late: Total,
    /// Work done by another crew than the preferred one.
    pub change: Total,
    /// Work left out.
    pub skip: Total,
    /// The sum.
    pub total: Total,
}
