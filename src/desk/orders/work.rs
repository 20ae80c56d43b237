//! Starting an order, and giving it back.

use chrono::TimeDelta;
use serde_json::json;

use super::check::Check;
use super::follow::{Left, follow_up};
use super::happens::{Happening, happens};
use super::told::{FinishOrder, LeaveUndone, StartOrder};
use super::{OrderView, life, order_view};
use crate::desk::access::{Permit, WorkOrders};
use crate::desk::booking::{Closing, Outcome, Rates, book_closing};
use crate::desk::error::Named;
use crate::desk::holds::{hold_by_order, not_held};
use crate::desk::once::Once;
use crate::desk::stops::no_lightning;
use crate::desk::{Error, Office, Result};
use crate::store::defects::defect_mended;
use crate::store::holds::HoldReason;
use crate::store::orders::{self, Fit, OrderEvent, OrderRow, UndoneReason};
use crate::store::rests::{rest_move, rest_of};
use crate::store::treatments::{NewTreatment, treatment_add};
use crate::store::{Instant, Scope, Tx};

/// Starts an order. Sent again under the same key, it gives the first answer.
pub fn order_start(
    office: &Office,
    permit: &Permit<WorkOrders>,
    id: i64,
    client_key: String,
    told: &StartOrder,
) -> Result<OrderView> {
    let once = Once::new(client_key, format!("start work order {id}"), told)?;
    run(office, permit, &once, id, |tx, order, user_id| {
        let state = life::after(order.state, OrderEvent::Started)?;
        let (rates, now) = (Rates::read(tx.conn(), permit)?, tx.now());
        let check = Check::begin(tx.conn(), permit, &rates, order, now, told.happened_at);
        let at = check.at;
        check.end()?;
        no_lightning(tx.conn(), permit, at)?;
        orders::order_start(tx, permit, id, state, at)?;
        let happening = Happening {
            kind: OrderEvent::Started,
            at,
            user_id,
            data: json!({}),
            client_key: Some(&once.client_key),
        };
        happens(tx, permit, &rates, order, happening)
    })
}

/// Gives an order back done, and books what it took. Sent again under the same key, it gives the
/// first answer and books nothing.
pub fn order_finish(
    office: &Office,
    permit: &Permit<WorkOrders>,
    id: i64,
    client_key: String,
    told: &FinishOrder,
) -> Result<OrderView> {
    let once = Once::new(client_key, format!("finish work order {id}"), told)?;
    run(office, permit, &once, id, |tx, order, user_id| {
        finish(tx, permit, &once.client_key, order, told, user_id)
    })
}

/// Gives an open order back done, in the transaction of whoever asks.
pub(super) fn finish(
    tx: &mut Tx<'_>,
    permit: &Permit<WorkOrders>,
    client_key: &str,
    order: &OrderRow,
    told: &FinishOrder,
    user_id: i64,
) -> Result<()> {
    let id = order.id;
    life::after(order.state, OrderEvent::Finished)?;
    let (rates, now) = (Rates::read(tx.conn(), permit)?, tx.now());
    let mut check = Check::begin(tx.conn(), permit, &rates, order, now, told.happened_at);
    check.somebody(&told.people);
    let closing = Closing {
        order,
        outcome: Outcome::Finished(check.fitness(&told.fit)),
        at: check.at,
        learned_at: now,
        user_id,
        client_key: Some(client_key.to_owned()),
        steps_done: check.steps(&told.steps_done)?,
        people: check.people(&told.people)?,
        materials: check.materials(&told.materials)?,
        tools: check.tools(told.tool_uses.as_deref())?,
        readings: check.readings(&told.readings)?,
        note: check.note(told.note.as_deref(), None),
    };
    let treatments = check.treatments(&told.treatments, &told.steps_done, &told.people)?;
    check.end()?;
    match &closing.outcome {
        Outcome::Finished(fit) if fit.is == Fit::Yes => not_held(tx.conn(), permit, order)?,
        Outcome::Finished(fit) if fit.is == Fit::Held => {
            let reason = fit.hold_reason.unwrap_or(HoldReason::Other);
            hold_by_order(tx, permit, order, closing.at, reason, fit.reason.as_deref())?;
        }
        _ => {}
    }
    let booked = book_closing(tx, permit, &rates, &closing)?;
    put_on(tx, permit, id, closing.at, &treatments)?;
    if follow_up(tx, permit, &rates, &closing, &booked)? == Left::Nothing {
        defect_mended(tx, permit, id, Some(closing.at))?;
    }
    rest_from(tx, permit, id, closing.at)
}

fn put_on(
    tx: &mut Tx<'_>,
    scope: &Scope,
    order: i64,
    at: Instant,
    all: &[NewTreatment],
) -> Result<()> {
    for one in all {
        treatment_add(tx, scope, order, at, one)?;
    }
    Ok(())
}

/// The court rests from when the work really ended.
fn rest_from(tx: &mut Tx<'_>, scope: &Scope, id: i64, at: Instant) -> Result<()> {
    let rest_s = rest_of(tx.conn(), scope, id)?;
    let until = TimeDelta::try_seconds(rest_s)
        .filter(|rest| *rest > TimeDelta::zero())
        .and_then(|rest| at.utc().checked_add_signed(rest));
    if let Some(until) = until {
        rest_move(tx, scope, id, at, until.into())?;
    }
    Ok(())
}

/// Gives an order back not done, and books what it took all the same. Sent again under the same
/// key, it gives the first answer and books nothing.
pub fn order_leave_undone(
    office: &Office,
    permit: &Permit<WorkOrders>,
    id: i64,
    client_key: String,
    told: &LeaveUndone,
) -> Result<OrderView> {
    let once = Once::new(client_key, format!("leave work order {id} undone"), told)?;
    run(office, permit, &once, id, |tx, order, user_id| {
        life::after(order.state, OrderEvent::LeftUndone)?;
        let (rates, now) = (Rates::read(tx.conn(), permit)?, tx.now());
        let mut check = Check::begin(tx.conn(), permit, &rates, order, now, told.happened_at);
        let needed = (told.reason == UndoneReason::Other).then_some("say what the reason is");
        let closing = Closing {
            order,
            outcome: Outcome::LeftUndone(told.reason),
            at: check.at,
            learned_at: now,
            user_id,
            client_key: Some(once.client_key.clone()),
            steps_done: check.steps(&told.steps_done)?,
            people: check.people(&told.people)?,
            materials: check.materials(&told.materials)?,
            tools: check.tools(Some(&told.tool_uses))?,
            readings: check.readings(&told.readings)?,
            note: check.note(told.note.as_deref(), needed),
        };
        let treatments = check.treatments(&told.treatments, &told.steps_done, &told.people)?;
        check.end()?;
        let booked = book_closing(tx, permit, &rates, &closing)?;
        follow_up(tx, permit, &rates, &closing, &booked)?;
        put_on(tx, permit, id, closing.at, &treatments)
    })
}

/// Runs what happens to an order once, in one transaction, and gives the order as it is then.
pub(super) fn run(
    office: &Office,
    scope: &Scope,
    once: &Once,
    id: i64,
    event: impl FnOnce(&mut Tx<'_>, &OrderRow, i64) -> Result<()>,
) -> Result<OrderView> {
    office.db.write(scope, |tx| {
        once.run(tx, scope, |tx| {
            let user_id = scope
                .user_id()
                .ok_or(Error::NotSignedIn("an order is worked on by a user"))?;
            let order = orders::order_read(tx.conn(), scope, id).named("work order")?;
            event(tx, &order, user_id)?;
            Ok(order_view(tx.conn(), scope, id)?)
        })
    })
}
