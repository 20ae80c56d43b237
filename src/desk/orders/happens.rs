//! What happens to an order, noted with its event and in the trail.

use serde_json::{Value, json};

use crate::desk::Result;
use crate::desk::booking::{Rates, SOURCE};
use crate::store::audit::{Deed, Touch, audit_append_about};
use crate::store::orders::{NewOrderEvent, OrderEvent, OrderRow, order_event_add};
use crate::store::{Instant, Scope, Tx, columns};

/// Something that happened to an order.
pub(super) struct Happening<'a> {
    /// What.
    pub kind: OrderEvent,
    /// When, as whoever was there tells it.
    pub at: Instant,
    /// Who told it.
    pub user_id: i64,
    /// What was told with it.
    pub data: Value,
    /// The client's own key of it.
    pub client_key: Option<&'a str>,
}

/// Appends what happened to an order, as it stood before, and notes it in the trail of the order and its courts.
pub(super) fn happens(
    tx: &mut Tx<'_>,
    scope: &Scope,
    rates: &Rates,
    order: &OrderRow,
    happening: Happening<'_>,
) -> Result<()> {
    let event = NewOrderEvent {
        order_id: order.id,
        kind: happening.kind,
        happened_at: happening.at,
        learned_at: tx.now(),
        user_id: happening.user_id,
        data: columns::json(&happening.data)?,
        client_key: happening.client_key.map(str::to_owned),
    };
    let seq = order_event_add(tx, scope, &event)?;
    let mut data = happening.data;
    if let Some(data) = data.as_object_mut() {
        data.insert("event".into(), json!(seq));
        data.insert("version".into(), json!(order.version + 1));
    }
    let deed = Deed {
        verb: happening.kind.as_str(),
        subject: SOURCE,
        id: order.id,
        data,
    };
    let courts: Vec<Touch> = rates
        .courts_of(order)
        .map(|court| ("court", court))
        .collect();
    Ok(audit_append_about(tx, scope, &deed, &courts)?)
}
