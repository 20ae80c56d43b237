//! Care tasks beside the turnarounds: what is due today, where, and when there is time for it.

use chrono::{Days, NaiveDate};
use planner::problem::Span;
use trade::care::{Cadence, CareTask, Due, GroundNeed, due, facts, forbidden};

use super::clock::minus;
use super::inputs::Inputs;
use super::jobs::{GROUND_FORBIDS, Job, LeftOut};
use super::places::Places;
use super::play::CourtHours;
use super::turnarounds::{Asked, CourtDay, ground};
use super::ways::Tasks;
use crate::desk::place::Place;
use crate::store::care::{CareTaskRow, DoneAt};
use crate::store::courts::{BankRow, Watering};
use crate::store::orders::OrderKind;

/// The most by which waiting makes leaving a task out dearer: a week of days late.
const MOST_WEIGHT: i64 = 8;

/// The care tasks due on a court, `nth` in the site's own order.
pub fn of_court(inputs: &Inputs, court: &CourtDay<'_>, nth: usize) -> Vec<Asked> {
    tasks(inputs, DoneAt::Court)
        .filter(|(_, row)| {
            row.code != CareTask::HandWatering.as_str() || court.row.watering == Watering::Hand
        })
        .filter_map(|(which, row)| {
            let at = Place::Court(court.row.id);
            let weight = weight(inputs, row, at, nth + which)?;
            let windows = windows(inputs, court, row);
            let whole = [windows.first()?[0], windows.last()?[1]];
            let key = format!("care:{}:court:{}", row.id, court.row.id);
            let condition = inputs.condition(court.row.id);
            if forbidden(need(row), ground(condition)).is_some() {
                return Some(Asked::LeftOut(LeftOut {
                    key,
                    at,
                    title: row.name.clone(),
                    reason: GROUND_FORBIDS,
                    opens: whole[0],
                    closes: whole[1],
                }));
            }
            let rows = with_what_follows(inputs, row);
            let tasks = Tasks {
                kind: OrderKind::Care,
                court: Some(court.row),
                rows: &rows,
                grooming: None,
                extra_cost: 0,
            };
            let way = tasks.way(inputs, court.hands);
            let shortest = way.0.service_s.iter().copied().min().unwrap_or(0);
            Some(Asked::Job(Box::new(Job {
                key,
                at,
                title: row.name.clone(),
                place: court.place,
                windows: long_enough(windows, shortest),
                aim_before_s: 0,
                late_cost_per_h: 0,
                skip_cost: row.skip_cents.max(0).saturating_mul(weight),
                ways: vec![way],
                water: None,
            })))
        })
        .collect()
}

/// The care tasks due on a bank, `nth` in the site's own order; `hours` are its courts'.
pub fn of_bank(
    inputs: &Inputs,
    places: &Places,
    bank: &BankRow,
    nth: usize,
    hours: &[&CourtHours],
    on_shift: Span,
    hands: usize,
) -> Vec<Asked> {
    tasks(inputs, DoneAt::Bank)
        .filter_map(|(which, row)| {
            let at = Place::Bank(bank.id);
            let weight = weight(inputs, row, at, nth + which)?;
            let window = bank_window(inputs, row, hours, on_shift)?;
            let tasks = Tasks {
                kind: OrderKind::Care,
                court: None,
                rows: &[row],
                grooming: None,
                extra_cost: 0,
            };
            let way = tasks.way(inputs, hands);
            Some(Asked::Job(Box::new(Job {
                key: format!("care:{}:bank:{}", row.id, bank.id),
                at,
                title: row.name.clone(),
                place: places.bank(bank.id),
                windows: vec![window],
                aim_before_s: 0,
                late_cost_per_h: 0,
                skip_cost: row.skip_cents.max(0).saturating_mul(weight),
                ways: vec![way],
                water: None,
            })))
        })
        .collect()
}

fn tasks(inputs: &Inputs, done_at: DoneAt) -> impl Iterator<Item = (usize, &CareTaskRow)> {
    let all = inputs.tasks.iter();
    all.filter(move |row| row.done_at == done_at).enumerate()
}

/// How much leaving the task out weighs today: 1 on the day it is due, one more for each day it
/// has waited; none where it is not due.
fn weight(inputs: &Inputs, row: &CareTaskRow, at: Place, spread: usize) -> Option<i64> {
    let cadence: Cadence = row.cadence.parse().ok()?;
    let last = inputs.last_done.iter().find(|last| {
        last.care_task_id == row.id && last.court_id == at.court() && last.bank_id == at.bank()
    });
    let last = last
        .and_then(|last| last.on)
        .or_else(|| as_if_done(inputs.founded_on, cadence, spread));
    match due(cadence, last, inputs.date) {
        Due::NotDue => None,
        Due::Due => Some(1),
        Due::Overdue { days } => Some((1 + days).min(MOST_WEIGHT)),
    }
}

/// The day on which a task that was never done counts as done: one of the period before the site
/// was set up, another for each place and task, so that not everything falls due on the first day.
fn as_if_done(founded_on: NaiveDate, cadence: Cadence, spread: usize) -> Option<NaiveDate> {
    let period = match cadence {
        Cadence::AfterEachSession | Cadence::Daily | Cadence::AsFound => return None,
        Cadence::Weekly => 7,
        Cadence::EveryDays(days) => u64::from(days.get()),
        Cadence::Monthly => 30,
        Cadence::Yearly => 365,
    };
    let into = u64::try_from(spread).unwrap_or(0) % period;
    founded_on.checked_sub_days(Days::new(period - into))
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
            .parse::<CareTask>()
            .map_or(GroundNeed::FIRM, |task| facts(task).ground),
    }
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

/// The task and what has to follow it: after rolling the lines are cleared.
fn with_what_follows<'a>(inputs: &'a Inputs, row: &'a CareTaskRow) -> Vec<&'a CareTaskRow> {
    let mut rows = vec![row];
    if row.code == CareTask::Roll.as_str() {
        let lines = CareTask::ClearLines.as_str();
        rows.extend(inputs.tasks.iter().find(|task| task.code == lines));
    }
    rows
}

/// When a bank's task may be done: the walk before the bank's first play, the closing round after
/// its last, anything else at any time somebody is on shift. Without play there is neither walk
/// nor round.
fn bank_window(
    inputs: &Inputs,
    row: &CareTaskRow,
    hours: &[&CourtHours],
    on_shift: Span,
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
            Some([last, until.max(last).min(night)])
        }
        _ => Some(on_shift),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn tasks_never_done_fall_due_one_after_the_other_within_their_first_period() {
        let founded: NaiveDate = "2031-06-02".parse().unwrap();
        let first_due = |spread| {
            let as_if = as_if_done(founded, Cadence::Weekly, spread);
            (0..7).find(|day| {
                let today = founded.checked_add_days(Days::new(*day)).unwrap();
                due(Cadence::Weekly, as_if, today) == Due::Due
            })
        };
        let days: Vec<_> = (0..8).map(first_due).collect();
        assert_eq!(
            days,
            [0, 1, 2, 3, 4, 5, 6, 0].map(Some),
            "each place and task has a day of its own"
        );
        assert_eq!(as_if_done(founded, Cadence::Daily, 3), None);
    }

    #[test]
    fn a_window_too_short_for_the_work_is_not_offered_beside_one_that_holds_it() {
        assert_eq!(long_enough(vec![[0, 100], [200, 210]], 50), [[0, 100]]);
        assert_eq!(long_enough(vec![[0, 10], [20, 40]], 50), [[20, 40]]);
        assert!(long_enough(Vec::new(), 50).is_empty());
    }
}
