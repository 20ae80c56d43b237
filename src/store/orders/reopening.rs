//! What the taking back of a closing undoes of an order's own rows, and what its steps left over take with them.

use diesel::prelude::*;

use super::{Fit, OrderEvent, OrderState, UndoneReason};
use crate::store::holds::HoldReason;
use crate::store::schema::{
    order_events, order_steps, order_tools, readings, waterings, work_orders,
};
use crate::store::{Conn, Instant, Result, Scope, Tx};

/// Opens an order again: nothing is said of its end any more.
pub fn order_reopen(tx: &mut Tx<'_>, scope: &Scope, id: i64, state: OrderState) -> Result<()> {
    diesel::update(
        work_orders::table.filter(
            work_orders::site_id
                .eq(scope.site_id())
                .and(work_orders::id.eq(id)),
        ),
    )
    .set((
        work_orders::state.eq(state),
        work_orders::ended_at.eq(None::<Instant>),
        work_orders::fit.eq(None::<Fit>),
        work_orders::fit_until.eq(None::<Instant>),
        work_orders::fit_hold_reason.eq(None::<HoldReason>),
        work_orders::fit_reason.eq(None::<String>),
        work_orders::undone_reason.eq(None::<UndoneReason>),
        work_orders::undone_note.eq(None::<String>),
        work_orders::version.eq(work_orders::version + 1),
    ))
    .execute(tx.conn())?;
    Ok(())
}

/// What the last closing of an order told, as its event keeps it, JSON.
pub fn closing_told(conn: &mut Conn, scope: &Scope, order_id: i64) -> Result<String> {
    Ok(order_events::table
        .filter(
            order_events::site_id
                .eq(scope.site_id())
                .and(order_events::order_id.eq(order_id))
                .and(order_events::kind.eq_any([OrderEvent::Finished, OrderEvent::LeftUndone])),
        )
        .order(order_events::seq.desc())
        .select(order_events::data)
        .first(conn)?)
}

/// Whether an order's steps were done is not known any more.
pub fn order_steps_unmark(tx: &mut Tx<'_>, scope: &Scope, order_id: i64) -> Result<()> {
    let of_order = order_steps::site_id
        .eq(scope.site_id())
        .and(order_steps::order_id.eq(order_id));
    diesel::update(order_steps::table.filter(of_order))
        .set(order_steps::done.eq(None::<bool>))
        .execute(tx.conn())?;
    Ok(())
}

/// The uses of an order's tools are not known any more, and those that came with its closing go.
pub fn order_tools_unmark(
    tx: &mut Tx<'_>,
    scope: &Scope,
    order_id: i64,
    added: &[i64],
) -> Result<()> {
    let of_order = order_tools::table
        .filter(order_tools::site_id.eq(scope.site_id()))
        .filter(order_tools::order_id.eq(order_id));
    diesel::delete(of_order.filter(order_tools::tool_id.eq_any(added))).execute(tx.conn())?;
    diesel::update(of_order)
        .set(order_tools::uses.eq(None::<i64>))
        .execute(tx.conn())?;
    Ok(())
}

/// The readings that came with an order no longer count.
pub fn order_readings_take_back(tx: &mut Tx<'_>, scope: &Scope, order_id: i64) -> Result<()> {
    let now = tx.now();
    let of_order = readings::site_id
        .eq(scope.site_id())
        .and(readings::order_id.eq(order_id))
        .and(readings::taken_back_at.is_null());
    diesel::update(readings::table.filter(of_order))
        .set(readings::taken_back_at.eq(now))
        .execute(tx.conn())?;
    Ok(())
}

/// A run of water that hangs on an order.
#[derive(Clone, Debug, Queryable)]
pub struct RunOfOrder {
    /// Id.
    pub id: i64,
    /// How much was planned, ml.
    pub volume_ml: i64,
    /// What of it is booked, ml.
    pub booked_ml: Option<i64>,
    /// Whether somebody told of it by itself.
    pub is_told: bool,
}

/// All runs of water that hang on an order.
pub fn order_waterings_all(
    conn: &mut Conn,
    scope: &Scope,
    order_id: i64,
) -> Result<Vec<RunOfOrder>> {
    Ok(waterings::table
        .filter(
            waterings::site_id
                .eq(scope.site_id())
                .and(waterings::order_id.eq(order_id)),
        )
        .order(waterings::id)
        .select((
            waterings::id,
            waterings::volume_ml,
            waterings::booked_ml,
            waterings::told_at.is_not_null(),
        ))
        .load(conn)?)
}

/// A run of water is planned again, and nothing of it is booked.
pub fn watering_as_planned(tx: &mut Tx<'_>, scope: &Scope, id: i64) -> Result<()> {
    diesel::update(
        waterings::table.filter(
            waterings::site_id
                .eq(scope.site_id())
                .and(waterings::id.eq(id)),
        ),
    )
    .set((
        waterings::state.eq("planned"),
        waterings::booked_ml.eq(None::<i64>),
    ))
    .execute(tx.conn())?;
    Ok(())
}

/// Hangs the planned water of one order on another of the same visit.
pub fn order_waterings_move(tx: &mut Tx<'_>, scope: &Scope, from: i64, to: i64) -> Result<()> {
    let planned = waterings::site_id
        .eq(scope.site_id())
        .and(waterings::order_id.eq(from))
        .and(waterings::state.eq("planned"));
    diesel::update(waterings::table.filter(planned))
        .set(waterings::order_id.eq(to))
        .execute(tx.conn())?;
    Ok(())
}

/// Plans these runs of water once more, for the order that does what another left.
pub fn waterings_again(
    tx: &mut Tx<'_>,
    scope: &Scope,
    ids: &[i64],
    day_plan_id: i64,
    order_id: i64,
) -> Result<()> {
    type Row = (i64, String, Instant, Instant, i64, i64, Option<i64>);
    let rows: Vec<Row> = waterings::table
        .filter(
            waterings::site_id
                .eq(scope.site_id())
                .and(waterings::id.eq_any(ids))
                .and(waterings::state.eq("withdrawn")),
        )
        .order(waterings::id)
        .select((
            waterings::court_id,
            waterings::kind,
            waterings::starts_at,
            waterings::ends_at,
            waterings::flow_mlps,
            waterings::volume_ml,
            waterings::valve_id,
        ))
        .load(tx.conn())?;
    for (court_id, kind, starts_at, ends_at, flow_mlps, volume_ml, valve_id) in rows {
        diesel::insert_into(waterings::table)
            .values((
                waterings::site_id.eq(scope.site_id()),
                waterings::day_plan_id.eq(day_plan_id),
                waterings::court_id.eq(court_id),
                waterings::order_id.eq(order_id),
                waterings::kind.eq(kind),
                waterings::starts_at.eq(starts_at),
                waterings::ends_at.eq(ends_at),
                waterings::flow_mlps.eq(flow_mlps),
                waterings::volume_ml.eq(volume_ml),
                waterings::state.eq("planned"),
                waterings::valve_id.eq(valve_id),
            ))
            .execute(tx.conn())?;
    }
    Ok(())
}
