//! Care tasks beside the turnarounds: what is due today, where, when there is time for it, and what is withheld.

use planner::problem::Span;
use trade::care::CareTask;

use super::care_book::{DueTask, due_on_bank, due_on_court};
use super::clock::minus;
use super::hand::care_key;
use super::inputs::Inputs;
use super::jobs::{Job, LeftOut, Pressing};
use super::label;
use super::leaves;
use super::places::Places;
use super::play::CourtHours;
use super::rest;
use super::turnaround_ways::Ways;
use super::turnarounds::{self, Asked, CourtDay};
use super::ways::Tasks;
use super::withheld::{self, Withheld};
use crate::desk::place::Place;
use crate::store::care::CareTaskRow;
use crate::store::courts::BankRow;
use crate::store::orders::OrderKind;

/// The care tasks due on a court.
pub fn of_court(inputs: &Inputs, court: &CourtDay<'_>) -> Vec<Asked> {
    let due = due_on_court(inputs, court.row);
    // A turnaround of the day does what comes before grooming.
    let hosted = turnarounds::hosts(inputs, court);
    // Where leaves lie, whatever brushes or rolls takes them off first: that is not asked for twice.
    let lie = inputs.leaves.contains(&court.row.id);
    let comes = |task: &DueTask<'_>| {
        leaves::waits(inputs, task.row) && withheld::of(inputs, court, task.row).is_none()
    };
    let leaves_off = lie && (hosted || due.iter().any(comes));
    due.iter()
        .filter(|task| {
            let taken_along = (hosted && task.row.detail.0.before_grooming)
                || (leaves_off && leaves::is_it(task.row));
            !taken_along || withheld::of(inputs, court, task.row).is_some()
        })
        .map(|task| court_task(inputs, court, task, &due))
        .collect()
}

fn court_task(
    inputs: &Inputs,
    court: &CourtDay<'_>,
    task: &DueTask<'_>,
    all: &[DueTask<'_>],
) -> Asked {
    let row = task.row;
    let at = Place::Court(court.row.id);
    let key = care_key(row.id, court.row.id);
    let told = |why: Withheld| {
        let whole = court.on_shift;
        Asked::LeftOut(LeftOut {
            key: key.clone(),
            at,
            title: row.name.clone(),
            reason: why.reason,
            opens: whole[0],
            closes: whole[1],
            until: why.until,
            pressing: Pressing::of(row, task.due),
        })
    };
    if let Some(why) = withheld::of(inputs, court, row) {
        return told(why);
    }
    let rows = leaves::first(inputs, court.row.id, with_what_belongs(inputs, row, all));
    let tasks = Tasks {
        kind: OrderKind::Care,
        court: Some(court.row),
        rows: &rows,
        grooming: None,
        extra_cost: 0,
    };
    let ways = tasks.ways(inputs, court.hands);
    let shortest = shortest(&ways);
    let free = windows(inputs, court, row);
    let cool = cool(inputs, row, &free);
    let held_up = |windows: &[Span]| windows.iter().all(|w| w[1] - w[0] < shortest);
    if !held_up(&free) && held_up(&cool) {
        return told(withheld::by_heat(inputs));
    }
    let limits = inputs.limits(&rows);
    let mild = label::mild(inputs, &limits, &cool);
    if !held_up(&cool) && held_up(&mild) {
        return told(label::withheld(inputs, &limits, &cool, shortest));
    }
    let windows = match rest::windows(inputs, court, limits.rest_s, mild, shortest) {
        Ok(windows) if windows.is_empty() => return told(Withheld::NO_TIME),
        Ok(windows) => windows,
        Err(why) => return told(why),
    };
    Asked::Job(Box::new(Job {
        key,
        at,
        title: row.name.clone(),
        place: court.place,
        windows: long_enough(windows, shortest),
        aim_before_s: 0,
        late_cost_per_h: 0,
        skip_cost: 0,
        ways,
        water: None,
        after: Vec::new(),
        care_task_id: Some(row.id),
        rest_s: limits.rest_s,
        pressing: Pressing::of(row, task.due),
    }))
}

/// How long the shortest of the ways takes as many people as can do it, s.
fn shortest(ways: &Ways) -> i64 {
    let all = ways.iter().flat_map(|(way, _)| &way.service_s);
    all.copied().min().unwrap_or(0)
}

/// The care tasks due on a bank; `hours` are its courts'.
pub fn of_bank(
    inputs: &Inputs,
    places: &Places,
    bank: &BankRow,
    hours: &[&CourtHours],
    on_shift: Span,
    hands: usize,
) -> Vec<Asked> {
    due_on_bank(inputs, bank.id)
        .into_iter()
        .filter_map(|DueTask { row, due }| {
            let tasks = Tasks {
                kind: OrderKind::Care,
                court: None,
                rows: &[row],
                grooming: None,
                extra_cost: 0,
            };
            let ways = tasks.ways(inputs, hands);
            let shortest = shortest(&ways);
            let alone = ways.iter().filter_map(|(way, _)| way.service_s.first());
            let longest = alone.copied().max().unwrap_or(0);
            let window = bank_window(inputs, row, hours, on_shift, shortest)?;
            let limits = inputs.limits(&[row]);
            let mild = label::mild(inputs, &limits, &[window]);
            let fits = |span: &Span| span[1] - span[0] >= shortest;
            if fits(&window) && !mild.iter().any(fits) {
                let why = label::withheld(inputs, &limits, &[window], shortest);
                return Some(Asked::LeftOut(LeftOut {
                    key: format!("care:{}:bank:{}", row.id, bank.id),
                    at: Place::Bank(bank.id),
                    title: row.name.clone(),
                    reason: why.reason,
                    opens: window[0],
                    closes: window[1],
                    until: why.until,
                    pressing: Pressing::of(row, due),
                }));
            }
            // The walk is best over before anybody works on the courts: a little dearer each hour it waits.
            let early = row.code == CareTask::OpeningWalk.as_str();
            Some(Asked::Job(Box::new(Job {
                key: format!("care:{}:bank:{}", row.id, bank.id),
                at: Place::Bank(bank.id),
                title: row.name.clone(),
                place: places.bank(bank.id),
                windows: if mild.is_empty() { vec![window] } else { mild },
                aim_before_s: if early {
                    (window[1] - window[0] - longest).max(0)
                } else {
                    0
                },
                late_cost_per_h: if early { EARLY_CENTS_PER_H } else { 0 },
                skip_cost: 0,
                ways,
                water: None,
                after: Vec::new(),
                care_task_id: Some(row.id),
                rest_s: 0,
                pressing: Pressing::of(row, due),
            })))
        })
        .collect()
}

/// What each hour is worth by which the opening walk is over earlier, cents. Common practice, no source.
const EARLY_CENTS_PER_H: i64 = 600;

/// The due tasks of a court that come before its grooming, each with how pressing it is: the longer way of the
/// turnaround's visit does them.
pub fn before_grooming<'a>(
    inputs: &'a Inputs,
    court: &CourtDay<'_>,
) -> Vec<(&'a CareTaskRow, Pressing)> {
    due_on_court(inputs, court.row)
        .into_iter()
        .filter(|task| task.row.detail.0.before_grooming)
        // Where leaves lie they come off first in any case.
        .filter(|task| !(leaves::is_it(task.row) && inputs.leaves.contains(&court.row.id)))
        .filter(|task| withheld::of(inputs, court, task.row).is_none())
        .map(|task| (task.row, Pressing::of(task.row, task.due)))
        .collect()
}

/// When the court is free for the task. Rolling belongs to the morning, before the day's first
/// play, the court damp but firm; on a day without play it may be done at any time.
fn windows(inputs: &Inputs, court: &CourtDay<'_>, row: &CareTaskRow) -> Vec<Span> {
    let free = court.free(inputs);
    let first_play = court.hours.play.iter().find(|stretch| stretch.of_the_day);
    match first_play {
        Some(first) if row.code == CareTask::Roll.as_str() => {
            let before = [court.on_shift[0], first.span[0].max(court.on_shift[0])];
            free.iter()
                .flat_map(|window| minus(*window, &[[before[1], i64::MAX]]))
                .collect()
        }
        _ => free,
    }
}

/// What is left of the windows for this task when heavy work waits for the cool hours.
fn cool(inputs: &Inputs, row: &CareTaskRow, windows: &[Span]) -> Vec<Span> {
    if !row.detail.0.heavy {
        return windows.to_vec();
    }
    let hot = inputs.hot_hours();
    let left = windows.iter().flat_map(|window| minus(*window, &hot));
    left.collect()
}

/// The windows that hold the work at all; where none does the longest, so that the planner tells
/// that the time is too short.
fn long_enough(windows: Vec<Span>, shortest: i64) -> Vec<Span> {
    let length = |window: &Span| window[1] - window[0];
    let longest = windows.iter().copied().max_by_key(length);
    let kept: Vec<Span> = windows
        .into_iter()
        .filter(|window| length(window) >= shortest)
        .collect();
    if kept.is_empty() {
        longest.into_iter().collect()
    } else {
        kept
    }
}

/// The task with what has to come before and after it in the same visit: leaves are off before a brush or a roller
/// comes, and after rolling the lines are cleared.
fn with_what_belongs<'a>(
    inputs: &'a Inputs,
    row: &'a CareTaskRow,
    due: &[DueTask<'a>],
) -> Vec<&'a CareTaskRow> {
    let before = |task: &&DueTask<'a>| {
        task.row.detail.0.before_grooming && row.detail.0.comes_after.contains(&task.row.code)
    };
    let mut rows: Vec<&CareTaskRow> = due.iter().filter(before).map(|task| task.row).collect();
    rows.push(row);
    if row.code == CareTask::Roll.as_str() {
        let lines = CareTask::ClearLines.as_str();
        rows.extend(inputs.tasks.iter().find(|task| task.code == lines));
    }
    rows
}

/// When a bank's task may be done: the walk before the bank's first play, the closing round when its last court can
/// have been turned around, anything else at any time somebody is on shift. Without play there is neither walk nor
/// round.
fn bank_window(
    inputs: &Inputs,
    row: &CareTaskRow,
    hours: &[&CourtHours],
    on_shift: Span,
    work_s: i64,
) -> Option<Span> {
    let of_the_day = || {
        let all = hours.iter().flat_map(|court| &court.play);
        all.filter(|stretch| stretch.of_the_day)
    };
    let [from, until] = on_shift;
    match row.code.parse::<CareTask>() {
        Ok(CareTask::OpeningWalk) => {
            let first = of_the_day().map(|stretch| stretch.span[0]).min()?;
            Some([from, first.clamp(from, until)])
        }
        Ok(CareTask::ClosingRound) => {
            let last = of_the_day().map(|stretch| stretch.span[1]).max()?;
            let night = inputs.clock.length_s() + 86_400;
            let close = until.max(last).min(night);
            // As late as a turnaround ends, where the shift is long enough for both.
            let opens = (last + TURNAROUND_S).min(close - work_s).max(last);
            Some([opens, close.max(opens)])
        }
        _ => Some(on_shift),
    }
}

/// What a turnaround takes at the least, s. Common practice, no source.
const TURNAROUND_S: i64 = 900;

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_window_too_short_for_the_work_is_not_offered_beside_one_that_holds_it() {
        assert_eq!(long_enough(vec![[0, 100], [200, 210]], 50), [[0, 100]]);
        assert_eq!(long_enough(vec![[0, 10], [20, 40]], 50), [[20, 40]]);
        assert!(long_enough(Vec::new(), 50).is_empty());
    }
}
