//! Giving an order to a crew, handing it over to another, and taking it out of the day: what is done by hand beside the
//! plan.

use serde_json::{Value, json};

use super::check::Check;
use super::happens::{Happening, happens};
use super::told::{HandOver, IssueOrder, WithdrawOrder};
use super::work::run;
use super::{OrderView, life};
use crate::desk::access::{IssueDay, Permit, WorkOrders};
use crate::desk::booking::Rates;
use crate::desk::once::Once;
use crate::desk::{Error, Office, Result};
use crate::store::crews::{crew_read, shifts_between};
use crate::store::day_plans::{NewRound, plan_in_force, round_add, round_kit_set, rounds_of};
use crate::store::day_replans::order_state_set;
use crate::store::orders::{
    self, OrderEvent, OrderRow, Placed, is_by_hand, last_position, order_place, order_tools,
};
use crate::store::{self, Scope, Tx};

/// Hands an order that no plan makes to a crew: it stands at the end of the crew's round. One of an earlier date comes
/// over to today's plan.
pub fn order_issue(
    office: &Office,
    permit: &Permit<IssueDay>,
    id: i64,
    client_key: String,
    told: &IssueOrder,
) -> Result<OrderView> {
    let once = Once::new(client_key, format!("issue work order {id}"), told)?;
    run(office, permit, &once, id, |tx, order, user_id| {
        by_hand(order)?;
        let state = life::after(order.state, OrderEvent::Issued)?;
        let (rates, now) = (Rates::read(tx.conn(), permit)?, tx.now());
        let check = Check::begin(tx.conn(), permit, &rates, order, now, told.happened_at);
        let at = check.at;
        check.end()?;
        let today = trade::calendar::work_date(rates.zone, now.utc());
        let placed = end_of_round(tx, permit, order, order.work_date.max(today), told.crew_id)?;
        order_place(tx, permit, id, &placed, state)?;
        let happening = Happening {
            kind: OrderEvent::Issued,
            at,
            user_id,
            data: json!({ "crew_id": told.crew_id }),
            client_key: Some(&once.client_key),
        };
        happens(tx, permit, &rates, order, happening)
    })
}

/// Takes an order that no plan makes out of the day, before it is begun.
pub fn order_withdraw(
    office: &Office,
    permit: &Permit<IssueDay>,
    id: i64,
    client_key: String,
    told: &WithdrawOrder,
) -> Result<OrderView> {
    let once = Once::new(client_key, format!("withdraw work order {id}"), told)?;
    run(office, permit, &once, id, |tx, order, user_id| {
        by_hand(order)?;
        let (rates, now) = (Rates::read(tx.conn(), permit)?, tx.now());
        let check = Check::begin(tx.conn(), permit, &rates, order, now, told.happened_at);
        let at = check.at;
        check.end()?;
        let happening = Happening {
            kind: OrderEvent::Withdrawn,
            at,
            user_id,
            data: json!({}),
            client_key: Some(&once.client_key),
        };
        withdraw(tx, permit, &rates, order, happening)
    })
}

/// Takes an order that was not begun out of the day, its water with it.
pub(super) fn withdraw(
    tx: &mut Tx<'_>,
    scope: &Scope,
    rates: &Rates,
    order: &OrderRow,
    happening: Happening<'_>,
) -> Result<()> {
    let state = life::after(order.state, OrderEvent::Withdrawn)?;
    order_state_set(tx, scope, order.id, state)?;
    orders::order_waterings_set(tx, scope, order.id, false)?;
    happens(tx, scope, rates, order, happening)
}

/// Hands an open order over to another crew: it stands at the end of that crew's round.
pub fn order_hand_over(
    office: &Office,
    permit: &Permit<WorkOrders>,
    id: i64,
    client_key: String,
    told: &HandOver,
) -> Result<OrderView> {
    let once = Once::new(client_key, format!("hand over work order {id}"), told)?;
    run(office, permit, &once, id, |tx, order, user_id| {
        let state = life::after(order.state, OrderEvent::HandedOver)?;
        let (rates, now) = (Rates::read(tx.conn(), permit)?, tx.now());
        let check = Check::begin(tx.conn(), permit, &rates, order, now, told.happened_at);
        let at = check.at;
        check.end()?;
        if told.crew_id == order.crew_id {
            let mend = "this crew has the order already: name another";
            return Err(Error::refused_as("crew_has_it", "/crew_id", mend));
        }
        let placed = end_of_round(tx, permit, order, order.work_date, told.crew_id)?;
        order_place(tx, permit, id, &placed, state)?;
        let happening = Happening {
            kind: OrderEvent::HandedOver,
            at,
            user_id,
            data: json!({ "from_crew_id": order.crew_id, "crew_id": told.crew_id }),
            client_key: Some(&once.client_key),
        };
        happens(tx, permit, &rates, order, happening)
    })
}

fn by_hand(order: &OrderRow) -> Result<()> {
    if is_by_hand(order) {
        return Ok(());
    }
    Err(Error::state_of(
        "order_of_plan",
        "this work order is of the day's plan: hand out the whole day, or change the plan",
    ))
}

/// The end of a crew's round in the plan in force on a date, with the order's tools in the crew's kit. The round is made
/// where the crew has none.
pub(super) fn end_of_round(
    tx: &mut Tx<'_>,
    scope: &Scope,
    order: &OrderRow,
    date: chrono::NaiveDate,
    crew_id: i64,
) -> Result<Placed> {
    crew_read(tx.conn(), scope, crew_id).map_err(|why| match why {
        store::Error::NotFound => {
            let mend = "this site has no crew with this id";
            Error::refused_as("crew_unknown", "/crew_id", mend)
        }
        other => other.into(),
    })?;
    let plan = plan_in_force(tx.conn(), scope, date)?.ok_or_else(|| no_plan(date))?;
    let round = rounds_of(tx.conn(), scope, plan.id)?
        .into_iter()
        .find(|round| round.crew_id == crew_id);
    let (round_id, mut kit) = if let Some(round) = round {
        (round.id, round.kit.0)
    } else {
        let shifts = shifts_between(tx.conn(), scope, date, date)?;
        let shift = shifts.iter().find(|shift| shift.crew_id == crew_id);
        let shift = shift.ok_or_else(|| {
            Error::refused_as(
                ("crew_not_on_shift", [("date", json!(date))]),
                "/crew_id",
                format!("this crew has no shift on {date}: name one that has"),
            )
        })?;
        let new = NewRound {
            day_plan_id: plan.id,
            crew_id,
            shift_id: shift.id,
            leaves_at: shift.starts_at,
            returns_at: shift.ends_at,
            kit: Vec::new(),
            beginning: None,
        };
        (round_add(tx, scope, &new)?, Vec::new())
    };
    let had = kit.len();
    for tool in order_tools(tx.conn(), scope, &[order.id])? {
        if !kit.contains(&tool.class) {
            kit.push(tool.class);
        }
    }
    if kit.len() > had {
        round_kit_set(tx, scope, round_id, &kit)?;
    }
    Ok(Placed {
        day_plan_id: plan.id,
        work_date: date,
        round_id,
        crew_id,
        position: last_position(tx.conn(), scope, round_id)? + 1,
    })
}

/// That a date has no plan in force.
pub fn no_plan(date: chrono::NaiveDate) -> Error {
    let values: [(&str, Value); 1] = [("date", json!(date))];
    Error::state_of(
        ("no_plan", values),
        format!("nothing is planned on {date}: plan it and take a plan first"),
    )
}
