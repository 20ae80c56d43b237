//! What came too late: another tablet or the office was first. What a crew did stands where it can; else all it told stands as a
//! note on the order, which waits for the manager. Nothing is booked twice.

use serde_json::Value;

use super::Happening;
use crate::desk::access::{Permit, WorkOrders};
use crate::desk::orders::life;
use crate::desk::orders::told::NoteTold;
use crate::desk::orders::{order_finish_late, order_note};
use crate::desk::{Error, Office, Result};
use crate::store::orders::{NoteKind, OrderState, orders_by_id};
use crate::store::tablet_events::{Outcome, TabletEventRow};

/// The key of what a late event is done under: the same event may be on its way twice at once, and finds under its own key
/// nothing but what it told.
pub(in crate::desk) fn late_key(key: &str) -> String {
    format!("{key}{LATE}")
}

/// The key of the event itself behind the key of a late one.
pub(in crate::desk) fn key_behind(key: &str) -> &str {
    key.strip_suffix(LATE).unwrap_or(key)
}

const LATE: &str = "-late";

/// What becomes of a happening that its order was not in the state for.
pub(super) fn outcome(
    office: &Office,
    permit: &Permit<WorkOrders>,
    row: &TabletEventRow,
    happening: &Happening,
    told: &Value,
) -> Result<Outcome> {
    let (Some(id), Some(event)) = (row.order_id, happening.event_of_order()) else {
        return Ok(Outcome::Refused);
    };
    let orders = office.db.read(|conn| orders_by_id(conn, permit, &[id]))?;
    let Some(order) = orders.first() else {
        return Ok(Outcome::Refused);
    };
    if life::after(order.state, event).is_ok() {
        // It is not the order that stands in the way: a held court, lightning, a shift that is over.
        return Ok(Outcome::Refused);
    }
    let key = || late_key(&row.client_key);
    if let (Happening::Finish(_, finish), OrderState::Withdrawn) = (happening, order.state) {
        match order_finish_late(office, permit, id, key(), finish) {
            Ok(late) if late.booked => return Ok(Outcome::Taken),
            Ok(_) => return Ok(Outcome::Noted),
            Err(Error::State(..) | Error::Refused(_)) => {}
            Err(other) => return Err(other),
        }
    }
    if let Happening::Start(..) = happening {
        // That an order was begun before another closed it changes nothing, and asks nobody for anything.
        return Ok(Outcome::Noted);
    }
    let note = NoteTold {
        text: String::new(),
        kind: Some(NoteKind::LateClosing),
        data: told.as_object().cloned(),
        person_id: row.person_id,
        happened_at: Some(row.happened_at),
    };
    match order_note(office, permit, id, key(), &note) {
        Ok(_) => Ok(Outcome::Noted),
        // Even its time cannot be: the tablet asks its crew.
        Err(Error::Refused(_)) => Ok(Outcome::Refused),
        Err(other) => Err(other),
    }
}
