//! The ways of one turnaround: full or short, with this tool or that, with or without what may be
//! done before grooming. All are one visit, so that nothing of it can overlap.

use planner::plan::Reason;
use planner::problem::Way;
use trade::care::{
    Cadence, CareTask, CourtToday, Leaving, TurnaroundKind, leaving_cents, steps as steps_of,
};
use trade::grooming::Direction as Heading;
use trade::money::Cents;

use super::care;
use super::inputs::Inputs;
use super::jobs::{JobWay, Pressing};
use super::leaves;
use super::tools;
use super::turnarounds::CourtDay;
use super::ways::{Grooming, Tasks};
use super::withheld;
use crate::store::care::{CareTaskRow, DoneAt};
use crate::store::orders::OrderKind;
use crate::store::tools::ToolClassRow;

/// The most ways one turnaround has. More make the planner slower and no plan better.
const MOST_WAYS: usize = 12;

/// Ways of a turnaround, each as the planner sees it and as an order.
pub type Ways = Vec<(Way, JobWay)>;

/// What is to be chosen from in a turnaround.
pub struct Choice<'a> {
    /// The kinds, each with what taking it instead of the first is taken to cost, cents.
    pub kinds: Vec<(TurnaroundKind, i64)>,
    /// How the court is today.
    pub court: CourtToday,
    /// Which way it is groomed.
    pub heading: Heading,
    /// What may be done before grooming, in order.
    pub optional: Vec<Optional<'a>>,
}

/// Work that may be left out of a turnaround without stopping the rest.
#[derive(Clone, Copy)]
pub struct Optional<'a> {
    /// The task.
    pub row: &'a CareTaskRow,
    /// What leaving it out is taken to cost, cents.
    pub cents: i64,
}

/// What is due on the court of the tasks that come before grooming, in the site's own order.
pub fn before_grooming<'a>(inputs: &'a Inputs, court: &CourtDay<'_>) -> Vec<Optional<'a>> {
    let mut due = care::before_grooming(inputs, court);
    due.sort_by_key(|(row, _)| (row.position, row.id));
    due.into_iter()
        .map(|(row, pressing)| Optional {
            row,
            cents: left_out_cents(inputs, row, pressing),
        })
        .collect()
}

/// More than any day costs, cents: what a way pays that leaves out what must be done.
const MORE_THAN_A_DAY: Cents = Cents(10_000_000);

/// What a turnaround without this task is taken to cost more than one with it.
fn left_out_cents(inputs: &Inputs, row: &CareTaskRow, pressing: Pressing) -> i64 {
    let rates = inputs.hands.iter().filter_map(|hand| hand.cents_per_h);
    let dearest = rates.max().unwrap_or(0);
    let leaving = Leaving {
        urgency: pressing.urgency,
        safety: pressing.safety,
        late_days: pressing.late_days,
        own: Cents(row.base_s.saturating_mul(dearest) / 3_600),
    };
    let cents = leaving_cents(&[leaving], MORE_THAN_A_DAY);
    cents.first().map_or(0, |cents| cents.0)
}

impl Choice<'_> {
    /// The ways, the one that does everything first; or why there is none.
    pub fn ways(&self, inputs: &Inputs, court: &CourtDay<'_>) -> Result<Ways, &'static str> {
        let classes = tools::grooming(inputs, self.court.condition);
        let mut ways = Vec::new();
        for (kind, cents) in &self.kinds {
            let tasks = steps_of(*kind, &self.court).map_err(withheld::forbids)?;
            let rows = rows(inputs, *kind, &tasks);
            if !tasks.contains(&CareTask::Groom) {
                ways.extend(self.ways_of(inputs, court, *kind, &rows, None, *cents));
                continue;
            }
            if classes.is_empty() {
                return Err(Reason::NoSuchTool.name());
            }
            for (nth, (class, choice)) in classes.iter().enumerate() {
                for left_out in self.left_out(*kind, nth == 0) {
                    let (done, left) = self.optional.split_at(self.optional.len() - left_out);
                    let left: i64 = left.iter().map(|one| one.cents).sum();
                    let rows = with_optional(&rows, done);
                    let cents = cents.saturating_add(*choice).saturating_add(left);
                    ways.extend(self.ways_of(inputs, court, *kind, &rows, Some(class), cents));
                }
            }
        }
        Ok(few(ways))
    }

    /// How many of the optional tasks are left out, from the last: with the best tool any number,
    /// with another all or none; in a short turnaround all.
    fn left_out(&self, kind: TurnaroundKind, best: bool) -> Vec<usize> {
        let all = self.optional.len();
        match (kind, best) {
            (_, _) if all == 0 => vec![0],
            (TurnaroundKind::Full, true) => (0..=all).collect(),
            (TurnaroundKind::Full, false) => vec![0, all],
            _ => vec![all],
        }
    }

    fn ways_of(
        &self,
        inputs: &Inputs,
        court: &CourtDay<'_>,
        kind: TurnaroundKind,
        rows: &[&CareTaskRow],
        class: Option<&ToolClassRow>,
        extra_cost: i64,
    ) -> Ways {
        let heading = self.heading;
        let tasks = Tasks {
            kind: match kind {
                TurnaroundKind::Full => OrderKind::FullTurnaround,
                _ => OrderKind::ShortTurnaround,
            },
            court: Some(court.row),
            rows,
            grooming: class.map(|class| Grooming { class, heading }),
            extra_cost,
        };
        tasks.ways(inputs, court.hands)
    }
}

/// The site's rows of the steps that the trade asks for, and after them, in a full turnaround,
/// what the site does after each session beside them. A step the site does not have is left out.
fn rows<'a>(inputs: &'a Inputs, kind: TurnaroundKind, tasks: &[CareTask]) -> Vec<&'a CareTaskRow> {
    let known = tasks.iter().filter_map(|task| row_of(inputs, *task));
    let own = inputs.tasks.iter().filter(|row| {
        kind == TurnaroundKind::Full
            && row.done_at == DoneAt::Turnaround
            && row.code.parse::<CareTask>().is_err()
            && row.cadence.parse() == Ok(Cadence::AfterEachSession)
    });
    known.chain(own).collect()
}

fn row_of(inputs: &Inputs, task: CareTask) -> Option<&CareTaskRow> {
    if task == CareTask::LeavesOff {
        // Wherever the site does it when it does nothing else.
        return leaves::task(inputs);
    }
    let mut all = inputs.tasks.iter();
    all.find(|row| row.done_at == DoneAt::Turnaround && row.code == task.as_str())
}

/// The steps with the optional ones after the look-over, which finds whether they are needed, and
/// before the net is raised.
fn with_optional<'a>(rows: &[&'a CareTaskRow], optional: &[Optional<'a>]) -> Vec<&'a CareTaskRow> {
    let looked_over = |row: &&CareTaskRow| row.code == CareTask::LookOver.as_str();
    let after = rows.iter().position(looked_over).map_or(0, |at| at + 1);
    let (first, rest) = rows.split_at(after);
    let optional = optional.iter().map(|one| one.row);
    first
        .iter()
        .copied()
        .chain(optional)
        .chain(rest.iter().copied())
        .collect()
}

/// The most useful ways: those that cost least, and the shortest whatever it costs, so that a tight
/// gap still has one.
fn few(mut ways: Ways) -> Ways {
    if ways.len() <= MOST_WAYS {
        return ways;
    }
    ways.sort_by_key(|(way, _)| way.extra_cost);
    let shortest = ways
        .iter()
        .skip(MOST_WAYS - 1)
        .min_by_key(|(way, _)| way.service_s.first().copied())
        .cloned();
    ways.truncate(MOST_WAYS - 1);
    ways.extend(shortest);
    ways
}
