//! What happened to orders, as it is read.

use diesel::prelude::*;
use serde::Serialize;

use super::OrderEvent;
use crate::store::schema::{order_events, users};
use crate::store::{Conn, Instant, Page, Paged, Result, Scope};

/// Something that happened to an order.
#[derive(Clone, Debug, Queryable, Serialize, utoipa::ToSchema)]
#[schema(as = OrderHappened)]
pub struct OrderEventRow {
    /// Id.
    pub id: i64,
    /// The order.
    pub order_id: i64,
    /// What happened.
    pub kind: OrderEvent,
    /// When it happened, as whoever was there tells it.
    pub happened_at: Instant,
    /// When the office learned of it.
    pub learned_at: Instant,
    /// The user who told it: a person, or a crew's tablet.
    pub user_id: i64,
    /// That user's name.
    pub by: String,
}

/// What happened to an order, in the order in which the office learned of it.
pub fn order_event_list(
    conn: &mut Conn,
    scope: &Scope,
    order_id: i64,
    page: Page,
) -> Result<Paged<OrderEventRow>> {
    let rows = order_events::table
        .inner_join(users::table)
        .filter(
            order_events::site_id
                .eq(scope.site_id())
                .and(order_events::order_id.eq(order_id))
                .and(order_events::id.gt(page.after)),
        )
        .order(order_events::id)
        .limit(page.fetch())
        .select((
            order_events::id,
            order_events::order_id,
            order_events::kind,
            order_events::happened_at,
            order_events::learned_at,
            order_events::user_id,
            users::name,
        ))
        .load(conn)?;
    Ok(page.of(rows, |event: &OrderEventRow| event.id))
}
