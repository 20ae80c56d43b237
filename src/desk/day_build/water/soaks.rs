//! The midday soaks that the planner lays with the turnarounds, and how long courts drain.

use std::collections::{HashMap, HashSet};

use planner::problem::Span;
use trade::care::Urgency;

use super::{Allowances, DayValve, soak_run_s, valves};
use crate::desk::day_build::Inputs;
use crate::desk::day_build::jobs::{LeftOut, Pressing};
use crate::desk::place::Place;
use crate::store::courts::{CourtRow, Watering};
use crate::store::water::Opened;
use crate::words::say;

/// The reason of water that a day's allowance does not hold.
pub const OVER_ALLOWANCE: &str = "over_allowance";

/// A court's midday soak by its own sprinklers.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct CourtSoak {
    /// The bank whose line feeds it.
    pub bank_id: i64,
    /// What it takes, ml/s.
    pub flow_mlps: i64,
    /// How long, s.
    pub run_s: i64,
    /// How long the court drains after it, s.
    pub drain_s: i64,
}

/// Which courts get a midday soak with their turnaround.
#[derive(Clone, Debug, Default)]
pub struct Soaks {
    by_court: HashMap<i64, CourtSoak>,
    /// Courts whose soak the day's allowance does not hold.
    beyond: HashSet<i64>,
    /// What they leave of the day's allowances.
    left: Allowances,
}

impl Soaks {
    /// Those of the courts in `wanting`, in the courts' order, as far as the day's allowance reaches at `around`, a
    /// second of the day. A court that shares its valve is soaked with the others after the plan is made.
    pub fn of(inputs: &Inputs, wanting: &HashSet<i64>, around: i64) -> Self {
        let all = valves(inputs);
        let mut soaks = Self {
            left: Allowances::of(inputs),
            ..Self::default()
        };
        for court in inputs.courts.iter().filter(|c| wanting.contains(&c.id)) {
            let Some(soak) = of_court(inputs, court, &all) else {
                continue;
            };
            let volume = soak.flow_mlps.saturating_mul(soak.run_s);
            if soaks.left.hold(soak.bank_id, around, volume) {
                soaks.left.take(soak.bank_id, around, volume);
                soaks.by_court.insert(court.id, soak);
            } else {
                soaks.beyond.insert(court.id);
            }
        }
        soaks
    }

    /// What they leave of the day's allowances.
    pub fn take_left(&mut self) -> Allowances {
        std::mem::take(&mut self.left)
    }

    /// The soaks that the day's allowance does not hold, as the manager is told.
    pub fn left_out(&self, inputs: &Inputs, within: Span) -> impl Iterator<Item = LeftOut> {
        let beyond = inputs.courts.iter();
        let beyond = beyond.filter(|court| self.beyond.contains(&court.id));
        beyond.map(move |court| LeftOut {
            key: format!("soak:{}", court.id),
            at: Place::Court(court.id),
            title: say("day-midday-soak"),
            reason: OVER_ALLOWANCE,
            opens: within[0],
            closes: within[1],
            until: None,
            pressing: Pressing::new(Urgency::Today),
        })
    }

    /// A court's soak.
    pub fn court(&self, id: i64) -> Option<CourtSoak> {
        self.by_court.get(&id).copied()
    }
}

/// A court's soak by the valves that wet nothing else; all of them run at once.
fn of_court(inputs: &Inputs, court: &CourtRow, all: &[DayValve]) -> Option<CourtSoak> {
    if court.watering != Watering::Sprinkler || court.soak_s <= 0 {
        return None;
    }
    let own: Vec<&DayValve> = all
        .iter()
        .filter(|valve| valve.courts == [court.id] && valve.opened == Opened::Controller)
        .collect();
    let run_s = soak_run_s(inputs, court);
    let flow_mlps = own.iter().map(|valve| valve.flow_mlps).sum();
    (flow_mlps > 0 && run_s > 0).then_some(CourtSoak {
        bank_id: own.first()?.bank_id,
        flow_mlps,
        run_s,
        drain_s: drain_after_soak_s(inputs, court.id),
    })
}

/// How long a court drains after its midday soak before it is played on, s.
pub fn drain_after_soak_s(inputs: &Inputs, court: i64) -> i64 {
    own(inputs, court).unwrap_or(inputs.standards.drain_after_soak_s)
}

/// How long a court drains after its last night cycle before it is played on, s.
pub fn drain_after_night_s(inputs: &Inputs, court: i64) -> i64 {
    own(inputs, court).unwrap_or(inputs.standards.dry_before_play_s)
}

fn own(inputs: &Inputs, court: i64) -> Option<i64> {
    inputs.water.courts.get(&court)?.drain_s
}
