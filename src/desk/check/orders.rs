//! Where each order stands follows from what happened to it, by the table of its life.

use super::{Anchor, Found, counted};
use crate::desk::Result;
use crate::desk::orders::life;
use crate::store::orders::{OrderEvent, OrderState};
use crate::store::proofs::{OrderStanding, orders_with_events};
use crate::store::{Conn, Scope};

const AT_ONCE: i64 = 500;

pub(super) fn prove(conn: &mut Conn, scope: &Scope, _: &[Anchor]) -> Result<Found> {
    let (mut found, mut after, mut count) = (Found::default(), 0, 0);
    loop {
        let orders = orders_with_events(conn, scope, after, AT_ONCE)?;
        let Some(last) = orders.last() else { break };
        after = last.id;
        for order in &orders {
            count += 1;
            if let Err(why) = follows(order) {
                found.note(format!("order {}: {why}", order.id));
            }
        }
    }
    found.looked_at = counted(count, "orders");
    Ok(found)
}

fn follows(order: &OrderStanding) -> std::result::Result<(), String> {
    let mut state = OrderState::Planned;
    for event in &order.events {
        state = life::after(state, event.kind).map_err(|_| {
            format!(
                "event {} ({}) cannot happen to a {state} order",
                event.seq, event.kind
            )
        })?;
    }
    if state != order.state {
        return Err(format!(
            "it is {}, and its events make it {state}",
            order.state
        ));
    }
    let closing = order
        .events
        .iter()
        .rev()
        .find(|event| matches!(event.kind, OrderEvent::Finished | OrderEvent::LeftUndone));
    let is_closed = matches!(state, OrderState::Finished | OrderState::LeftUndone);
    match closing.filter(|_| is_closed) {
        None if order.ended_at.is_some() => Err("it ended, and it is not given back".into()),
        Some(closing) if order.ended_at != Some(closing.happened_at) => Err(format!(
            "it ended at another time than event {} says",
            closing.seq
        )),
        _ => Ok(()),
    }
}
