//! What an order left: the steps that are still due go into an order of their own, which names the first.

use chrono::TimeDelta;
use serde_json::json;
use trade::care::CareTask;

use super::happens::{Happening, happens};
use super::placing::{end_of_round, withdraw};
use crate::desk::booking::{Booked, Closing, Outcome, Rates, SOURCE};
use crate::desk::day_build::valve_of_key;
use crate::desk::{Error, Result};
use crate::store::audit::{Deed, audit_append_about};
use crate::store::day_plans::{PlanState, plan_in_force};
use crate::store::day_replans::order_state_set;
use crate::store::defects::defect_mend_moves;
use crate::store::orders::{
    NewOrder, OrderEvent, OrderRow, OrderState, Placed, REST, StepRow, UndoneReason, last_position,
    order_add, order_step_add, order_steps, order_steps_named, order_tool_add, order_tools,
    orders_following, waterings_again,
};
use crate::store::{Scope, Tx};

/// What an order given back left.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Left {
    /// Nothing: every step was done.
    Nothing,
    /// Steps that an order of their own does now.
    ToAnOrder,
    /// Work that stays to the plan, or to whoever plans the day.
    ToThePlan,
}

/// Makes an order of the steps that an order given back has left undone. Where nothing was begun because of play or
/// weather, the visit stays to the plan.
pub(super) fn follow_up(
    tx: &mut Tx<'_>,
    scope: &Scope,
    rates: &Rates,
    closing: &Closing<'_>,
    booked: &Booked,
) -> Result<Left> {
    let order = closing.order;
    let stays_to_the_plan = matches!(
        closing.outcome,
        Outcome::LeftUndone(UndoneReason::CourtInPlay | UndoneReason::Weather)
    ) && closing.steps_done.is_empty();
    if stays_to_the_plan || valve_of_key(&order.visit_key).is_some() {
        return Ok(Left::ToThePlan);
    }
    let steps = order_steps(tx.conn(), scope, &[order.id])?;
    let due: Vec<&StepRow> = steps
        .iter()
        .filter(|step| !closing.steps_done.contains(&step.position))
        .collect();
    if due.is_empty() {
        return Ok(Left::Nothing);
    }
    let Some((placed, is_issued)) = place(tx, scope, order)? else {
        return Ok(Left::ToThePlan);
    };
    let takes_s: i64 = due.iter().map(|step| step.planned_s).sum();
    let new = NewOrder {
        day_plan_id: placed.day_plan_id,
        round_id: placed.round_id,
        crew_id: placed.crew_id,
        work_date: placed.work_date,
        court_id: order.court_id,
        bank_id: order.bank_id,
        position: placed.position,
        visit_key: format!("{REST}{}", order.id),
        kind: order.kind,
        direction: order.direction,
        groom_class: order.groom_class.clone(),
        planned_start: closing.at,
        planned_end: (closing.at.utc() + TimeDelta::seconds(takes_s.clamp(0, 86_400))).into(),
        due_at: order.due_at,
        follows_id: Some(order.id),
    };
    let id = order_add(tx, scope, &new)?;
    for (position, step) in (1..).zip(&due) {
        let step = StepRow {
            order_id: id,
            position,
            done: None,
            ..(*step).clone()
        };
        order_step_add(tx, scope, &step)?;
    }
    for tool in order_tools(tx.conn(), scope, &[order.id])? {
        order_tool_add(tx, scope, id, tool.tool_id)?;
    }
    let soak = CareTask::Soak.as_str();
    let named = order_steps_named(tx.conn(), scope, &[id])?;
    if named.iter().any(|step| step.code == soak) {
        waterings_again(tx, scope, &booked.waterings, placed.day_plan_id, id)?;
    }
    defect_mend_moves(tx, scope, order.id, id)?;
    if is_issued {
        order_state_set(tx, scope, id, OrderState::Issued)?;
        let row = crate::store::orders::order_read(tx.conn(), scope, id)?;
        let happening = Happening {
            kind: OrderEvent::Issued,
            at: closing.at,
            user_id: closing.user_id,
            data: json!({ "follows": order.id }),
            client_key: None,
        };
        happens(tx, scope, rates, &row, happening)?;
    } else {
        let deed = Deed {
            verb: "added",
            subject: SOURCE,
            id,
            data: json!({ "follows": order.id }),
        };
        audit_append_about(tx, scope, &deed, &[(SOURCE, order.id)])?;
    }
    Ok(Left::ToAnOrder)
}

/// Where what is left stands: behind the order in its round, or, where its plan is not in force any more, at the end of its
/// crew's round in the one that is. None where there is none.
fn place(tx: &mut Tx<'_>, scope: &Scope, order: &OrderRow) -> Result<Option<(Placed, bool)>> {
    let Some(plan) = plan_in_force(tx.conn(), scope, order.work_date)? else {
        return Ok(None);
    };
    let is_issued = plan.state == PlanState::Issued;
    if plan.id == order.day_plan_id {
        let position = last_position(tx.conn(), scope, order.round_id)? + 1;
        let placed = Placed {
            day_plan_id: plan.id,
            work_date: order.work_date,
            round_id: order.round_id,
            crew_id: order.crew_id,
            position,
        };
        return Ok(Some((placed, is_issued)));
    }
    match end_of_round(tx, scope, order, order.work_date, order.crew_id) {
        Ok(placed) => Ok(Some((placed, is_issued))),
        // The crew is on no shift any more: the visit stays to whoever plans the day.
        Err(Error::Refused(_) | Error::State(..)) => Ok(None),
        Err(why) => Err(why),
    }
}

/// Takes what followed an order out of the day, since the order itself is open again. [`Error::State`] where that was
/// begun.
pub(super) fn withdraw_follow_ups(
    tx: &mut Tx<'_>,
    scope: &Scope,
    rates: &Rates,
    order: &OrderRow,
    (at, user_id): (crate::store::Instant, i64),
) -> Result<()> {
    for next in orders_following(tx.conn(), scope, order.id)? {
        if !matches!(next.state, OrderState::Planned | OrderState::Issued) {
            return Err(Error::state_of(
                ("follow_up_begun", [("order_id", json!(next.id))]),
                format!(
                    "what this work order left is begun as work order {}: it can be taken back no more",
                    next.id
                ),
            ));
        }
        let happening = Happening {
            kind: OrderEvent::Withdrawn,
            at,
            user_id,
            data: json!({ "taken_back": order.id }),
            client_key: None,
        };
        withdraw(tx, scope, rates, &next, happening)?;
        defect_mend_moves(tx, scope, next.id, order.id)?;
    }
    Ok(())
}
