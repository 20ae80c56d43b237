//! From a plan to the day's rounds, orders and waterings.

use std::collections::HashMap;

use planner::plan::{Plan, Round, Stop};
use planner::problem::Visit;
use trade::units::UnitSystem;

use super::by_hand;
use super::numbers::{Taken, numbers, uses};
use crate::desk::access::{Permit, PlanDay};
use crate::desk::day_build::{
    Built, Entry, JobWay, NOBODY_THERE, Night, OnShift, lone_openings, night_waterings,
    short_reason,
};
use crate::desk::place::Place;
use crate::desk::{Error, Result};
use crate::store::audit::{Deed, audit_append};
use crate::store::day_plans::runs::{RunRow, run_take};
use crate::store::day_plans::{
    NewPlan, NewRound, NewUnfitted, NewWatering, PlanRow, WateringKind, order_parts_add, plan_add,
    plan_in_force, plan_orders_move, plan_replace, round_add, unfitted_add, waterings_add,
};
use crate::store::orders::{
    NewOrder, NewOrderEvent, OrderEvent, OrderState, StepRow, order_add, order_event_add,
};
use crate::store::rests::{NewRest, rest_add};
use crate::store::sites::Units;
use crate::store::water::{NewNeed, needs_add};
use crate::store::{self, Scope, Tx};
use crate::words::shown::Shown;
use crate::words::{say, say_with};

/// The plan of a run, read back.
pub fn plan_of(text: Option<&str>) -> Result<Plan> {
    let unreadable = |why: String| Error::Failed(store::Error::Unreadable(why));
    let text = text.ok_or_else(|| unreadable("a ready run has no plan".into()))?;
    serde_json::from_str(text).map_err(|e| unreadable(format!("a run's plan: {e}")))
}

/// Makes a run's plan the day's plan. The one in force before is replaced, its planned orders
/// withdrawn; what was made by hand beside it is carried over.
pub fn take(
    tx: &mut Tx<'_>,
    permit: &Permit<PlanDay>,
    run: &RunRow,
    built: &Built,
    plan: &Plan,
) -> Result<PlanRow> {
    let before = plan_in_force(tx.conn(), permit, run.work_date)?;
    if let Some(before) = &before {
        plan_replace(tx, permit, before.id)?;
        orders_move(tx, permit, before.id, OrderState::Withdrawn)?;
    }
    let day_plan_id = plan_add(
        tx,
        permit,
        &NewPlan {
            work_date: run.work_date,
            plan_run_id: run.id,
            cost_cents: run.cost_cents.unwrap_or(0),
            lower_bound_cents: run.lower_bound_cents.unwrap_or(0),
        },
    )?;
    let day = Taking {
        built,
        plan,
        numbers: numbers(built, plan, uses(tx.conn(), permit, built)?),
        visits: built
            .problem
            .visits
            .iter()
            .map(|visit| (visit.id.as_str(), visit))
            .collect(),
        day_plan_id,
    };
    let orders = day.add_orders(tx, permit)?;
    day.add_rests(tx, permit, &orders)?;
    if let Some(before) = &before {
        by_hand::carry(tx, permit, before.id, day_plan_id)?;
    }
    let mut waterings = day.soaks(&orders);
    let mut unfitted = day.unfitted();
    let laid = night_waterings(built, plan);
    day.night(&laid, &mut waterings, &mut unfitted);
    waterings_add(tx, permit, &waterings)?;
    needs_add(tx, permit, &day.needs(&laid)?)?;
    unfitted_add(tx, permit, &unfitted)?;
    run_take(tx, permit, run.id)?;
    audit_append(
        tx,
        permit,
        &Deed {
            verb: "taken",
            subject: "day_plan",
            id: day_plan_id,
            data: serde_json::json!({
                "date": run.work_date,
                "plan_run": run.id,
                "replaces": before.map(|plan| plan.id),
                "orders": orders.len(),
                "unfitted": unfitted.len(),
            }),
        },
    )?;
    plan_in_force(tx.conn(), permit, run.work_date)?
        .ok_or_else(|| Error::Failed(store::Error::NotFound))
}

/// Moves a plan's planned orders on, each with its event; gives how many.
pub fn orders_move(
    tx: &mut Tx<'_>,
    scope: &Scope,
    day_plan_id: i64,
    to: OrderState,
) -> Result<usize> {
    let kind = match to {
        OrderState::Issued => OrderEvent::Issued,
        _ => OrderEvent::Withdrawn,
    };
    let user_id = super::asker(scope)?;
    let now = tx.now();
    let orders = plan_orders_move(tx, scope, day_plan_id, to)?;
    for order_id in &orders {
        let event = NewOrderEvent {
            order_id: *order_id,
            kind,
            happened_at: now,
            learned_at: now,
            user_id,
            data: "{}".into(),
            client_key: None,
        };
        order_event_add(tx, scope, &event)?;
    }
    Ok(orders.len())
}

/// A plan on its way into the tables.
pub(super) struct Taking<'a> {
    pub built: &'a Built,
    pub plan: &'a Plan,
    pub numbers: Taken,
    pub visits: HashMap<&'a str, &'a Visit>,
    pub day_plan_id: i64,
}

impl Taking<'_> {
    /// Adds rounds and orders with their steps and tools; gives the order of each visit.
    fn add_orders(&self, tx: &mut Tx<'_>, scope: &Scope) -> Result<HashMap<String, i64>> {
        let (mut steps, mut tools) = (Vec::new(), Vec::new());
        let mut orders = HashMap::new();
        let lone = lone_openings(self.built, self.plan);
        for round in &self.plan.rounds {
            let crews = &self.built.crews;
            let on = crews.iter().find(|on| on.crew.id == round.crew);
            let on = on.ok_or_else(|| not_of_the_day(&round.crew))?;
            let round_id = self.add_round(tx, scope, round, on)?;
            let stops = round
                .stops
                .iter()
                .filter(|stop| !lone.contains(&stop.visit));
            for (position, stop) in (1..).zip(stops) {
                let order_id = self.add_order(tx, scope, round_id, position, stop, on)?;
                orders.insert(stop.visit.clone(), order_id);
                steps.extend(steps_of(order_id, self.way(stop)?.0, on));
                let of_order = self.tools(round, stop)?;
                tools.extend(of_order.into_iter().map(|tool| (order_id, tool)));
            }
        }
        order_parts_add(tx, scope, &steps, &tools)?;
        Ok(orders)
    }

    /// The numbered tools of a stop.
    pub fn tools(&self, round: &Round, stop: &Stop) -> Result<Vec<i64>> {
        let classes = self.way(stop)?.1.iter();
        classes
            .map(|class| {
                let key = (round.crew.clone(), class.clone());
                let tool = self.numbers.get(&key).copied();
                tool.ok_or_else(|| not_of_the_day(class))
            })
            .collect()
    }

    /// By when a stop must be done.
    pub fn due(&self, stop: &Stop) -> Result<i64> {
        let way = self.entry(&stop.visit)?.ways.get(stop.way);
        way.map(|(_, due)| *due)
            .ok_or_else(|| not_of_the_day(&stop.visit))
    }

    fn add_round(
        &self,
        tx: &mut Tx<'_>,
        scope: &Scope,
        round: &Round,
        on: &OnShift,
    ) -> Result<i64> {
        let clock = &self.built.inputs.clock;
        let new = NewRound {
            day_plan_id: self.day_plan_id,
            crew_id: on.crew_id,
            shift_id: on.shift_id,
            leaves_at: clock.instant(round.leave_s),
            returns_at: clock.instant(round.return_s),
            kit: round.kit.clone(),
            beginning: on.beginning.clone(),
        };
        Ok(round_add(tx, scope, &new)?)
    }

    pub fn add_order(
        &self,
        tx: &mut Tx<'_>,
        scope: &Scope,
        round_id: i64,
        position: i64,
        stop: &Stop,
        on: &OnShift,
    ) -> Result<i64> {
        let clock = &self.built.inputs.clock;
        let entry = self.entry(&stop.visit)?;
        let (way, due) = entry
            .ways
            .get(stop.way)
            .ok_or_else(|| not_of_the_day(&stop.visit))?;
        let new = NewOrder {
            day_plan_id: self.day_plan_id,
            round_id,
            crew_id: on.crew_id,
            work_date: self.built.inputs.date,
            court_id: entry.at.court(),
            bank_id: entry.at.bank(),
            position,
            visit_key: stop.visit.clone(),
            kind: way.kind,
            direction: way.direction,
            groom_class: way.groom_class.clone(),
            planned_start: clock.instant(stop.start_s),
            planned_end: clock.instant(stop.end_s),
            due_at: clock.instant(*due),
            follows_id: None,
        };
        Ok(order_add(tx, scope, &new)?)
    }

    /// The closure after work that needs one: it stands and goes with its order.
    fn add_rests(
        &self,
        tx: &mut Tx<'_>,
        scope: &Scope,
        orders: &HashMap<String, i64>,
    ) -> Result<()> {
        for stop in self.plan.rounds.iter().flat_map(|round| &round.stops) {
            if let Some(order_id) = orders.get(&stop.visit) {
                self.add_rest(tx, scope, *order_id, stop)?;
            }
        }
        Ok(())
    }

    /// The closure after an order's work, where it needs one.
    pub fn add_rest(
        &self,
        tx: &mut Tx<'_>,
        scope: &Scope,
        order_id: i64,
        stop: &Stop,
    ) -> Result<()> {
        let clock = &self.built.inputs.clock;
        let entry = self.entry(&stop.visit)?;
        if let Some(court_id) = entry.at.court().filter(|_| entry.rest_s > 0) {
            let rest = NewRest {
                order_id,
                court_id,
                rest_s: entry.rest_s,
                starts_at: clock.instant(stop.end_s),
                ends_at: clock.instant(stop.end_s.saturating_add(entry.rest_s)),
                reason: entry.title.clone(),
            };
            rest_add(tx, scope, &rest)?;
        }
        Ok(())
    }

    fn entry(&self, visit: &str) -> Result<&Entry> {
        let entry = self.built.table.get(visit);
        entry.ok_or_else(|| not_of_the_day(visit))
    }

    /// The way of a stop as an order, and the tool classes it takes.
    pub fn way(&self, stop: &Stop) -> Result<(&JobWay, &Vec<String>)> {
        let entry = self.entry(&stop.visit)?;
        let order = entry.ways.get(stop.way);
        let visit = self.visits.get(stop.visit.as_str());
        let seen = visit.and_then(|visit| visit.ways.get(stop.way));
        match (order, seen) {
            (Some((order, _)), Some(seen)) => Ok((order, &seen.tools)),
            _ => Err(not_of_the_day(&stop.visit)),
        }
    }

    /// The soaks, each linked to the order it follows.
    pub fn soaks(&self, orders: &HashMap<String, i64>) -> Vec<NewWatering> {
        let clock = &self.built.inputs.clock;
        let soaks = self.plan.watering.iter();
        soaks
            .filter_map(|run| {
                let water = self.visits.get(run.visit.as_str())?.water.as_ref()?;
                Some(NewWatering {
                    day_plan_id: self.day_plan_id,
                    court_id: self.built.table.get(&run.visit)?.at.court()?,
                    order_id: orders.get(&run.visit).copied(),
                    kind: WateringKind::Soak,
                    starts_at: clock.instant(run.start_s),
                    ends_at: clock.instant(run.end_s),
                    flow_mlps: water.flow_mlps,
                    volume_ml: water.flow_mlps.saturating_mul(water.run_s),
                    valve_id: None,
                    cycle: None,
                })
            })
            .collect()
    }

    /// What the planner left out, and what could not be put to it.
    pub fn unfitted(&self) -> Vec<NewUnfitted> {
        let unserved = self.plan.unserved.iter().filter_map(|left| {
            let entry = self.built.table.get(&left.visit)?;
            let hours = (entry.opens, entry.closes);
            Some(self.left(
                &entry.key,
                entry.at,
                &entry.title,
                left.reason.name(),
                hours,
                None,
            ))
        });
        let left_out = self.built.left_out.iter().map(|left| {
            let hours = (left.opens, left.closes);
            self.left(
                &left.key,
                left.at,
                &left.title,
                left.reason,
                hours,
                left.until,
            )
        });
        unserved.chain(left_out).collect()
    }

    pub fn left(
        &self,
        key: &str,
        at: Place,
        title: &str,
        reason: &str,
        (opens, closes): (i64, i64),
        until: Option<i64>,
    ) -> NewUnfitted {
        let clock = &self.built.inputs.clock;
        NewUnfitted {
            day_plan_id: self.day_plan_id,
            court_id: at.court(),
            bank_id: at.bank(),
            visit_key: key.to_owned(),
            title: title.to_owned(),
            reason: reason.to_owned(),
            opens_at: clock.instant(opens),
            closes_at: clock.instant(closes),
            until_at: until.map(|until| clock.instant(until)),
        }
    }

    /// The water laid after the day: soaks over several courts, and the night's cycles; and what each court gets and
    /// stays short of.
    pub fn night(
        &self,
        laid: &Night,
        waterings: &mut Vec<NewWatering>,
        unfitted: &mut Vec<NewUnfitted>,
    ) {
        let clock = &self.built.inputs.clock;
        waterings.extend(laid.runs.iter().map(|run| NewWatering {
            day_plan_id: self.day_plan_id,
            court_id: run.court_id,
            order_id: None,
            kind: run.kind,
            starts_at: clock.instant(run.from),
            ends_at: clock.instant(run.to),
            flow_mlps: run.flow_mlps,
            volume_ml: run.volume_ml,
            valve_id: run.valve_id,
            cycle: run.cycle,
        }));
        let site = &self.built.inputs.site;
        let show = Shown {
            zone: clock.zone(),
            units: match site.units {
                Units::UsCustomary => UnitSystem::UsCustomary,
                Units::Metric => UnitSystem::Metric,
            },
            currency: site.currency.clone(),
        };
        let short = laid.courts.iter().filter(|night| night.short_ml > 0);
        unfitted.extend(short.map(|night| {
            let volume = show.volume(night.short_ml);
            let reason = short_reason(night.short_why);
            self.left(
                &format!("night:{}", night.court_id),
                Place::Court(night.court_id),
                &say_with("day-night-water", &[("volume", volume.into())]),
                reason,
                (night.from, night.until),
                None,
            )
        }));
        let missed = laid.missed_soaks.iter();
        unfitted.extend(missed.map(|(court, within)| {
            self.left(
                &format!("soak:{court}"),
                Place::Court(*court),
                &say("day-midday-soak"),
                NOBODY_THERE,
                (within[0], within[1]),
                None,
            )
        }));
    }

    /// What each court gets in the night, why, and what it stays short of.
    pub fn needs(&self, laid: &Night) -> Result<Vec<NewNeed>> {
        let all = laid.courts.iter();
        all.map(|night| {
            let why = serde_json::to_value(&night.need.scaled.why);
            Ok(NewNeed {
                day_plan_id: self.day_plan_id,
                court_id: night.court_id,
                base_s: night.need.base_s,
                run_s: night.need.run_s,
                permille: night.need.scaled.permille,
                why: why.map_err(|e| Error::Failed(store::Error::Unreadable(e.to_string())))?,
                wanted_ml: night.wanted_ml,
                short_ml: night.short_ml,
                short_why: night.short_why.map(|why| why.as_str().to_owned()),
            })
        })
        .collect()
    }
}

/// The steps of an order.
pub(super) fn steps_of(order_id: i64, way: &JobWay, on: &OnShift) -> Vec<StepRow> {
    (1..)
        .zip(&way.steps)
        .map(|(position, step)| StepRow {
            order_id,
            position,
            care_task_id: step.care_task_id,
            planned_s: step.seconds(on.crew.hands),
            done: None,
            standard_s: Some(step.standard(on.crew.hands)),
            alone_s: Some(step.standard(1)),
        })
        .collect()
}

/// The plan names something the day does not have: it was not made from this day problem.
fn not_of_the_day(what: &str) -> Error {
    Error::Failed(store::Error::Unreadable(format!(
        "a plan names {what}, which the day does not have"
    )))
}
