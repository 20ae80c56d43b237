//! The soaks of orders under way that run over: each comes after the work's new end, or not at all.

use std::collections::HashMap;

use planner::problem::{Visit, Watering};
use trade::units::{MlPerSecond, Seconds};
use trade::watering::{Line, NightValve, Taken, again_before_play};

use super::basis::Basis;
use super::whole::began_and_ends;
use crate::desk::Result;
use crate::desk::day_build::DayClock;
use crate::store::orders::{OrderRow, OrderState};
use crate::store::water::{soak_move, soak_withdraw};
use crate::store::{Scope, Tx};

/// A soak that moves with its order.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Moved {
    /// The visit.
    pub visit: String,
    /// Its order.
    pub order_id: i64,
    /// From when it runs now; none where it cannot end before the court has to drain.
    pub from: Option<i64>,
    /// How long, s.
    pub run_s: i64,
}

/// The soaks that cannot start when they were to, for the work before them is still under way then.
pub fn moved(basis: &Basis, begun: &HashMap<&str, &OrderRow>, at: i64) -> Vec<Moved> {
    let mut held = Held::of(basis, begun);
    let mut orders: Vec<&OrderRow> = begun.values().copied().collect();
    orders.sort_by_key(|order| (order.planned_start, order.id));
    let mut all = Vec::new();
    for order in orders {
        let key = order.visit_key.as_str();
        let Some((water, planned)) = basis.soak_of(key) else {
            continue;
        };
        let [_, ends] = began_and_ends(basis, order, at);
        if order.state != OrderState::UnderWay || ends <= planned {
            continue;
        }
        held.runs.remove(key);
        let now = basis.built.problem.visits.iter().find(|v| v.id == key);
        let ready_by = now.and_then(|visit| Some(visit.water.as_ref()?.ready_by));
        let from = held.room(basis, water, ends, ready_by.unwrap_or(water.ready_by));
        if let Some(from) = from {
            held.runs.insert(key, (water, from));
        }
        all.push(Moved {
            visit: key.to_owned(),
            order_id: order.id,
            from,
            run_s: water.run_s,
        });
    }
    all
}

/// What the soaks of work that is begun take of the lines, by visit.
struct Held<'a> {
    runs: HashMap<&'a str, (&'a Watering, i64)>,
}

impl<'a> Held<'a> {
    fn of(basis: &'a Basis, begun: &HashMap<&'a str, &OrderRow>) -> Self {
        let runs = begun.keys().filter_map(|key| {
            let (water, from) = basis.soak_of(key)?;
            Some((*key, (water, from)))
        });
        Self {
            runs: runs.collect(),
        }
    }

    /// The first time from `ends` on at which the line has room for a soak that is over by `ready_by`.
    fn room(&self, basis: &Basis, water: &Watering, ends: i64, ready_by: i64) -> Option<i64> {
        let lines = &basis.built.problem.water;
        let line = lines.iter().find(|line| line.group == water.group)?;
        let taken = |from: i64, to: i64, flow: i64| Taken {
            from: Seconds(from),
            to: Seconds(to),
            flow: MlPerSecond(flow),
        };
        let others = self.runs.values();
        let others = others.filter(|(other, _)| other.group == water.group);
        let others = others.map(|(other, from)| taken(*from, from + other.run_s, other.flow_mlps));
        let given = line.taken.iter().flatten();
        let given = given.map(|one| taken(one.from, one.to, one.flow_mlps));
        let line = Line {
            capacity: MlPerSecond(line.capacity_mlps),
            taken: given.chain(others).collect(),
            ..Line::default()
        };
        let valve = NightValve {
            valve: 0,
            flow: MlPerSecond(water.flow_mlps),
            cycles: 1,
            run: Seconds(water.run_s),
            pause: Seconds::ZERO,
            not_before: Seconds(ends),
            ready_before: Seconds(ready_by),
            busy: Vec::new(),
        };
        let cycle = again_before_play(&valve, &line).ok().flatten()?;
        Some(cycle.from.0)
    }
}

impl Basis {
    /// The soak that follows a visit of the plan in force, and when it was to start.
    fn soak_of(&self, visit: &str) -> Option<(&Watering, i64)> {
        let is_it = |known: &&Visit| known.id == visit;
        let water = self.problem.visits.iter().find(is_it)?.water.as_ref()?;
        let planned = self.plan.watering.iter().find(|run| run.visit == visit)?;
        Some((water, planned.start_s))
    }
}

/// Writes the new times down; what does not fit any more is withdrawn.
pub fn write(tx: &mut Tx<'_>, scope: &Scope, clock: &DayClock, moved: &[Moved]) -> Result<()> {
    for one in moved {
        match one.from {
            Some(from) => {
                let (from, to) = (clock.instant(from), clock.instant(from + one.run_s));
                soak_move(tx, scope, one.order_id, from, to)?;
            }
            None => soak_withdraw(tx, scope, one.order_id)?,
        }
    }
    Ok(())
}
