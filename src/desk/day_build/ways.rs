//! A piece of work with its time, tools and skills: as a way the planner sees, and as the order it
//! becomes.

use std::collections::BTreeSet;

use planner::problem::Way;
use trade::care::{CareTask, Sharing, facts, leaves_off_s, service_s};
use trade::court::{CourtSurface, Lines};
use trade::grooming::{Direction as Heading, Drag, grooming_time, line_time};
use trade::labour::Record;
use trade::units::{Millimetres, Seconds};

use super::inputs::Inputs;
use super::jobs::{JobStep, JobWay};
use super::leaves;
use super::tools;
use crate::store::care::CareTaskRow;
use crate::store::courts::CourtRow;
use crate::store::orders::{Direction, OrderKind};
use crate::store::times::work_name;
use crate::store::tools::ToolClassRow;

/// The longest a task may take one person, s.
const LONGEST_S: i64 = 1_000_000;

/// Tasks done one after the other in one visit.
pub struct Tasks<'a> {
    /// What the order is for.
    pub kind: OrderKind,
    /// The court, where it is work on one.
    pub court: Option<&'a CourtRow>,
    /// What is done, in order.
    pub rows: &'a [&'a CareTaskRow],
    /// How the court is groomed, where it is.
    pub grooming: Option<Grooming<'a>>,
    /// What doing it so is taken to cost beside the time, cents.
    pub extra_cost: i64,
}

/// How a court is groomed.
#[derive(Clone, Copy)]
pub struct Grooming<'a> {
    /// With a tool of this class.
    pub class: &'a ToolClassRow,
    /// In this direction.
    pub heading: Heading,
}

impl Tasks<'_> {
    /// The work as the planner sees it and as an order, for crews of up to `hands` people: where leaves come off first
    /// with the blower, and, since there are not as many of them as crews, without it.
    pub fn ways(&self, inputs: &Inputs, hands: usize) -> Vec<(Way, JobWay)> {
        let mut leaves = self.rows.iter().filter(|row| leaves::is_it(row));
        let has_blower = leaves.any(|row| leaves::has_blower(inputs, row));
        let by_hand = self.way(inputs, hands, false);
        if has_blower {
            vec![self.way(inputs, hands, true), by_hand]
        } else {
            vec![by_hand]
        }
    }

    /// The same in one way: with the blower, or without one.
    pub fn way(&self, inputs: &Inputs, hands: usize, blower: bool) -> (Way, JobWay) {
        let record = self.record(inputs);
        let steps: Vec<JobStep> = self
            .rows
            .iter()
            .map(|row| self.step(row, record, hands, blower))
            .collect();
        let skills: BTreeSet<String> = self.rows.iter().filter_map(|r| r.skill.clone()).collect();
        let sum = |more: usize| steps.iter().map(|step| step.service_s[more]).sum();
        let min_hands = self.rows.iter().map(|row| row.min_hands).max();
        let seen = Way {
            tools: self.classes(inputs, blower).into_iter().collect(),
            skills: skills.into_iter().collect(),
            min_hands: min_hands.unwrap_or(1).max(1),
            service_s: (0..hands.max(1)).map(sum).collect(),
            extra_cost: self.extra_cost,
            window: None,
            aim_end: None,
        };
        let order = JobWay {
            kind: self.kind,
            direction: self.grooming.map(|with| match with.heading {
                Heading::Along => Direction::Along,
                Heading::Across => Direction::Across,
            }),
            groom_class: self.grooming.map(|with| with.class.code.clone()),
            steps,
        };
        (seen, order)
    }

    /// What crews really took for this work on this court.
    fn record(&self, inputs: &Inputs) -> Record {
        let class = self.grooming.map(|with| with.class.code.as_str());
        let codes = self.rows.iter().map(|row| row.code.as_str());
        self.court.map_or_else(Record::default, |court| {
            inputs.record(court.id, &work_name(self.kind, class, codes))
        })
    }

    fn step(&self, row: &CareTaskRow, record: Record, hands: usize, blower: bool) -> JobStep {
        let alone = if leaves::is_it(row) {
            let off = leaves_off_s(Seconds(row.base_s), blower || row.tool_action.is_none());
            off.map_or(row.base_s, |off| off.0)
        } else {
            self.measured(row).unwrap_or(row.base_s)
        };
        let waits = row.detail.0.wait_s.clamp(0, LONGEST_S);
        let standard_s: Vec<i64> = for_hands(&row.code, alone, hands)
            .into_iter()
            .map(|seconds| seconds + waits)
            .collect();
        let expected = |s: &i64| record.expected(Seconds(*s)).0;
        JobStep {
            care_task_id: row.id,
            service_s: standard_s.iter().map(expected).collect(),
            standard_s,
        }
    }

    /// How long one person takes by the court's and the tool's measures, s; none where the site's
    /// standard says it.
    fn measured(&self, row: &CareTaskRow) -> Option<i64> {
        let court = self.court?;
        match row.code.parse::<CareTask>().ok()? {
            CareTask::Groom => {
                let with = self.grooming?;
                let (length, width) = (court.length_mm, court.width_mm);
                let surface = CourtSurface::new(Millimetres(length), Millimetres(width)).ok()?;
                let drag = Drag::new(Millimetres(with.class.width_mm?), with.class.pulled.0);
                Some(grooming_time(&surface, &drag, with.heading).ok()?.0)
            }
            CareTask::ClearLines => Some(line_time(Lines::Doubles).0),
            _ => None,
        }
    }

    /// The codes of the classes of tool it takes together.
    fn classes(&self, inputs: &Inputs, blower: bool) -> BTreeSet<String> {
        let grooms =
            |row: &CareTaskRow| self.grooming.is_some() && row.code == CareTask::Groom.as_str();
        let beside = self.rows.iter().filter(|row| !grooms(row));
        let beside = beside.filter(|row| blower || !leaves::is_it(row));
        beside
            .filter_map(|row| tools::of_task(inputs, row.tool_action.as_deref()?))
            .chain(self.grooming.map(|with| with.class))
            .map(|class| class.code.clone())
            .collect()
    }
}

/// Seconds that 1, 2, … hands need for what takes one person `alone`. More hands help as far as the
/// trade knows the task; with a task of the site's own they do not.
pub fn for_hands(code: &str, alone: i64, hands: usize) -> Vec<i64> {
    let sharing = code
        .parse::<CareTask>()
        .map_or(Sharing::Alone, |task| facts(task).sharing);
    let alone = alone.clamp(0, LONGEST_S);
    service_s(Seconds(alone), sharing, hands).map_or_else(
        |_| vec![alone; hands.max(1)],
        |all| all.into_iter().map(|seconds| seconds.0).collect(),
    )
}
