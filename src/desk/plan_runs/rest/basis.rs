//! What planning the rest of a day anew rests on.

use std::collections::HashSet;

use chrono::NaiveDate;
use planner::plan::Plan;
use planner::problem::Problem;
use sha2::{Digest, Sha256};

use super::super::taking::plan_of;
use super::asked::ReplanAsk;
use super::facts;
use crate::desk::access::{Permit, PlanDay};
use crate::desk::day_build::{Built, build_left};
use crate::desk::orders::no_plan;
use crate::desk::stops::standing;
use crate::desk::{Error, Office, Result};
use crate::store::day_plans::runs::run_texts;
use crate::store::day_plans::{PlanRow, RoundOfPlan, plan_in_force, rounds_of};
use crate::store::orders::{
    OrderFilter, OrderRow, OrderState, StepRow, ToolOfOrder, is_by_hand, order_list, order_steps,
    order_tools,
};
use crate::store::{self, Conn, Instant, Page, Scope, columns};

/// The day as it was planned, as it went, and as it asks to be planned now.
pub struct Basis {
    /// The plan in force.
    pub in_force: PlanRow,
    /// The day problem it was made for.
    pub problem: Problem,
    /// What it says.
    pub plan: Plan,
    /// Its rounds.
    pub rounds: Vec<RoundOfPlan>,
    /// Its orders, none of them withdrawn or made by hand beside it.
    pub orders: Vec<OrderRow>,
    /// Their steps.
    pub steps: Vec<StepRow>,
    /// Their tools.
    pub tools: Vec<ToolOfOrder>,
    /// The day as it asks to be planned now.
    pub built: Built,
    /// Before this nobody goes out, where lightning keeps everybody in.
    pub in_until: Option<Instant>,
    /// The moment.
    pub now: Instant,
    /// Names all this: unchanged while nothing changes that a trial rests on.
    pub digest: String,
}

/// What a transaction that is to be taken back brings out.
enum Seen {
    Basis(Box<Basis>),
    Failed(Error),
}

impl From<store::Error> for Seen {
    fn from(error: store::Error) -> Self {
        Self::Failed(error.into())
    }
}

impl Basis {
    /// Reads it as it would be with what is asked written down; nothing is written.
    pub fn tried(
        office: &Office,
        permit: &Permit<PlanDay>,
        date: NaiveDate,
        ask: &ReplanAsk,
        now: Instant,
        user_id: i64,
    ) -> Result<Self> {
        if ask.happened.is_empty() && ask.changes.is_empty() {
            return office
                .db
                .read(|conn| Self::read(conn, permit, date, ask, now));
        }
        let seen = office
            .db
            .write(permit, |tx| -> std::result::Result<(), Seen> {
                facts::write(tx, permit, date, ask, now, user_id).map_err(Seen::Failed)?;
                let basis = Self::read(tx.conn(), permit, date, ask, now).map_err(Seen::Failed)?;
                Err(Seen::Basis(Box::new(basis)))
            });
        match seen {
            Err(Seen::Basis(basis)) => Ok(*basis),
            Err(Seen::Failed(why)) => Err(why),
            Ok(()) => Err(Error::Failed(store::Error::NotFound)),
        }
    }

    fn read(
        conn: &mut Conn,
        scope: &Scope,
        date: NaiveDate,
        ask: &ReplanAsk,
        now: Instant,
    ) -> Result<Self> {
        let in_force = plan_in_force(conn, scope, date)?.ok_or_else(|| no_plan(date))?;
        let (problem, plan) = run_texts(conn, scope, in_force.plan_run_id)?;
        let problem: Problem = serde_json::from_str(&problem)
            .map_err(|e| store::Error::Unreadable(format!("a run's problem: {e}")))?;
        let plan = plan_of(plan.as_deref())?;
        let orders = live_orders(conn, scope, in_force.id)?;
        let ids: Vec<i64> = orders.iter().map(|order| order.id).collect();
        let built = build_left(conn, scope, date, now)?;
        let in_until = standing(conn, scope)?
            .stop
            .and_then(|stop| stop.release_from);
        let mut hash = Sha256::new();
        hash.update(columns::json(&(
            in_force.id,
            in_force.version,
            states(&orders),
            in_until,
            &built.digest,
            &ask.happened,
            &ask.changes,
        ))?);
        Ok(Self {
            rounds: rounds_of(conn, scope, in_force.id)?,
            steps: order_steps(conn, scope, &ids)?,
            tools: order_tools(conn, scope, &ids)?,
            digest: columns::hex(&hash.finalize()),
            in_force,
            problem,
            plan,
            orders,
            built,
            in_until,
            now,
        })
    }

    /// A second of the day as the site's clock shows it.
    pub fn local(&self, second: i64) -> String {
        let clock = &self.built.inputs.clock;
        let at = clock.instant(second).utc().with_timezone(&clock.zone());
        at.format("%H:%M").to_string()
    }

    /// That no order has moved on since this was read.
    pub fn holds(&self, conn: &mut Conn, scope: &Scope) -> Result<()> {
        let now = live_orders(conn, scope, self.in_force.id)?;
        if states(&now) == states(&self.orders) {
            return Ok(());
        }
        Err(Error::state(
            "an order was begun or given back just now: look at the change again".into(),
        ))
    }
}

fn live_orders(conn: &mut Conn, scope: &Scope, plan: i64) -> Result<Vec<OrderRow>> {
    let filter = OrderFilter {
        day_plan_id: Some(plan),
        ..OrderFilter::default()
    };
    let mut orders = order_list(conn, scope, &filter, Page::ALL)?.items;
    // Where another order does what one left undone, the visit is settled: it is not planned once more.
    let taken_up: HashSet<i64> = orders
        .iter()
        .filter(|order| order.state != OrderState::Withdrawn)
        .filter_map(|order| order.follows_id)
        .collect();
    let left = orders
        .iter_mut()
        .filter(|order| order.state == OrderState::LeftUndone);
    for order in left.filter(|order| taken_up.contains(&order.id)) {
        order.state = OrderState::Finished;
    }
    // What no plan makes is carried over as it stands.
    orders.retain(|order| order.state != OrderState::Withdrawn && !is_by_hand(order));
    Ok(orders)
}

fn states(orders: &[OrderRow]) -> Vec<(i64, OrderState, i64)> {
    let all = orders.iter();
    all.map(|order| (order.id, order.state, order.version))
        .collect()
}
