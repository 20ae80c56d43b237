//! The work between two play sessions, court by court.

use std::collections::BTreeSet;

use chrono::NaiveTime;
use planner::plan::Reason;
use planner::problem::{Span, Watering, Way};
use trade::care::{
    Cadence, CareTask, CourtToday, Ground, Sharing, TurnaroundKind, facts, service_s,
    steps as steps_of,
};
use trade::court::CourtSurface;
use trade::grooming::{Condition, Direction as Heading, direction_today, grooming_time};
use trade::units::{Millimetres, Seconds};
use trade::watering::WateringKind;

use super::clock::minus;
use super::inputs::Inputs;
use super::jobs::{GROUND_FORBIDS, Job, JobStep, JobWay, LeftOut};
use super::play::{CourtHours, Stretch};
use super::tools;
use super::water::CourtSoak;
use crate::desk::place::Place;
use crate::store::care::{CareTaskRow, DoneAt};
use crate::store::courts::{CourtRow, Watering as CourtWatering};
use crate::store::orders::{Direction, OrderKind};
use crate::store::tools::ToolClassRow;
use crate::words::say_with;

/// Between which local times a court's play must end for its turnaround to bring the midday soak.
/// Common practice, no source.
const MIDDAY: (NaiveTime, NaiveTime) = (
    NaiveTime::from_hms_opt(10, 0, 0).expect("ten o'clock"),
    NaiveTime::from_hms_opt(15, 0, 0).expect("three o'clock"),
);

/// A court on the day, and who could work on it.
pub struct CourtDay<'a> {
    /// The court.
    pub row: &'a CourtRow,
    /// When it is in play and shut.
    pub hours: &'a CourtHours,
    /// Its midday soak by sprinklers of its own.
    pub soak: Option<CourtSoak>,
    /// Its place's number.
    pub place: i64,
    /// From when to when anybody is on shift, overtime included.
    pub on_shift: Span,
    /// People in the largest crew.
    pub hands: usize,
}

/// What a court's day asks for: work to be planned, or work to be told as left out.
pub enum Asked {
    /// To be planned.
    Job(Box<Job>),
    /// To be told.
    LeftOut(LeftOut),
}

/// The name of the visit after a session.
pub fn turnaround_key(session: i64) -> String {
    format!("turnaround:{session}")
}

/// The supply line's name in the day problem.
pub fn line_key(bank: i64) -> String {
    format!("bank:{bank}")
}

/// The turnarounds of a court: after each session of the day, and before them the one that the
/// day before still owes.
pub fn of_court(inputs: &Inputs, court: &CourtDay<'_>) -> Vec<Asked> {
    let soaked_after = midday(inputs, court.hours);
    let of_the_day = court.hours.turnarounds().map(|(stretch, next)| {
        let soaks = soaked_after == Some(stretch.session);
        let gap = gap(court, stretch.span[1], next);
        let after = After {
            key: turnaround_key(stretch.session),
            title: say_with(
                "day-turnaround-after",
                &[("session", stretch.name.as_str().into())],
            ),
            gap,
            next,
            players_follow: next == Some(gap[1]),
            may_be_short: stretch.may_be_short,
            soaks,
        };
        after.asked(inputs, court)
    });
    owed(inputs, court).into_iter().chain(of_the_day).collect()
}

/// The turnaround that was not made after the last play of the day before: due before the players
/// come.
fn owed(inputs: &Inputs, court: &CourtDay<'_>) -> Option<Asked> {
    let last = court.hours.last_before_the_day()?;
    if !inputs.not_made.contains(&turnaround_key(last.session)) {
        return None;
    }
    let next = court.hours.next_play(last.span[1]);
    let opens = last.span[1].max(court.on_shift[0]);
    let closes = next.map_or(court.on_shift[1], |next| next.min(court.on_shift[1]));
    let gap = [opens, closes.max(opens)];
    let after = After {
        key: format!("owed:{}", last.session),
        title: say_with(
            "day-turnaround-owed",
            &[("session", last.name.as_str().into())],
        ),
        gap,
        next,
        players_follow: next == Some(gap[1]),
        may_be_short: last.may_be_short,
        soaks: false,
    };
    Some(after.asked(inputs, court))
}

/// The session of the day after which a court gets its midday soak, if there is one.
pub fn midday(inputs: &Inputs, hours: &CourtHours) -> Option<i64> {
    let at = |time| inputs.clock.local(0, time);
    let around = at(inputs.standards.soak_around);
    let (from, until) = (at(MIDDAY.0), at(MIDDAY.1));
    hours
        .turnarounds()
        .map(|(stretch, _): (&Stretch, _)| (stretch.span[1], stretch.session))
        .filter(|(end, _)| (from..=until).contains(end))
        .min_by_key(|(end, session)| (end.abs_diff(around), *session))
        .map(|(_, session)| session)
}

/// From the end of play to the next play on the court, or to the end of the last shift where that
/// comes before. Where nobody is on shift any more, the whole gap is told.
fn gap(court: &CourtDay<'_>, end: i64, next: Option<i64>) -> Span {
    let last = court.on_shift[1];
    let close = match next {
        Some(next) if last <= end => next,
        Some(next) => next.min(last),
        None => last.max(end),
    };
    [end, close]
}

/// A turnaround as it is asked for.
pub struct After {
    /// The visit's name.
    pub key: String,
    /// What it is, as people say it.
    pub title: String,
    /// From the end of play to when the court must be given back.
    pub gap: Span,
    /// When the court is next played on.
    pub next: Option<i64>,
    /// Players come at the end of the gap.
    pub players_follow: bool,
    /// The short turnaround will do.
    pub may_be_short: bool,
    /// The court is soaked after it.
    pub soaks: bool,
}

impl After {
    /// The job, or why it cannot be planned.
    pub fn asked(self, inputs: &Inputs, court: &CourtDay<'_>) -> Asked {
        match self.ways(inputs, court) {
            Ok(ways) => Asked::Job(Box::new(self.job(inputs, court, ways))),
            Err(reason) => Asked::LeftOut(LeftOut {
                key: self.key,
                at: Place::Court(court.row.id),
                title: self.title,
                reason,
                opens: self.gap[0],
                closes: self.gap[1],
            }),
        }
    }

    fn job(self, inputs: &Inputs, court: &CourtDay<'_>, ways: Vec<(Way, JobWay)>) -> Job {
        let standards = &inputs.standards;
        let mut windows = minus(self.gap, &court.hours.shut);
        if windows.is_empty() {
            // Shut throughout: the planner then tells that the time is shorter than the work.
            windows.push([self.gap[0], self.gap[0]]);
        }
        let row = court.row;
        let soak = court.soak.filter(|_| self.soaks);
        Job {
            key: self.key,
            at: Place::Court(row.id),
            title: self.title,
            place: court.place,
            windows,
            aim_before_s: if self.players_follow {
                standards.aim_before_play_s
            } else {
                0
            },
            late_cost_per_h: if self.players_follow {
                standards.late_cents_per_h
            } else {
                0
            },
            skip_cost: standards.skip_turnaround_cents,
            ways,
            water: soak.map(|soak| Watering {
                group: line_key(soak.bank_id),
                flow_mlps: soak.flow_mlps,
                run_s: soak.run_s,
                // The court has drained before the players come.
                ready_by: self.next.map_or(self.gap[1], |next| {
                    (next - soak.drain_s).clamp(self.gap[0], self.gap[1])
                }),
            }),
        }
    }

    fn ways(
        &self,
        inputs: &Inputs,
        court: &CourtDay<'_>,
    ) -> Result<Vec<(Way, JobWay)>, &'static str> {
        let today = CourtToday {
            condition: inputs.condition(court.row.id),
            ground: ground(inputs.condition(court.row.id)),
            baselines_packed: false,
            loosened_today: false,
            watering: watering(court.row.watering),
            water_after: self.soaks,
        };
        let classes = tools::grooming(inputs, today.condition);
        let heading = heading(inputs, court.row.id);
        let mut kinds = vec![(TurnaroundKind::Full, OrderKind::FullTurnaround, 0)];
        if self.may_be_short {
            kinds.push((
                TurnaroundKind::Short,
                OrderKind::ShortTurnaround,
                inputs.standards.short_cents,
            ));
        }
        let mut ways = Vec::new();
        for (kind, order, cents) in kinds {
            let tasks = steps_of(kind, &today).map_err(|_| GROUND_FORBIDS)?;
            if classes.is_empty() {
                return Err(Reason::NoSuchTool.name());
            }
            for (class, choice) in &classes {
                let with = Grooming {
                    court: court.row,
                    class,
                    heading,
                };
                let rows = rows(inputs, kind, &tasks);
                ways.push(way(
                    inputs,
                    &rows,
                    Some(&with),
                    order,
                    court.hands,
                    cents + choice,
                ));
            }
        }
        Ok(ways)
    }
}

/// How the ground is, as far as the condition tells.
pub fn ground(condition: Condition) -> Ground {
    Ground {
        firm: condition != Condition::Soaked,
        ..Ground::default()
    }
}

fn watering(kind: CourtWatering) -> WateringKind {
    match kind {
        CourtWatering::Sprinkler => WateringKind::Sprinklers,
        CourtWatering::Subsurface => WateringKind::Subsurface,
        CourtWatering::Hand => WateringKind::ByHand,
    }
}

/// Which way a court is groomed on the day.
fn heading(inputs: &Inputs, court: i64) -> Heading {
    let last = inputs.groomed.get(&court).map(|(date, direction)| {
        let heading = match direction {
            Direction::Along => Heading::Along,
            Direction::Across => Heading::Across,
        };
        (*date, heading)
    });
    direction_today(last, inputs.date)
}

/// The site's rows of the steps that the trade asks for, and after them, in a full turnaround,
/// what the site does after each session beside them. A step the site does not have is left out.
fn rows<'a>(inputs: &'a Inputs, kind: TurnaroundKind, tasks: &[CareTask]) -> Vec<&'a CareTaskRow> {
    let in_turnaround = || {
        let all = inputs.tasks.iter();
        all.filter(|row| row.done_at == DoneAt::Turnaround)
    };
    let mut rows: Vec<&CareTaskRow> = tasks
        .iter()
        .filter_map(|task| in_turnaround().find(|row| row.code == task.as_str()))
        .collect();
    if kind == TurnaroundKind::Full {
        rows.extend(in_turnaround().filter(|row| {
            row.code.parse::<CareTask>().is_err()
                && row.cadence.parse() == Ok(Cadence::AfterEachSession)
        }));
    }
    rows
}

/// How a court is groomed.
pub struct Grooming<'a> {
    court: &'a CourtRow,
    class: &'a ToolClassRow,
    heading: Heading,
}

impl Grooming<'_> {
    /// How long it takes one person; none where the court's or the tool's measures do not tell.
    fn seconds(&self) -> Option<i64> {
        let (length, width) = (self.court.length_mm, self.court.width_mm);
        let surface = CourtSurface::new(Millimetres(length), Millimetres(width)).ok()?;
        let tool = Millimetres(self.class.width_mm?);
        Some(grooming_time(&surface, tool, self.heading).ok()?.0)
    }
}

/// A way of doing these tasks one after the other, as the planner sees it and as an order.
pub fn way(
    inputs: &Inputs,
    rows: &[&CareTaskRow],
    grooming: Option<&Grooming<'_>>,
    kind: OrderKind,
    hands: usize,
    extra_cost: i64,
) -> (Way, JobWay) {
    let grooms = |row: &CareTaskRow| grooming.filter(|_| row.code == CareTask::Groom.as_str());
    let steps: Vec<JobStep> = rows
        .iter()
        .map(|row| {
            let measured = grooms(row).and_then(Grooming::seconds);
            JobStep {
                care_task_id: row.id,
                service_s: hours_of(&row.code, measured.unwrap_or(row.base_s), hands),
            }
        })
        .collect();
    let mut classes: BTreeSet<String> = rows
        .iter()
        .filter(|row| grooms(row).is_none())
        .filter_map(|row| tools::of_task(inputs, row.tool_action.as_deref()?))
        .map(|class| class.code.clone())
        .collect();
    classes.extend(grooming.map(|with| with.class.code.clone()));
    let skills: BTreeSet<String> = rows.iter().filter_map(|row| row.skill.clone()).collect();
    let sum = |more: usize| steps.iter().map(|step| step.service_s[more]).sum();
    let seen = Way {
        tools: classes.into_iter().collect(),
        skills: skills.into_iter().collect(),
        min_hands: rows
            .iter()
            .map(|row| row.min_hands)
            .max()
            .unwrap_or(1)
            .max(1),
        service_s: (0..hands.max(1)).map(sum).collect(),
        extra_cost,
        window: None,
        aim_end: None,
    };
    let order = JobWay {
        kind,
        direction: grooming.map(|with| match with.heading {
            Heading::Along => Direction::Along,
            Heading::Across => Direction::Across,
        }),
        groom_class: grooming.map(|with| with.class.code.clone()),
        steps,
    };
    (seen, order)
}

/// Seconds that 1, 2, … hands need for what takes one person `base_s`. More hands help as far as
/// the trade knows the task; with a task of the site's own they do not.
fn hours_of(code: &str, base_s: i64, hands: usize) -> Vec<i64> {
    let sharing = code
        .parse::<CareTask>()
        .map_or(Sharing::Alone, |task| facts(task).sharing);
    let base = base_s.clamp(0, 1_000_000);
    service_s(Seconds(base), sharing, hands).map_or_else(
        |_| vec![base; hands.max(1)],
        |all| all.into_iter().map(|seconds| seconds.0).collect(),
    )
}
