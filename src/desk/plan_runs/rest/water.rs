//! What becomes of the water of a day whose rest is planned anew, as far as it hangs on work that is begun.

use planner::plan::Reason;

use super::super::taking::Taking;
use super::soaks;
use super::trial::Trial;
use crate::desk::Result;
use crate::desk::day_build::{Stage, valves};
use crate::desk::place::Place;
use crate::store::day_plans::{NewUnfitted, NewWatering, WateringKind};
use crate::store::water::{Opened, RunRow, runs_withdraw};
use crate::store::{Scope, Tx};
use crate::words::say;

impl Trial {
    /// The soaks that cannot end in time any more, for the work before them runs over.
    pub fn lost_soaks(&self, day: &Taking<'_>) -> Vec<NewUnfitted> {
        let lost = self.moved.iter().filter(|one| one.from.is_none());
        let lost = lost.filter_map(|one| {
            let mut orders = self.basis.orders.iter();
            let order = orders.find(|order| order.id == one.order_id)?;
            let clock = &self.basis.built.inputs.clock;
            let due = clock.begins(order.due_at);
            Some(day.left(
                &format!("soak:{}", one.visit),
                Place::Court(order.court_id?),
                &say("day-midday-soak"),
                Reason::WaterCannotFinish.name(),
                (self.at.min(due), due),
                None,
            ))
        });
        lost.collect()
    }

    /// What of the water of the plan that was in force does not stay as it is: the soaks that move with their orders get
    /// their new times, and runs that somebody opens and closes are laid anew with their visits, but where they are over.
    pub fn water_gives_way(&self, tx: &mut Tx<'_>, scope: &Scope, plan: i64) -> Result<()> {
        let built = &self.basis.built;
        soaks::write(tx, scope, &built.inputs.clock, &self.moved)?;
        let is_over = |valve: i64, kind| {
            let mut runs = built.hand_runs.runs.iter();
            runs.any(|run| {
                (run.valve.id, run.kind, run.stage) == (Some(valve), kind, Stage::Closed)
            })
        };
        for valve in valves(&built.inputs) {
            let by_hand = valve.id.filter(|_| valve.opened == Opened::ByHand);
            for kind in [WateringKind::Soak, WateringKind::NightCycle] {
                if let Some(id) = by_hand.filter(|id| !is_over(*id, kind)) {
                    runs_withdraw(tx, scope, plan, id, kind)?;
                }
            }
        }
        Ok(())
    }

    /// Whether a run began before now, was opened by hand and is still to be closed: it stands in the new plan as far as
    /// nobody has said what came of it.
    pub fn runs_by_hand_still(&self, run: &NewWatering, known: &[RunRow]) -> bool {
        let mut runs = self.basis.built.hand_runs.runs.iter();
        let is_open = runs.any(|one| {
            (one.valve.id, one.kind) == (run.valve_id, run.kind)
                && matches!(one.stage, Stage::Opened { .. })
        });
        let of_run = |row: &RunRow| {
            (row.valve_id, row.kind, row.court_id) == (run.valve_id, run.kind, run.court_id)
        };
        is_open && !known.iter().any(of_run)
    }
}
