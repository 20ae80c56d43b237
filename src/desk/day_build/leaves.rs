//! Leaves on the courts: off before any brush or roller comes.

use std::collections::{HashMap, HashSet};

use trade::calendar::work_date;
use trade::care::{CareTask, Season, leaves_first, leaves_lie};
use trade::grooming::ToolAction;

use super::inputs::Inputs;
use crate::desk::settings::known::{LEAF_SEASON_FROM, LEAF_SEASON_UNTIL};
use crate::store::Instant;
use crate::store::care::CareTaskRow;

/// The courts on which leaves lie, as it is at an instant: as it was seen that day, else in the site's leaf season.
pub fn lying(inputs: &Inputs, at: Instant) -> HashSet<i64> {
    let settings = &inputs.settings;
    let season = settings
        .year_day(LEAF_SEASON_FROM)
        .zip(settings.year_day(LEAF_SEASON_UNTIL))
        .map(|(from, until)| Season { from, until });
    // By court and time, so that the newest word on a court is the last.
    let mut seen: HashMap<i64, bool> = HashMap::new();
    for look in inputs.ground.looks.iter().filter(|look| look.seen_at <= at) {
        let of_the_day = work_date(inputs.clock.zone(), look.seen_at.utc()) == inputs.date;
        if let Some(leaves) = look.leaves.filter(|_| of_the_day) {
            seen.insert(look.court_id, leaves);
        }
    }
    let courts = inputs.courts.iter().map(|court| court.id);
    courts
        .filter(|court| leaves_lie(season, inputs.date, seen.get(court).copied()))
        .collect()
}

/// Whether the task is taking leaves off.
pub fn is_it(row: &CareTaskRow) -> bool {
    row.code == CareTask::LeavesOff.as_str()
}

/// The site's own task of taking leaves off.
pub fn task(inputs: &Inputs) -> Option<&CareTaskRow> {
    inputs.tasks.iter().find(|row| is_it(row))
}

/// Whether leaves must be off before this task: its tool is a brush, a rake or a roller.
pub fn waits(inputs: &Inputs, row: &CareTaskRow) -> bool {
    let Some(wanted) = row.tool_action.as_deref() else {
        return false;
    };
    let of_class = || {
        let mut classes = inputs.classes.iter();
        let class = classes.find(|class| class.code == wanted)?;
        Some(class.action.0)
    };
    let action = wanted.parse::<ToolAction>().ok().or_else(of_class);
    !is_it(row) && action.is_some_and(leaves_first)
}

/// Whether a tool that takes them off is in service: else it is done by hand.
pub fn has_blower(inputs: &Inputs, row: &CareTaskRow) -> bool {
    let wanted = row.tool_action.as_deref();
    inputs.classes.iter().any(|class| {
        let does = wanted == Some(class.code.as_str()) || wanted == Some(class.action.0.as_str());
        does && inputs.in_service(class.id) > 0
    })
}

/// What is done in one visit on a court where leaves lie: they come off first, where anything of it waits for that.
pub fn first<'a>(
    inputs: &'a Inputs,
    court: i64,
    mut rows: Vec<&'a CareTaskRow>,
) -> Vec<&'a CareTaskRow> {
    let lie = inputs.leaves.contains(&court) && rows.iter().any(|row| waits(inputs, row));
    if let Some(leaves) = task(inputs).filter(|_| lie) {
        rows.retain(|row| !is_it(row));
        rows.insert(0, leaves);
    }
    rows
}
