//! Writing past days down: plans, orders, hours, stock, water and cost.

use std::collections::{HashMap, HashSet};

use chrono::NaiveDate;
use serde_json::json;
use trade::calendar::{Span, day_start};
use trade::costing::cost_of_order;
use trade::labour::Worked;
use trade::stock::Position;

use super::day::{PastDay, Visit, Went};
use super::plans::{morning, order, past_order, plan, rounds, run, second};
use super::season::{Season, impossible, resurfacing};
use super::stock::position;
use super::visits::Step;
use super::water::night;
use crate::desk::Result;
use crate::desk::booking::{
    Closing, Fitness, Kept, Outcome, Taken, ToolUse, cost_lines, event_data, hours, timed,
    unbookable, uses,
};
use crate::store::audit::{Deed, audit_append};
use crate::store::columns::json as as_json;
use crate::store::cost::{NewCostLine, TotalKind, TotalRow};
use crate::store::history::{
    PastClosure, PastEvent, PastMove, PastRound, PastRun, PastStep, PastTime, PastTool,
    PastUnfitted, PastWatering, closures_add, cost_add, day_plans_add, hours_entries_add,
    order_events_add, order_ids, order_steps_add, order_tools_add, orders_add, plan_ids,
    plan_runs_add, round_ids, rounds_add, run_ids, stock_moves_add, stock_set, times_add,
    totals_add, unfitted_add, waterings_add,
};
use crate::store::hours::NewHours;
use crate::store::orders::{Fit, OrderEvent, OrderRow, UndoneReason, WateringOfOrder};
use crate::store::times::StepTimed;
use crate::store::{Instant, Scope, Tx};

/// The books of the past while they are written.
pub struct Books<'a, 'tx> {
    pub(super) tx: &'a mut Tx<'tx>,
    scope: &'a Scope,
    pub(super) season: &'a Season,
    days: &'a [PastDay<'a>],
    plans: HashMap<NaiveDate, i64>,
    orders: HashMap<(NaiveDate, String), i64>,
    totals: HashMap<(TotalKind, i64, String), TotalRow>,
    pub(super) stock: HashMap<i64, Position>,
    pub(super) rows: Rows,
}

/// What is gathered to be added together.
#[derive(Default)]
pub(super) struct Rows {
    steps: Vec<PastStep>,
    times: Vec<PastTime>,
    tools: Vec<PastTool>,
    events: Vec<PastEvent>,
    hours: Vec<NewHours>,
    pub(super) moves: Vec<PastMove>,
    lines: Vec<NewCostLine>,
    waterings: Vec<PastWatering>,
}

impl<'a, 'tx> Books<'a, 'tx> {
    /// Writes the plans, rounds and orders of the days, so that the rest can name them.
    pub fn open(
        tx: &'a mut Tx<'tx>,
        scope: &'a Scope,
        season: &'a Season,
        days: &'a [PastDay<'a>],
        seed: u64,
    ) -> Result<Self> {
        let runs: Vec<PastRun> = days.iter().map(|day| run(season, day, seed)).collect();
        plan_runs_add(tx, scope, &runs)?;
        let run_of = run_ids(tx.conn(), scope)?;
        let plans = days
            .iter()
            .map(|day| plan(season, day, &run_of))
            .collect::<Result<Vec<_>>>()?;
        day_plans_add(tx, scope, &plans)?;
        let plans = plan_ids(tx.conn(), scope)?;
        let rounds: Vec<PastRound> = days
            .iter()
            .map(|day| rounds(day, &plans))
            .collect::<Result<Vec<_>>>()?
            .concat();
        rounds_add(tx, scope, &rounds)?;
        let round_of = round_ids(tx.conn(), scope)?;
        let mut orders = Vec::new();
        for day in days {
            let plan = *plans
                .get(&day.date)
                .ok_or_else(|| impossible("a day without a plan"))?;
            for visit in &day.visits {
                let crew = day.crews[visit.crew].crew.crew_id;
                let round = round_of.get(&(plan, crew));
                let round = *round.ok_or_else(|| impossible("a visit without a round"))?;
                orders.push(past_order(order(day, visit, plan, round, 0)));
            }
        }
        orders_add(tx, scope, &orders)?;
        let orders = order_ids(tx.conn(), scope)?;
        let stock = season
            .materials
            .iter()
            .map(|m| (m.id, position(m.on_hand, m.value_cents)))
            .collect();
        Ok(Self {
            tx,
            scope,
            season,
            days,
            plans,
            orders,
            totals: HashMap::new(),
            stock,
            rows: Rows::default(),
        })
    }

    /// Writes the rest, day by day.
    pub fn book_all(mut self) -> Result<()> {
        let mut unfitted = Vec::new();
        let mut closures = Vec::new();
        for day in self.days {
            let plan = self.plan(day)?;
            self.delivered(day)?;
            self.issued(day)?;
            let mut cents = 0;
            for visit in &day.visits {
                cents += self.closed(day, visit, plan)?;
            }
            self.night(day, plan);
            unfitted.extend(day.unfitted.iter().map(|ask| PastUnfitted {
                day_plan_id: plan,
                court_id: ask.place.court(),
                bank_id: ask.place.bank(),
                visit_key: ask.key.clone(),
                title: ask.title.clone(),
                reason: "no_time_left",
                opens_at: second(ask.opens),
                closes_at: second(ask.closes),
            }));
            closures.extend(self.shut(day));
            audit_append(
                self.tx,
                self.scope,
                &Deed {
                    verb: "laid",
                    subject: "day_plan",
                    id: plan,
                    data: json!({ "orders": day.visits.len(), "cents": cents }),
                },
            )?;
        }
        closures_add(self.tx, self.scope, &closures)?;
        unfitted_add(self.tx, self.scope, &unfitted)?;
        self.write()
    }

    fn write(self) -> Result<()> {
        let (tx, scope, rows) = (self.tx, self.scope, self.rows);
        order_steps_add(tx, scope, &rows.steps)?;
        times_add(tx, scope, &rows.times)?;
        order_tools_add(tx, scope, &rows.tools)?;
        order_events_add(tx, scope, &rows.events)?;
        hours_entries_add(tx, &rows.hours)?;
        stock_moves_add(tx, scope, &rows.moves)?;
        cost_add(tx, &rows.lines)?;
        waterings_add(tx, scope, &rows.waterings)?;
        let mut totals: Vec<_> = self.totals.into_values().map(Into::into).collect();
        totals.sort_by(|a: &crate::store::history::PastTotal, b| {
            (a.kind, a.subject_id, &a.period).cmp(&(b.kind, b.subject_id, &b.period))
        });
        totals_add(tx, scope, &totals)?;
        for material in &self.season.materials {
            if let Some(now) = self.stock.get(&material.id) {
                stock_set(tx, scope, material.id, now.quantity.0, now.value.0)?;
            }
        }
        Ok(())
    }

    fn plan(&self, day: &PastDay<'_>) -> Result<i64> {
        let plan = self.plans.get(&day.date).copied();
        plan.ok_or_else(|| impossible("a day without a plan"))
    }

    fn order_id(&self, day: &PastDay<'_>, visit: &Visit<'_>) -> Result<i64> {
        let id = self.orders.get(&(day.date, visit.ask.key.clone())).copied();
        id.ok_or_else(|| impossible("a visit without an order"))
    }

    /// The morning's orders are handed out, by crew and place in the round.
    fn issued(&mut self, day: &PastDay<'_>) -> Result<()> {
        let at = morning(self.season, day.date);
        let mut visits: Vec<&Visit<'_>> = day.visits.iter().collect();
        visits.sort_by_key(|visit| (visit.crew, visit.position));
        for visit in visits {
            let order_id = self.order_id(day, visit)?;
            self.event(
                order_id,
                OrderEvent::Issued,
                at,
                self.season.manager,
                &json!({}),
            )?;
        }
        Ok(())
    }

    fn event(
        &mut self,
        order_id: i64,
        kind: OrderEvent,
        at: Instant,
        user_id: i64,
        data: &serde_json::Value,
    ) -> Result<()> {
        self.rows.events.push(PastEvent {
            seq: self.tx.next_seq(),
            order_id,
            kind,
            happened_at: at,
            learned_at: at,
            user_id,
            data: as_json(data)?,
        });
        Ok(())
    }

    /// One order is given back; what it cost, cents.
    fn closed(&mut self, day: &PastDay<'_>, visit: &Visit<'_>, plan: i64) -> Result<i64> {
        let id = self.order_id(day, visit)?;
        let order = order(day, visit, plan, 0, id);
        let crew = &day.crews[visit.crew].crew;
        let closing = self.closing(day, visit, &order);
        self.parts(visit, &closing, crew.people.len());
        if let Went::Done { started, .. } = visit.outcome {
            self.event(
                id,
                OrderEvent::Started,
                second(started),
                crew.user_id,
                &json!({}),
            )?;
        }
        let kind = match closing.outcome {
            Outcome::Finished(_) => OrderEvent::Finished,
            Outcome::LeftUndone(_) => OrderEvent::LeftUndone,
        };
        let (site, tx) = (self.scope.site_id(), &mut *self.tx);
        self.rows
            .hours
            .extend(hours(&closing, site, &mut || tx.next_seq()));
        let runs = self.water(visit, plan, id);
        let materials = self.issue(&closing)?;
        let rates = &self.season.rates;
        let used = uses(rates, &closing, &runs, materials, &HashSet::new())?;
        let kept = Kept::of(
            Kept::keys(rates, day.date, &used)
                .into_iter()
                .map(|key| {
                    self.totals.get(&key).cloned().unwrap_or(TotalRow {
                        kind: key.0,
                        subject_id: key.1,
                        period: key.2,
                        used: 0,
                        booked_cents: 0,
                    })
                })
                .collect(),
        );
        let cost = cost_of_order(&used, kept.totals()).map_err(unbookable)?;
        let tx = &mut *self.tx;
        let mut next = || tx.next_seq();
        self.rows.lines.extend(cost_lines(
            rates, &closing, &runs, &used, &cost, site, &mut next,
        )?);
        let (after, moved) = kept.after(cost.totals);
        for row in after {
            self.totals
                .insert((row.kind, row.subject_id, row.period.clone()), row);
        }
        let data = event_data(&closing, &moved);
        self.event(id, kind, closing.at, crew.user_id, &data)?;
        Ok(cost.total.0)
    }

    fn closing<'o>(
        &self,
        day: &PastDay<'_>,
        visit: &Visit<'_>,
        order: &'o OrderRow,
    ) -> Closing<'o> {
        let day_crew = &day.crews[visit.crew];
        let way = &visit.ask.ways[visit.next.way];
        let at = second(visit.outcome.at());
        let mut closing = Closing {
            order,
            outcome: Outcome::LeftUndone(UndoneReason::NoTime),
            at,
            learned_at: at,
            user_id: day_crew.crew.user_id,
            client_key: None,
            steps_done: Vec::new(),
            people: Vec::new(),
            materials: Vec::new(),
            tools: Vec::new(),
            readings: Vec::new(),
            note: None,
        };
        let (started, ended) = match visit.outcome {
            Went::Undone { reason, .. } => {
                closing.outcome = Outcome::LeftUndone(reason);
                return closing;
            }
            Went::Done { started, ended } => (started, ended),
        };
        closing.outcome = Outcome::Finished(Fitness {
            is: order.fit.unwrap_or(Fit::Yes),
            until: order.fit_until,
            hold_reason: None,
            reason: None,
        });
        let dry = way.soak_s.is_some() && visit.soak.is_none();
        closing.steps_done = (1..)
            .zip(&way.tasks)
            .filter(|(_, step)| !(dry && step.task.code == "soak"))
            .map(|(position, _)| position)
            .collect();
        let span = Span {
            from: second(started).utc(),
            to: second(ended).utc(),
        };
        closing.people = day_crew
            .crew
            .people
            .iter()
            .map(|person| Worked {
                person: *person,
                span,
            })
            .collect();
        closing.tools = way
            .classes
            .iter()
            .filter_map(|class| self.season.tool(class, day_crew.crew.nth))
            .map(|tool_id| ToolUse { tool_id, uses: 1 })
            .collect();
        if let Some((code, quantity)) = visit.took
            && let Some(material) = self.season.material(code)
        {
            closing.materials.push(Taken {
                material_id: material.id,
                quantity,
            });
        }
        closing
    }

    fn parts(&mut self, visit: &Visit<'_>, closing: &Closing<'_>, hands: usize) {
        let (id, way) = (closing.order.id, &visit.ask.ways[visit.next.way]);
        self.rows.times.extend(time(closing, &way.tasks));
        for (position, step) in (1..).zip(&way.tasks) {
            self.rows.steps.push(PastStep {
                order_id: id,
                position,
                care_task_id: step.task.id,
                planned_s: step.of(hands),
                done: closing.steps_done.contains(&position),
                standard_s: step.of(hands),
                alone_s: step.of(1),
            });
        }
        self.rows
            .tools
            .extend(closing.tools.iter().map(|tool| PastTool {
                order_id: id,
                tool_id: tool.tool_id,
                uses: tool.uses,
            }));
    }

    /// The soak that hung on an order; what of it ran.
    fn water(&mut self, visit: &Visit<'_>, plan: i64, order: i64) -> Vec<WateringOfOrder> {
        let Some(soak_s) = visit.ask.ways[visit.next.way].soak_s else {
            return Vec::new();
        };
        let court = self
            .season
            .courts
            .iter()
            .find(|c| Some(c.id) == visit.ask.place.court());
        let Some(court) = court else {
            return Vec::new();
        };
        let (from, to) = visit
            .soak
            .unwrap_or((visit.next.end, visit.next.end + soak_s));
        let volume_ml = court.sprinkler_flow_mlps * soak_s;
        self.rows.waterings.push(PastWatering {
            day_plan_id: plan,
            court_id: court.id,
            order_id: Some(order),
            kind: "soak",
            starts_at: second(from),
            ends_at: second(to),
            flow_mlps: court.sprinkler_flow_mlps,
            volume_ml,
            state: if visit.soak.is_some() {
                "run"
            } else {
                "withdrawn"
            },
            // Booked with the order.
            booked_ml: visit.soak.map(|_| volume_ml),
        });
        let ran = WateringOfOrder {
            id: 0,
            court_id: court.id,
            volume_ml,
        };
        visit.soak.map(|_| ran).into_iter().collect()
    }

    /// The night's cycles; none after a day of rain.
    fn night(&mut self, day: &PastDay<'_>, plan: i64) {
        if day.rain.is_some() {
            return;
        }
        let midnight = day_start(self.season.zone, day.date).timestamp();
        let cycles = night(self.season, day.date);
        self.rows
            .waterings
            .extend(cycles.iter().map(|cycle| PastWatering {
                day_plan_id: plan,
                court_id: cycle.valve,
                order_id: None,
                kind: "night_cycle",
                starts_at: second(midnight + cycle.from.0),
                ends_at: second(midnight + cycle.to.0),
                flow_mlps: cycle.flow.0,
                volume_ml: cycle.volume.0,
                state: "run",
                booked_ml: None,
            }));
    }

    /// What shut the courts: rain all of them, resurfacing one.
    fn shut(&self, day: &PastDay<'_>) -> Vec<PastClosure> {
        let courts = self.season.courts.iter();
        let rain = day.rain.into_iter().flat_map(|(from, to)| {
            courts.clone().map(move |court| PastClosure {
                court_id: court.id,
                starts_at: second(from),
                ends_at: second(to),
                reason: "Rain".into(),
            })
        });
        let (zone, next) = (self.season.zone, day.date.succ_opt().unwrap_or(day.date));
        let resurfaced = courts.clone().filter(|court| resurfacing(court, day.date));
        rain.chain(resurfaced.map(|court| PastClosure {
            court_id: court.id,
            starts_at: day_start(zone, day.date).into(),
            ends_at: day_start(zone, next).into(),
            reason: "Resurfacing".into(),
        }))
        .collect()
    }
}

/// How long a finished order took, beside the standard.
fn time(closing: &Closing<'_>, steps: &[Step<'_>]) -> Option<PastTime> {
    let Outcome::Finished(_) = closing.outcome else {
        return None;
    };
    let steps: Vec<StepTimed> = (1..)
        .zip(steps)
        .map(|(position, step)| StepTimed {
            position,
            code: step.task.code.clone(),
            alone_s: Some(step.of(1)),
        })
        .collect();
    let time = timed(closing, &steps)?;
    Some(PastTime {
        order_id: time.order_id,
        court_id: time.court_id,
        work_date: time.work_date,
        work: time.work,
        standard_s: time.standard_s,
        taken_s: time.taken_s,
        log_ratio: time.log_ratio,
    })
}
