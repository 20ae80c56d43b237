//! Orders that no plan makes, carried from one plan to the next as they stand: what mends a defect, and what does the steps
//! that another order left. The planner does not know of them, so that their time is not counted in a crew's round yet.

use crate::desk::Result;
use crate::store::day_plans::{NewRound, round_add, rounds_of};
use crate::store::day_replans::{Carried, order_carry};
use crate::store::orders::{last_position, orders_by_hand};
use crate::store::{Scope, Tx};

/// Carries them over, each to the end of its crew's round, which is made where the new plan has none for the crew. Gives how
/// many.
pub(super) fn carry(tx: &mut Tx<'_>, scope: &Scope, from: i64, to: i64) -> Result<usize> {
    let orders = orders_by_hand(tx.conn(), scope, from)?;
    if orders.is_empty() {
        return Ok(0);
    }
    let old = rounds_of(tx.conn(), scope, from)?;
    for order in &orders {
        let new = rounds_of(tx.conn(), scope, to)?;
        let known = new.iter().find(|round| round.crew_id == order.crew_id);
        let round_id = match (known, old.iter().find(|round| round.id == order.round_id)) {
            (Some(round), _) => round.id,
            (None, Some(round)) => {
                let new = NewRound {
                    day_plan_id: to,
                    crew_id: round.crew_id,
                    shift_id: round.shift_id,
                    leaves_at: round.leaves_at,
                    returns_at: round.returns_at,
                    kit: round.kit.0.clone(),
                    beginning: round.beginning.as_ref().map(|told| told.0.clone()),
                };
                round_add(tx, scope, &new)?
            }
            // Every order stands in a round of its plan.
            (None, None) => continue,
        };
        let carried = Carried {
            order_id: order.id,
            day_plan_id: to,
            round_id,
            position: last_position(tx.conn(), scope, round_id)? + 1,
            times: None,
        };
        order_carry(tx, scope, &carried)?;
    }
    Ok(orders.len())
}
