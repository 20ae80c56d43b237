//! The orders by which somebody opens a valve and closes it again, known by the names of their visits.

use crate::store::Instant;
use crate::store::day_plans::WateringKind;
use crate::store::orders::{OrderState, ValveOrder};

/// An order that opens or closes a valve.
#[derive(Clone, Debug)]
pub struct ValveWork {
    /// The valve.
    pub valve_id: i64,
    /// What its run is for.
    pub kind: WateringKind,
    /// It opens the valve; else it closes it.
    pub opens: bool,
    /// The order.
    pub order: ValveOrder,
}

/// The name of the visit at an end of a valve's run: `open` or `close`.
pub fn valve_key(valve: i64, kind: WateringKind, end: &str) -> String {
    format!("{VALVE}{valve}:{}:{end}", kind.as_str())
}

/// With this the name of a visit to a valve begins.
pub const VALVE: &str = "valve:";

/// The valve, the kind of its run, and whether it is opened, of the name of a visit to a valve.
pub fn valve_of_key(key: &str) -> Option<(i64, WateringKind, bool)> {
    let mut parts = key.strip_prefix(VALVE)?.split(':');
    let valve = parts.next()?.parse().ok()?;
    let kind = parts.next()?.parse().ok()?;
    Some((valve, kind, parts.next()? == "open"))
}

impl ValveWork {
    /// The work of an order; none where it is no order about a valve.
    pub fn of(order: ValveOrder) -> Option<Self> {
        let (valve_id, kind, opens) = valve_of_key(&order.visit_key)?;
        Some(Self {
            valve_id,
            kind,
            opens,
            order,
        })
    }

    /// Whether it is under way or done.
    pub const fn has_begun(&self) -> bool {
        matches!(
            self.order.state,
            OrderState::UnderWay | OrderState::Finished
        )
    }

    /// When it ended, or is to end: under way, after as long as was planned.
    pub fn ends_at(&self) -> Instant {
        let order = &self.order;
        let planned = order.planned_end.utc() - order.planned_start.utc();
        let start = order.started_at.unwrap_or(order.planned_start);
        order
            .ended_at
            .unwrap_or_else(|| (start.utc() + planned).into())
    }
}
