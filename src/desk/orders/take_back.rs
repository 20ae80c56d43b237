//! Taking a closing back: the order is open again, and what the closing booked is reversed, never changed.

use chrono::TimeDelta;
use serde_json::json;
use trade::calendar::{day_start, work_date};

use super::check::Check;
use super::follow::withdraw_follow_ups;
use super::happens::{Happening, happens};
use super::told::TakeBack;
use super::work::run;
use super::{OrderView, life};
use crate::desk::access::{Permit, WorkOrders};
use crate::desk::booking::{Rates, reverse_closing};
use crate::desk::holds::unhold_by_order;
use crate::desk::once::Once;
use crate::desk::{Error, Office, Result};
use crate::store::crews::shifts_between;
use crate::store::day_replans::order_state_set;
use crate::store::defects::defect_mended;
use crate::store::orders::{OrderEvent, OrderRow, OrderState, order_reopen};
use crate::store::rests::{rest_move, rest_of};
use crate::store::{Conn, Instant, Scope, Standing, Tx};

/// Takes an order's closing back. Its crew may until the end of its shift, overtime included; the manager until the end of
/// the next day. Sent again under the same key, it gives the first answer.
pub fn order_take_back(
    office: &Office,
    permit: &Permit<WorkOrders>,
    id: i64,
    client_key: String,
    told: &TakeBack,
) -> Result<OrderView> {
    let once = Once::new(client_key, format!("take back work order {id}"), told)?;
    run(office, permit, &once, id, |tx, order, user_id| {
        let state = life::after(order.state, OrderEvent::TakenBack)?;
        let (rates, now) = (Rates::read(tx.conn(), permit)?, tx.now());
        let mut check = Check::begin(tx.conn(), permit, &rates, order, now, told.happened_at);
        check.not_before_its_end();
        let note = check.note(told.note.as_deref(), None);
        let at = check.at;
        check.end()?;
        in_time(tx.conn(), permit, &rates, order, at)?;
        withdraw_follow_ups(tx, permit, &rates, order, (at, user_id))?;
        let cents = reverse_closing(tx, permit, &rates, order)?;
        order_reopen(tx, permit, id, state)?;
        defect_mended(tx, permit, id, None)?;
        unhold_by_order(tx, permit, id)?;
        rest_as_planned(tx, permit, order)?;
        let happening = Happening {
            kind: OrderEvent::TakenBack,
            at,
            user_id,
            data: json!({ "cents": cents, "note": note }),
            client_key: Some(&once.client_key),
        };
        happens(tx, permit, &rates, order, happening)?;
        start_again(tx, permit, &rates, order, user_id)
    })
}

/// An order that was started is under way again, since then.
fn start_again(
    tx: &mut Tx<'_>,
    scope: &Scope,
    rates: &Rates,
    order: &OrderRow,
    user_id: i64,
) -> Result<()> {
    let Some(at) = order.started_at else {
        return Ok(());
    };
    order_state_set(tx, scope, order.id, OrderState::UnderWay)?;
    let open = OrderRow {
        version: order.version + 1,
        ..order.clone()
    };
    let happening = Happening {
        kind: OrderEvent::Started,
        at,
        user_id,
        data: json!({ "again": true }),
        client_key: None,
    };
    happens(tx, scope, rates, &open, happening)
}

/// That a closing may still be taken back at `at`, by who asks.
fn in_time(
    conn: &mut Conn,
    scope: &Scope,
    rates: &Rates,
    order: &OrderRow,
    at: Instant,
) -> Result<()> {
    let until = if scope.is_any(&[Standing::Manager]) {
        let given_back = order.ended_at.map_or(order.work_date, |end| {
            work_date(rates.zone, end.utc()).max(order.work_date)
        });
        let after = given_back + TimeDelta::days(2);
        Some(Instant::from(day_start(rates.zone, after)))
    } else {
        let shifts = shifts_between(conn, scope, order.work_date, order.work_date)?;
        let of_crew = shifts.iter().filter(|shift| shift.crew_id == order.crew_id);
        of_crew.map(|shift| shift.overtime_until).max()
    };
    match until {
        Some(until) if at <= until => Ok(()),
        _ => Err(Error::state_of(
            ("too_late_to_take_back", [("until", json!(until))]),
            "a crew takes a work order back until the end of its shift, the manager until the end of the next day",
        )),
    }
}

/// The court rests from when the plan ends the work, until it is really done.
fn rest_as_planned(tx: &mut Tx<'_>, scope: &Scope, order: &OrderRow) -> Result<()> {
    let rest_s = rest_of(tx.conn(), scope, order.id)?;
    let from = order.planned_end;
    if let Some(rest) = TimeDelta::try_seconds(rest_s).filter(|rest| *rest > TimeDelta::zero()) {
        rest_move(tx, scope, order.id, from, (from.utc() + rest).into())?;
    }
    Ok(())
}
