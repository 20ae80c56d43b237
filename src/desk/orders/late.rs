//! A closing that comes after the plan was made anew and withdrew its order, while the crew was out of reach: what the crew
//! did stands.

use serde::{Deserialize, Serialize};
use serde_json::json;
use utoipa::ToSchema;

use super::happens::{Happening, happens};
use super::placing::{end_of_round, withdraw};
use super::said::keep_note;
use super::told::FinishOrder;
use super::work::finish;
use super::{OrderView, life, order_view};
use crate::desk::access::{Permit, WorkOrders};
use crate::desk::booking::Rates;
use crate::desk::error::Named;
use crate::desk::once::Once;
use crate::desk::stops::actor;
use crate::desk::{Error, Office, Result};
use crate::store::day_plans::plan_in_force;
use crate::store::day_replans::order_state_set;
use crate::store::orders::{
    NewNote, NoteKind, OrderEvent, OrderRow, OrderState, order_place, order_read, order_was_issued,
    order_waterings_move, orders_of_visit,
};
use crate::store::{Instant, Scope, Tx};

/// What became of a late closing.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
pub struct Late {
    /// The order as it stands now.
    pub order: OrderView,
    /// Whether it is finished now; else only a note was kept, with all that was told.
    pub booked: bool,
    /// The order that stood in its stead and is withdrawn.
    pub withdrawn_id: Option<i64>,
    /// The note for the manager, where one was kept.
    pub note_id: Option<i64>,
}

/// Finishes an order that was withdrawn after its crew had it. Where the order that stands in its stead was not begun,
/// that one is withdrawn; where it was, only a note is kept; where there is none, the work is booked all the same, and the
/// manager is told.
pub fn order_finish_late(
    office: &Office,
    permit: &Permit<WorkOrders>,
    id: i64,
    client_key: String,
    told: &FinishOrder,
) -> Result<Late> {
    let once = Once::new(client_key, format!("finish work order {id} late"), told)?;
    office.db.write(permit, |tx| {
        once.run(tx, permit, |tx| {
            let order = order_read(tx.conn(), permit, id).named("work order")?;
            let user_id = actor(permit)?;
            life::after(order.state, OrderEvent::Reinstated)?;
            if !order_was_issued(tx.conn(), permit, id)? {
                return Err(Error::state_of(
                    "order_never_issued",
                    "the work order was withdrawn before it was handed out: no crew can have done it",
                ));
            }
            let at = told.happened_at.unwrap_or_else(|| tx.now());
            let others = orders_of_visit(tx.conn(), permit, &order)?;
            let not_begun = |other: &OrderRow| {
                matches!(other.state, OrderState::Planned | OrderState::Issued)
            };
            if others.iter().any(|other| !not_begun(other)) {
                let note = note_of(tx, permit, &order, told, (at, user_id))?;
                return late(tx, permit, id, (false, None, Some(note)));
            }
            let rates = Rates::read(tx.conn(), permit)?;
            let other = others.first();
            if let Some(other) = other {
                let happening = Happening {
                    kind: OrderEvent::Withdrawn,
                    at,
                    user_id,
                    data: json!({ "done_as": id }),
                    client_key: None,
                };
                order_waterings_move(tx, permit, other.id, id)?;
                withdraw(tx, permit, &rates, other, happening)?;
            }
            reinstate(tx, permit, &rates, &order, (at, user_id))?;
            let open = order_read(tx.conn(), permit, id)?;
            finish(tx, permit, &once.client_key, &open, told, user_id)?;
            let note = match other {
                Some(_) => None,
                None => Some(note_of(tx, permit, &order, told, (at, user_id))?),
            };
            let withdrawn = other.map(|other| other.id);
            late(tx, permit, id, (true, withdrawn, note))
        })
    })
}

fn late(
    tx: &mut Tx<'_>,
    scope: &Scope,
    id: i64,
    (booked, withdrawn_id, note_id): (bool, Option<i64>, Option<i64>),
) -> Result<Late> {
    Ok(Late {
        order: order_view(tx.conn(), scope, id)?,
        booked,
        withdrawn_id,
        note_id,
    })
}

/// The order is with its crew again, at the end of its round of the plan in force, where the crew has one.
fn reinstate(
    tx: &mut Tx<'_>,
    scope: &Scope,
    rates: &Rates,
    order: &OrderRow,
    (at, user_id): (Instant, i64),
) -> Result<()> {
    let state = life::after(order.state, OrderEvent::Reinstated)?;
    let plan = plan_in_force(tx.conn(), scope, order.work_date)?;
    let moved = plan.is_some_and(|plan| plan.id != order.day_plan_id);
    let placed = if moved {
        match end_of_round(tx, scope, order, order.work_date, order.crew_id) {
            Ok(placed) => Some(placed),
            // The crew is on no shift any more: the order stays in the plan it was of.
            Err(Error::Refused(_) | Error::State(..)) => None,
            Err(why) => return Err(why),
        }
    } else {
        None
    };
    match placed {
        Some(placed) => order_place(tx, scope, order.id, &placed, state)?,
        None => order_state_set(tx, scope, order.id, state)?,
    }
    let happening = Happening {
        kind: OrderEvent::Reinstated,
        at,
        user_id,
        data: json!({ "late": true }),
        client_key: None,
    };
    happens(tx, scope, rates, order, happening)
}

fn note_of(
    tx: &mut Tx<'_>,
    scope: &Scope,
    order: &OrderRow,
    told: &FinishOrder,
    (at, user_id): (Instant, i64),
) -> Result<i64> {
    let data = serde_json::to_value(told)
        .map_err(|why| crate::store::Error::Unreadable(why.to_string()))?;
    let note = NewNote {
        order_id: order.id,
        kind: NoteKind::LateClosing,
        text: "",
        data: &data,
        person_id: None,
        user_id,
        happened_at: at,
        client_key: None,
    };
    keep_note(tx, scope, &note)
}
