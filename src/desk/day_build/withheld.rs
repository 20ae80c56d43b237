//! Why due work is not done today, and until when.

use trade::care::{GroundNeed, Obstacle, facts, forbidden};
use trade::grooming::{Condition, ToolAction};

use super::inputs::Inputs;
use super::turnarounds::CourtDay;
use crate::store::care::CareTaskRow;

/// Why work is withheld. The words stand with the reasons of the day plan.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Withheld {
    /// The reason's word.
    pub reason: &'static str,
    /// Until when, in the day's seconds, where that is known.
    pub until: Option<i64>,
}

impl Withheld {
    /// The court is not free at the time of day to which the work belongs.
    pub const NO_TIME: Self = Self::open("window_shorter_than_the_work");

    const fn open(reason: &'static str) -> Self {
        Self {
            reason,
            until: None,
        }
    }
}

/// The court is shut for as long as anybody is on shift.
pub const CLOSED: &str = "closed";
/// It drains after rain.
pub const DRAINING: &str = "draining";
/// It rests after other work.
pub const RESTING: &str = "resting";
/// Bookings stand within the time for which it would have to rest.
pub const BOOKINGS_IN_REST: &str = "bookings_in_rest";
/// The surface is new and must bind.
pub const NEWLY_DRESSED: &str = "newly_dressed";

/// It is heavy work, and too hot for it.
pub const HEAT: &str = "heat";

/// Heavy work waits until it is no longer hot.
pub fn by_heat(inputs: &Inputs) -> Withheld {
    Withheld {
        reason: HEAT,
        until: inputs.hot_hours().last().map(|hot| hot[1]),
    }
}

/// Why a task is not done on a court today; none where nothing keeps it.
pub fn of(inputs: &Inputs, court: &CourtDay<'_>, row: &CareTaskRow) -> Option<Withheld> {
    shut(inputs, court)
        .or_else(|| by_ground(inputs, court, row))
        .or_else(|| binding(inputs, court, row))
}

/// Shut for the whole shift, by a closure or by its rest.
fn shut(inputs: &Inputs, court: &CourtDay<'_>) -> Option<Withheld> {
    if !court.hours.free(court.on_shift).is_empty() {
        return None;
    }
    let clock = &inputs.clock;
    let end = |ends_at| clock.ends(ends_at);
    let rests = inputs
        .rests
        .iter()
        .filter(|rest| rest.court_id == court.row.id);
    let rests = rests.map(|rest| (end(rest.ends_at), RESTING));
    let closures = inputs
        .closures
        .iter()
        .filter(|closure| closure.court_id == court.row.id);
    let closures = closures.map(|closure| (end(closure.ends_at), CLOSED));
    let drying = inputs.sky.drying.get(&court.row.id);
    let drying = drying.map(|drying| (end(drying.fit_at), DRAINING));
    let (until, reason) = rests
        .chain(closures)
        .chain(drying)
        .filter(|(until, _)| *until > court.on_shift[0])
        .max()
        .unzip();
    reason.map(|reason| Withheld { reason, until })
}

fn by_ground(inputs: &Inputs, court: &CourtDay<'_>, row: &CareTaskRow) -> Option<Withheld> {
    let obstacle = forbidden(need(row), inputs.ground(court.row.id))?;
    Some(Withheld::open(forbids(obstacle)))
}

/// The reason's word for what forbids work on a court's ground.
pub const fn forbids(obstacle: Obstacle) -> &'static str {
    match obstacle {
        Obstacle::StandingWater => "standing_water",
        Obstacle::Frozen => "frost",
        Obstacle::NotFirm => "not_firm",
        Obstacle::TooWet => "too_wet",
        Obstacle::TooDry => "too_dry",
    }
}

/// What loosens or levels waits until a new surface has bound. Common practice, no source.
fn binding(inputs: &Inputs, court: &CourtDay<'_>, row: &CareTaskRow) -> Option<Withheld> {
    let condition = inputs.condition(court.row.id);
    let new = matches!(
        condition,
        Condition::NewlyDressed | Condition::JustResurfaced
    );
    let action = row.tool_action.as_deref()?.parse::<ToolAction>();
    let works_it = matches!(action, Ok(ToolAction::Loosens | ToolAction::Levels));
    (new && works_it).then(|| Withheld::open(NEWLY_DRESSED))
}

/// What ground the task needs: the site's word, else what the trade knows.
fn need(row: &CareTaskRow) -> GroundNeed {
    match row.ground.as_str() {
        "any" => GroundNeed::ANY,
        "firm" => GroundNeed::FIRM,
        "damp" => GroundNeed::DAMP,
        "not_wet" => GroundNeed::NOT_WET,
        "drained" => GroundNeed::DRAINED,
        _ => row
            .code
            .parse()
            .map_or(GroundNeed::FIRM, |task| facts(task).ground),
    }
}
