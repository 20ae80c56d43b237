//! What happens to an order, and what its closing changes: the event, the row, steps, tools,
//! waterings and readings.

use diesel::prelude::*;

use super::{Fit, OrderEvent, OrderState, UndoneReason};
use crate::store::holds::HoldReason;
use crate::store::schema::{order_events, order_steps, order_tools, waterings, work_orders};
use crate::store::{Conn, Instant, Result, Scope, Tx};

/// Something that happened to an order.
#[derive(Clone, Debug)]
pub struct NewOrderEvent {
    /// The order.
    pub order_id: i64,
    /// What happened.
    pub kind: OrderEvent,
    /// When it happened, as whoever was there tells it.
    pub happened_at: Instant,
    /// When the office learned of it.
    pub learned_at: Instant,
    /// Who told it.
    pub user_id: i64,
    /// What was told with it, as JSON.
    pub data: String,
    /// The client's own key of it.
    pub client_key: Option<String>,
}

/// Appends an event; gives its number in the site's sequence.
pub fn order_event_add(tx: &mut Tx<'_>, scope: &Scope, event: &NewOrderEvent) -> Result<i64> {
    let seq = tx.next_seq();
    diesel::insert_into(order_events::table)
        .values((
            order_events::site_id.eq(scope.site_id()),
            order_events::seq.eq(seq),
            order_events::order_id.eq(event.order_id),
            order_events::kind.eq(event.kind),
            order_events::happened_at.eq(event.happened_at),
            order_events::learned_at.eq(event.learned_at),
            order_events::user_id.eq(event.user_id),
            order_events::data.eq(&event.data),
            order_events::client_key.eq(&event.client_key),
        ))
        .execute(tx.conn())?;
    Ok(seq)
}

/// Notes that an order is under way since `at`.
pub fn order_start(
    tx: &mut Tx<'_>,
    scope: &Scope,
    id: i64,
    state: OrderState,
    at: Instant,
) -> Result<()> {
    diesel::update(
        work_orders::table.filter(
            work_orders::site_id
                .eq(scope.site_id())
                .and(work_orders::id.eq(id)),
        ),
    )
    .set((
        work_orders::state.eq(state),
        work_orders::started_at.eq(at),
        work_orders::version.eq(work_orders::version + 1),
    ))
    .execute(tx.conn())?;
    Ok(())
}

/// How an order stands once it is given back.
#[derive(Clone, Debug)]
pub struct OrderClosed {
    /// Finished or left undone.
    pub state: OrderState,
    /// When it was given back.
    pub ended_at: Instant,
    /// What the crew says of the court.
    pub fit: Option<Fit>,
    /// Until when it is not fit yet.
    pub fit_until: Option<Instant>,
    /// Why it is held, as it was picked.
    pub fit_hold_reason: Option<HoldReason>,
    /// The same in the crew's own words.
    pub fit_reason: Option<String>,
    /// Why it was left undone.
    pub undone_reason: Option<UndoneReason>,
    /// The same in the crew's own words.
    pub undone_note: Option<String>,
}

/// Notes how an order was given back.
pub fn order_close(tx: &mut Tx<'_>, scope: &Scope, id: i64, closed: &OrderClosed) -> Result<()> {
    diesel::update(
        work_orders::table.filter(
            work_orders::site_id
                .eq(scope.site_id())
                .and(work_orders::id.eq(id)),
        ),
    )
    .set((
        work_orders::state.eq(closed.state),
        work_orders::ended_at.eq(closed.ended_at),
        work_orders::fit.eq(closed.fit),
        work_orders::fit_until.eq(closed.fit_until),
        work_orders::fit_hold_reason.eq(closed.fit_hold_reason),
        work_orders::fit_reason.eq(&closed.fit_reason),
        work_orders::undone_reason.eq(closed.undone_reason),
        work_orders::undone_note.eq(&closed.undone_note),
        work_orders::version.eq(work_orders::version + 1),
    ))
    .execute(tx.conn())?;
    Ok(())
}

/// Marks the steps at `done` as done and the order's others as not done.
pub fn order_steps_mark(tx: &mut Tx<'_>, scope: &Scope, order_id: i64, done: &[i64]) -> Result<()> {
    for (is_done, which) in [(false, None), (true, Some(done))] {
        let steps = order_steps::table
            .filter(order_steps::site_id.eq(scope.site_id()))
            .filter(order_steps::order_id.eq(order_id));
        let mark = order_steps::done.eq(is_done);
        match which {
            None => diesel::update(steps).set(mark).execute(tx.conn())?,
            Some(at) => diesel::update(steps.filter(order_steps::position.eq_any(at)))
                .set(mark)
                .execute(tx.conn())?,
        };
    }
    Ok(())
}

/// Notes how often tools were used on an order, as (tool, uses): those it does not name are added,
/// and those of its own that are not told were not used.
pub fn order_tools_mark(
    tx: &mut Tx<'_>,
    scope: &Scope,
    order_id: i64,
    used: &[(i64, i64)],
) -> Result<()> {
    let of_order = order_tools::table
        .filter(order_tools::site_id.eq(scope.site_id()))
        .filter(order_tools::order_id.eq(order_id));
    diesel::update(of_order)
        .set(order_tools::uses.eq(0))
        .execute(tx.conn())?;
    for (tool_id, uses) in used {
        let named = diesel::update(of_order.filter(order_tools::tool_id.eq(tool_id)))
            .set(order_tools::uses.eq(uses))
            .execute(tx.conn())?;
        if named == 0 {
            diesel::insert_into(order_tools::table)
                .values((
                    order_tools::site_id.eq(scope.site_id()),
                    order_tools::order_id.eq(order_id),
                    order_tools::tool_id.eq(tool_id),
                    order_tools::uses.eq(uses),
                ))
                .execute(tx.conn())?;
        }
    }
    Ok(())
}

/// A planned watering that hangs on an order.
#[derive(Clone, Debug, Queryable)]
pub struct WateringOfOrder {
    /// Id; 0 of history that is laid.
    pub id: i64,
    /// Its court.
    pub court_id: i64,
    /// How much, ml.
    pub volume_ml: i64,
}

/// The waterings planned with an order, that have neither run nor been withdrawn.
pub fn order_waterings(
    conn: &mut Conn,
    scope: &Scope,
    order_id: i64,
) -> Result<Vec<WateringOfOrder>> {
    Ok(waterings::table
        .filter(
            waterings::site_id
                .eq(scope.site_id())
                .and(waterings::order_id.eq(order_id))
                .and(waterings::state.eq("planned")),
        )
        .order(waterings::id)
        .select((waterings::id, waterings::court_id, waterings::volume_ml))
        .load(conn)?)
}

/// Notes of the waterings planned with an order whether they run.
pub fn order_waterings_set(
    tx: &mut Tx<'_>,
    scope: &Scope,
    order_id: i64,
    they_run: bool,
) -> Result<()> {
    let planned = waterings::table.filter(
        waterings::site_id
            .eq(scope.site_id())
            .and(waterings::order_id.eq(order_id))
            .and(waterings::state.eq("planned")),
    );
    if they_run {
        // Its water is booked with the order; what a meter says afterwards books the difference.
        diesel::update(planned)
            .set((
                waterings::state.eq("run"),
                waterings::booked_ml.eq(waterings::volume_ml.nullable()),
            ))
            .execute(tx.conn())?;
    } else {
        diesel::update(planned)
            .set(waterings::state.eq("withdrawn"))
            .execute(tx.conn())?;
    }
    Ok(())
}

/// A length measured while an order was done.
#[derive(Clone, Copy, Debug)]
pub struct ReadingOfOrder {
    /// The part.
    pub wear_part_id: i64,
    /// Its length, µm.
    pub length_um: i64,
}
