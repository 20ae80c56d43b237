//! A trial taken: the day has a new plan, and whoever knows the old one keeps what can be kept.

use std::collections::{HashMap, HashSet};

use planner::plan::{Plan, Round, Stop};

use super::super::asker;
use super::super::by_hand;
use super::super::numbers::{Taken, numbers_held, uses};
use super::super::taking::{Taking, steps_of};
use super::asked::ReplanAsk;
use super::told::{TIME_OVER, cents, is_open};
use super::trial::Trial;
use super::whole::is_begun;
use super::{super::search::found, facts};
use crate::desk::access::{Permit, PlanDay};
use crate::desk::day_build::{OnShift, crew_id_of, night_waterings};
use crate::desk::{Error, Result};
use crate::store::audit::{Deed, audit_append};
use crate::store::day_plans::runs::{NewRun, run_add, run_ready, run_take};
use crate::store::day_plans::{
    NewPlan, NewRound, PlanState, order_parts_add, plan_add, round_add, unfitted_add, waterings_add,
};
use crate::store::day_replans::{
    Carried, NewReplan, order_carry, order_state_set, order_steps_retime, order_tools_swap,
    plan_give_way, plan_is_issued, replan_add, waterings_carry,
};
use crate::store::orders::{
    NewOrderEvent, OrderEvent, OrderRow, OrderState, StepRow, order_event_add, orders_by_hand,
};
use crate::store::rests::{rest_move, rest_of};
use crate::store::water::{needs_add, runs_of_plan};
use crate::store::{Scope, Tx, columns};

/// A place in a crew's new round.
enum Place<'a> {
    /// An order that is done, under way or was given back: it stays as it is.
    Stays(&'a OrderRow),
    /// A visit that is still to be made.
    ToDo(&'a Round, &'a Stop),
}

impl Trial {
    /// Writes what was told and the new plan down. [`Error::Stale`] where another plan is in force by now,
    /// [`Error::State`] where an order has moved on.
    pub fn take(
        &mut self,
        tx: &mut Tx<'_>,
        permit: &Permit<PlanDay>,
        ask: &ReplanAsk,
        user_id: i64,
    ) -> Result<()> {
        let date = self.basis.built.inputs.date;
        self.basis.holds(tx.conn(), permit)?;
        facts::write(tx, permit, date, ask, self.basis.now, user_id)?;
        let run_id = self.add_run(tx, permit, user_id)?;
        let old = self.basis.in_force.clone();
        let begun = self.basis.orders.iter().filter(|order| is_begun(order));
        let by_hand_too = orders_by_hand(tx.conn(), permit, old.id)?;
        let begun: Vec<i64> = begun.chain(&by_hand_too).map(|order| order.id).collect();
        plan_give_way(tx, permit, old.id, old.version, &begun).map_err(|why| match why {
            crate::store::Error::Stale => Error::state(
                "somebody else changed the plan of this day just now: look at the change again"
                    .into(),
            ),
            other => other.into(),
        })?;
        let cost_cents = old.cost_cents + cents(self.after.total) - cents(self.before.total);
        let bound = old.cost_cents - cents(self.before.total) + self.bound.div_euclid(100);
        let plan_id = plan_add(
            tx,
            permit,
            &NewPlan {
                work_date: date,
                plan_run_id: run_id,
                cost_cents: cost_cents.max(0),
                lower_bound_cents: bound.clamp(0, cost_cents.max(0)),
            },
        )?;
        if old.state == PlanState::Issued {
            plan_is_issued(tx, permit, plan_id, old.issued_at)?;
        }
        self.water_gives_way(tx, permit, old.id)?;
        waterings_carry(tx, permit, old.id, plan_id)?;
        run_take(tx, permit, run_id)?;
        let told = self.told(true);
        self.add_orders(tx, permit, plan_id)?;
        by_hand::carry(tx, permit, old.id, plan_id)?;
        let because = ask.because.trim();
        replan_add(
            tx,
            permit,
            &NewReplan {
                work_date: date,
                day_plan_id: plan_id,
                because,
                cost_before_cents: told.cost_before_cents,
                cost_cents: told.cost_cents,
                moves: serde_json::to_value(&told.moves)
                    .map_err(|e| crate::store::Error::Unreadable(e.to_string()))?,
                user_id,
            },
        )?;
        audit_append(
            tx,
            permit,
            &Deed {
                verb: "replanned",
                subject: "day_plan",
                id: plan_id,
                data: serde_json::json!({
                    "date": date,
                    "plan_run": run_id,
                    "replaces": old.id,
                    "moves": told.moves.len(),
                }),
            },
        )?;
        Ok(())
    }

    fn add_run(&self, tx: &mut Tx<'_>, permit: &Permit<PlanDay>, user_id: i64) -> Result<i64> {
        let built = &self.basis.built;
        let problem = columns::json(&built.problem)?;
        let run = run_add(
            tx,
            permit,
            &NewRun {
                work_date: built.inputs.date,
                seed: i64::try_from(self.plan.seed).unwrap_or(0),
                limit_s: 0,
                inputs_digest: &built.digest,
                problem: &problem,
                requested_by: Some(user_id),
            },
        )?;
        let found = found(&self.plan).map_err(|why| Error::state(why.to_string()))?;
        let now = tx.now();
        run_ready(tx.conn(), permit, run.id, &found.as_stored(None), now)?;
        Ok(run.id)
    }

    /// The rounds and orders of the new plan, its water, and what it leaves out.
    fn add_orders(
        &mut self,
        tx: &mut Tx<'_>,
        permit: &Permit<PlanDay>,
        plan_id: i64,
    ) -> Result<()> {
        let begun: HashSet<String> = self
            .basis
            .orders
            .iter()
            .filter(|order| is_begun(order))
            .map(|order| order.visit_key.clone())
            .collect();
        self.basis
            .built
            .left_out
            .retain(|left| !begun.contains(&left.key));
        let rest = self.rest_of_plan();
        let uses = uses(tx.conn(), permit, &self.basis.built)?;
        let numbers = numbers_held(&self.basis.built, &rest, uses, &self.held());
        let built = &self.basis.built;
        let day = Taking {
            built,
            plan: &rest,
            numbers,
            visits: built
                .problem
                .visits
                .iter()
                .map(|visit| (visit.id.as_str(), visit))
                .collect(),
            day_plan_id: plan_id,
        };
        let orders = self.rounds(tx, permit, &day)?;
        let mut waterings = day.soaks(&orders);
        let mut unfitted = day.unfitted();
        for left in &mut unfitted {
            if self.time_is_over(&left.visit_key) {
                TIME_OVER.clone_into(&mut left.reason);
            }
        }
        unfitted.extend(self.lost_soaks(&day));
        let laid = night_waterings(built, &self.plan);
        let mut night = Vec::new();
        day.night(&laid, &mut night, &mut unfitted);
        let known = runs_of_plan(tx.conn(), permit, plan_id)?;
        night.retain(|run| run.starts_at >= self.basis.now || self.runs_by_hand_still(run, &known));
        waterings.extend(night);
        waterings_add(tx, permit, &waterings)?;
        let needs = day.needs(&laid)?;
        if !needs.is_empty() {
            needs_add(tx, permit, &needs)?;
        }
        unfitted_add(tx, permit, &unfitted)?;
        Ok(())
    }

    /// The plan, less what is begun.
    fn rest_of_plan(&self) -> Plan {
        let to_do: HashSet<&str> = self.to_do().map(|(_, stop)| stop.visit.as_str()).collect();
        let is_to_do = |visit: &str| to_do.contains(visit);
        let mut rest = self.plan.clone();
        for round in &mut rest.rounds {
            round.stops.retain(|stop| is_to_do(&stop.visit));
        }
        rest.rounds.retain(|round| !round.stops.is_empty());
        rest.watering.retain(|run| is_to_do(&run.visit));
        rest
    }

    /// The numbered tools that crews hold by their orders.
    fn held(&self) -> Taken {
        let mut held = Taken::new();
        for tool in &self.basis.tools {
            let order = self.basis.orders.iter().find(|o| o.id == tool.order_id);
            if let Some(order) = order {
                let key = (
                    crate::desk::day_build::crew_key(order.crew_id),
                    tool.class.clone(),
                );
                held.entry(key).or_insert(tool.tool_id);
            }
        }
        held
    }

    /// Adds the rounds and what stands in them; gives the order of each visit that is still to be made.
    fn rounds(
        &self,
        tx: &mut Tx<'_>,
        permit: &Permit<PlanDay>,
        day: &Taking<'_>,
    ) -> Result<HashMap<String, i64>> {
        let mut of_visit = HashMap::new();
        let mut kept = HashSet::new();
        for crew_id in self.crews() {
            let Some(round_id) = self.add_round(tx, permit, day, crew_id)? else {
                continue;
            };
            for (position, place) in (1..).zip(self.places(crew_id)) {
                match place {
                    Place::Stays(order) => {
                        let carried = Carried {
                            order_id: order.id,
                            day_plan_id: day.day_plan_id,
                            round_id,
                            position,
                            times: None,
                        };
                        order_carry(tx, permit, &carried)?;
                    }
                    Place::ToDo(round, stop) => {
                        let order = self
                            .open_order(&stop.visit)
                            .filter(|order| order.crew_id == crew_id)
                            .filter(|order| self.keeps_way(order, stop));
                        let id = match order {
                            Some(order) => {
                                kept.insert(order.id);
                                self.keep(
                                    tx,
                                    permit,
                                    day,
                                    order,
                                    (round_id, position),
                                    (round, stop),
                                )?;
                                order.id
                            }
                            None => {
                                self.add(tx, permit, day, (round_id, position), (round, stop))?
                            }
                        };
                        of_visit.insert(stop.visit.clone(), id);
                    }
                }
            }
        }
        for order in &self.basis.orders {
            if is_open(order) && !kept.contains(&order.id) {
                order_state_set(tx, permit, order.id, OrderState::Withdrawn)?;
                event(tx, permit, order.id, OrderEvent::Withdrawn, "{}".into())?;
            }
        }
        Ok(of_visit)
    }

    /// The crews that have something in the new plan, or had something done in the old one.
    fn crews(&self) -> Vec<i64> {
        let planned = self.plan.rounds.iter();
        let planned = planned.filter_map(|round| crew_id_of(&round.crew));
        let carried = self.basis.orders.iter().filter(|order| !is_open(order));
        let mut crews: Vec<i64> = planned.chain(carried.map(|order| order.crew_id)).collect();
        crews.sort_unstable();
        crews.dedup();
        crews
    }

    fn on_shift(&self, crew_id: i64) -> Option<&OnShift> {
        let mut crews = self.basis.built.crews.iter();
        crews.find(|on| on.crew_id == crew_id)
    }

    /// A crew's round in the new plan; none where it has no shift any more that it could stand for.
    fn add_round(
        &self,
        tx: &mut Tx<'_>,
        scope: &Scope,
        day: &Taking<'_>,
        crew_id: i64,
    ) -> Result<Option<i64>> {
        let clock = &self.basis.built.inputs.clock;
        let before = self.basis.rounds.iter().find(|r| r.crew_id == crew_id);
        let shift_id = self
            .on_shift(crew_id)
            .map(|on| on.shift_id)
            .or(before.map(|round| round.shift_id));
        let Some(shift_id) = shift_id else {
            return Ok(None);
        };
        let key = crate::desk::day_build::crew_key(crew_id);
        let planned = self.plan.rounds.iter().find(|round| round.crew == key);
        let told = before.and_then(|round| round.beginning.as_ref());
        let beginning = match self.on_shift(crew_id) {
            Some(on) => on.beginning.clone(),
            None => told.map(|told| told.0.clone()),
        };
        let new = match (planned, before) {
            (Some(round), _) => NewRound {
                day_plan_id: day.day_plan_id,
                crew_id,
                shift_id,
                leaves_at: clock.instant(round.leave_s),
                returns_at: clock.instant(round.return_s),
                kit: round.kit.clone(),
                beginning,
            },
            (None, Some(round)) => NewRound {
                day_plan_id: day.day_plan_id,
                crew_id,
                shift_id,
                leaves_at: round.leaves_at,
                returns_at: round.returns_at,
                kit: round.kit.0.clone(),
                beginning,
            },
            (None, None) => return Ok(None),
        };
        Ok(Some(round_add(tx, scope, &new)?))
    }

    /// What stands in a crew's new round, in order of time.
    fn places(&self, crew_id: i64) -> Vec<Place<'_>> {
        let clock = &self.basis.built.inputs.clock;
        let key = crate::desk::day_build::crew_key(crew_id);
        let stays = self.basis.orders.iter();
        let stays = stays.filter(|order| !is_open(order) && order.crew_id == crew_id);
        let mut all: Vec<(i64, i64, Place<'_>)> = stays
            .map(|order| {
                let at = order.started_at.unwrap_or(order.planned_start);
                // What is done stands before what is to be done.
                let at = clock.begins(at).min(self.at);
                (at, order.position, Place::Stays(order))
            })
            .collect();
        let to_do = self.to_do().filter(|(round, _)| round.crew == key);
        all.extend(to_do.map(|(round, stop)| (stop.start_s, i64::MAX, Place::ToDo(round, stop))));
        all.sort_by_key(|(at, position, _)| (*at, *position));
        all.into_iter().map(|(.., place)| place).collect()
    }

    /// An order that stays with its crew, at its new time and with tools that are there.
    fn keep(
        &self,
        tx: &mut Tx<'_>,
        permit: &Permit<PlanDay>,
        day: &Taking<'_>,
        order: &OrderRow,
        (round_id, position): (i64, i64),
        (round, stop): (&Round, &Stop),
    ) -> Result<()> {
        let clock = &self.basis.built.inputs.clock;
        let (start, end) = (clock.instant(stop.start_s), clock.instant(stop.end_s));
        let due = clock.instant(day.due(stop)?);
        let moved = (order.planned_start, order.planned_end, order.due_at) != (start, end, due);
        let tools = day.tools(round, stop)?;
        let had: HashSet<i64> = self
            .basis
            .tools
            .iter()
            .filter(|tool| tool.order_id == order.id)
            .map(|tool| tool.tool_id)
            .collect();
        let other_tools = had != tools.iter().copied().collect();
        order_carry(
            tx,
            permit,
            &Carried {
                order_id: order.id,
                day_plan_id: day.day_plan_id,
                round_id,
                position,
                times: (moved || other_tools).then_some((start, end, due)),
            },
        )?;
        if let Some(on) = self.on_shift(order.crew_id) {
            let steps = steps_of(order.id, day.way(stop)?.0, on);
            let had = self.basis.steps.iter().filter(|s| s.order_id == order.id);
            if !had
                .map(|s| s.planned_s)
                .eq(steps.iter().map(|s| s.planned_s))
            {
                order_steps_retime(tx, permit, &steps)?;
            }
        }
        if other_tools {
            order_tools_swap(tx, permit, order.id, &tools)?;
        }
        if moved || other_tools {
            let data = serde_json::json!({
                "was": [order.planned_start, order.planned_end],
                "is": [start, end],
                "tools": tools,
            });
            let data = columns::json(&data)?;
            event(tx, permit, order.id, OrderEvent::Retimed, data)?;
        }
        let rest_s = rest_of(tx.conn(), permit, order.id)?;
        if rest_s > 0 {
            let until = clock.instant(stop.end_s.saturating_add(rest_s));
            rest_move(tx, permit, order.id, end, until)?;
        }
        Ok(())
    }

    /// A new order; with its crew at once where the day is issued.
    fn add(
        &self,
        tx: &mut Tx<'_>,
        permit: &Permit<PlanDay>,
        day: &Taking<'_>,
        (round_id, position): (i64, i64),
        (round, stop): (&Round, &Stop),
    ) -> Result<i64> {
        let on = crew_id_of(&round.crew).and_then(|id| self.on_shift(id));
        let on = on.ok_or_else(|| Error::state("a crew is not on shift any more".into()))?;
        let id = day.add_order(tx, permit, round_id, position, stop, on)?;
        let way = day.way(stop)?.0;
        let steps: Vec<StepRow> = steps_of(id, way, on);
        let tools: Vec<(i64, i64)> = day
            .tools(round, stop)?
            .into_iter()
            .map(|t| (id, t))
            .collect();
        order_parts_add(tx, permit, &steps, &tools)?;
        day.add_rest(tx, permit, id, stop)?;
        if self.basis.in_force.state == PlanState::Issued {
            order_state_set(tx, permit, id, OrderState::Issued)?;
            event(tx, permit, id, OrderEvent::Issued, "{}".into())?;
        }
        Ok(id)
    }
}

/// Appends what happened to an order.
fn event(
    tx: &mut Tx<'_>,
    scope: &Scope,
    order_id: i64,
    kind: OrderEvent,
    data: String,
) -> Result<()> {
    let now = tx.now();
    let event = NewOrderEvent {
        order_id,
        kind,
        happened_at: now,
        learned_at: now,
        user_id: asker(scope)?,
        data,
        client_key: None,
    };
    order_event_add(tx, scope, &event)?;
    Ok(())
}
