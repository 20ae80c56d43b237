//! The two visits of a valve that somebody opens and closes, and what is told where its run does not fit.

use planner::plan::Reason;
use planner::problem::Way;
use trade::care::Urgency;
use trade::watering::WhyUnfinished;

use super::by_hand::{HandMissed, HandRun, HandRuns, Stage};
use super::soaks::OVER_ALLOWANCE;
use crate::desk::day_build::jobs::{Job, JobWay, LeftOut, Pressing};
use crate::desk::day_build::turnarounds::Asked;
use crate::desk::day_build::ways::Tasks;
use crate::desk::day_build::{Inputs, Places};
use crate::desk::place::Place;
use crate::store::day_plans::WateringKind;
use crate::store::orders::OrderKind;
use crate::words::{say, say_with};

/// The reason of water for which nobody is there who opens and closes its valve.
pub const NOBODY_THERE: &str = "nobody_there";

/// The care standard's words for the two visits.
const OPEN: &str = "open_valve";
const CLOSE: &str = "close_valve";

/// The codes of the work that opens and closes valves in the care standard.
pub const VALVE_WORK: [&str; 2] = [OPEN, CLOSE];

/// How long one of them takes where the site's care standard does not say it, s. Common practice, no source.
const WORK_S: i64 = 120;

/// The reason of a plan's list for water that stays out.
pub const fn short_reason(why: Option<WhyUnfinished>) -> &'static str {
    match why {
        Some(WhyUnfinished::OverAllowance) => OVER_ALLOWANCE,
        Some(WhyUnfinished::NobodyThere) => NOBODY_THERE,
        _ => Reason::WaterCannotFinish.name(),
    }
}

/// What it is to open or close a valve, as people say it.
pub fn valve_title(valve: &str, opens: bool) -> String {
    let end = if opens { "open" } else { "close" };
    say_with(&format!("day-{end}-valve"), &[("valve", valve.into())])
}

/// The visits to a bank's valves, and the soaks of midday that fit nowhere.
pub fn of_bank(
    inputs: &Inputs,
    places: &Places,
    runs: &HandRuns,
    bank: i64,
    hands: usize,
) -> Vec<Asked> {
    let of_bank = runs.runs.iter().filter(|run| run.valve.bank_id == bank);
    let visits = of_bank.flat_map(|run| visits(inputs, places, run, hands));
    let missed = runs.missed.iter().filter(|run| {
        // The night's are told with the night.
        run.valve.bank_id == bank && run.kind == WateringKind::Soak
    });
    visits
        .map(|job| Asked::Job(Box::new(job)))
        .chain(missed.flat_map(left_out).map(Asked::LeftOut))
        .collect()
}

fn visits(inputs: &Inputs, places: &Places, run: &HandRun, hands: usize) -> Vec<Job> {
    let name = run.valve.id.and_then(|id| inputs.water.name_of(id));
    let name = name.unwrap_or_default();
    let job = |key: String, code: &str, window, pressing: Pressing| Job {
        key,
        at: Place::Bank(run.valve.bank_id),
        title: valve_title(name, code == OPEN),
        place: places.bank(run.valve.bank_id),
        windows: vec![window],
        aim_before_s: 0,
        late_cost_per_h: 0,
        skip_cost: 0,
        pressing,
        care_task_id: None,
        rest_s: 0,
        ways: vec![way(inputs, code, hands)],
        water: None,
        after: Vec::new(),
    };
    let today = Pressing::new(Urgency::Today);
    // Water that nobody turns off does harm: what was opened is closed, whatever it costs.
    let must = Pressing {
        safety: true,
        ..today
    };
    let opening = || job(run.opening_key(), OPEN, run.opening, today);
    let closing = || job(run.closing_key(), CLOSE, run.closing, must);
    match run.stage {
        Stage::Asked => vec![
            opening(),
            Job {
                after: vec![run.opening_key()],
                ..closing()
            },
        ],
        Stage::Opened { .. } => vec![closing()],
        Stage::Closed => Vec::new(),
    }
}

/// As the site's care standard says, where it has the work.
fn way(inputs: &Inputs, code: &str, hands: usize) -> (Way, JobWay) {
    let row = inputs.tasks.iter().find(|row| row.code == code);
    let rows: Vec<_> = row.into_iter().collect();
    let tasks = Tasks {
        kind: OrderKind::Care,
        court: None,
        rows: &rows,
        grooming: None,
        extra_cost: 0,
    };
    let (mut way, order) = tasks.way(inputs, hands, false);
    if rows.is_empty() {
        way.service_s.fill(WORK_S);
    }
    (way, order)
}

fn left_out(missed: &HandMissed) -> Vec<LeftOut> {
    let id = missed.valve.id.unwrap_or(0);
    let courts = missed.valve.courts.iter();
    courts
        .map(|court| LeftOut {
            key: format!("soak:{id}:{court}"),
            at: Place::Court(*court),
            title: say("day-midday-soak"),
            reason: short_reason(Some(missed.why)),
            opens: missed.within[0],
            closes: missed.within[1],
            until: None,
            pressing: Pressing::new(Urgency::Today),
        })
        .collect()
}
