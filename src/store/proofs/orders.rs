//! Orders with what happened to them, and the answers that are kept for what is sent again.

use diesel::prelude::*;

use super::{told, word};
use crate::store::db::Conn;
use crate::store::orders::{OrderEvent, OrderState};
use crate::store::schema::{order_events, work_orders};
use crate::store::{Instant, Result, Scope};

/// An order as it stands, with its events.
#[derive(Clone, Debug)]
pub struct OrderStanding {
    /// The order.
    pub id: i64,
    /// Its state.
    pub state: OrderState,
    /// When it was given back.
    pub ended_at: Option<Instant>,
    /// What happened to it, in the order in which it was booked.
    pub events: Vec<EventOf>,
}

/// What happened to an order.
#[derive(Clone, Copy, Debug)]
pub struct EventOf {
    /// Number of the event.
    pub seq: i64,
    /// What happened.
    pub kind: OrderEvent,
    /// When.
    pub happened_at: Instant,
}

/// So many of the site's orders above `after`, by id.
pub fn orders_with_events(
    conn: &mut Conn,
    scope: &Scope,
    after: i64,
    limit: i64,
) -> Result<Vec<OrderStanding>> {
    let orders: Vec<(i64, String, Option<Instant>)> = work_orders::table
        .filter(
            work_orders::site_id
                .eq(scope.site_id())
                .and(work_orders::id.gt(after)),
        )
        .order(work_orders::id)
        .limit(limit)
        .select((work_orders::id, work_orders::state, work_orders::ended_at))
        .load(conn)?;
    let (Some(first), Some(last)) = (orders.first(), orders.last()) else {
        return Ok(Vec::new());
    };
    let events: Vec<(i64, i64, String, Instant)> = order_events::table
        .filter(
            order_events::site_id
                .eq(scope.site_id())
                .and(order_events::order_id.between(first.0, last.0)),
        )
        .order((order_events::order_id, order_events::seq))
        .select((
            order_events::order_id,
            order_events::seq,
            order_events::kind,
            order_events::happened_at,
        ))
        .load(conn)?;
    let mut events = events.into_iter().peekable();
    let mut standing = Vec::with_capacity(orders.len());
    for (id, state, ended_at) in orders {
        let mut of_it = Vec::new();
        while let Some((_, seq, kind, happened_at)) = events.next_if(|event| event.0 == id) {
            let kind = word(&kind, "order event")?;
            of_it.push(EventOf {
                seq,
                kind,
                happened_at,
            });
        }
        standing.push(OrderStanding {
            id,
            state: word(&state, "order state")?,
            ended_at,
            events: of_it,
        });
    }
    Ok(standing)
}

/// Answers kept for what is sent again that could not be given again, and events that carry a key
/// whose answer is not kept.
pub fn answers_odd(conn: &mut Conn, scope: &Scope, limit: i64) -> Result<Vec<String>> {
    let site = scope.site_id();
    told(
        conn,
        &format!(
            "SELECT told FROM (
                SELECT 'the answer kept under ' || client_key || ' is not one that can be given again' AS told
                FROM idempotency_keys
                WHERE site_id = {site}
                    AND (LENGTH(request_digest) <> 32 OR operation = '' OR body = '')
                UNION ALL
                SELECT 'order event ' || CAST(e.seq AS TEXT) || ' carries the key ' || e.client_key
                    || ', and no answer is kept under it' AS told
                FROM order_events e
                WHERE e.site_id = {site} AND e.client_key IS NOT NULL AND NOT EXISTS (
                    SELECT 1 FROM idempotency_keys k
                    WHERE k.site_id = e.site_id AND k.client_key = e.client_key)
                UNION ALL
                SELECT 'stop event ' || CAST(e.seq AS TEXT) || ' carries the key ' || e.client_key
                    || ', and no answer is kept under it' AS told
                FROM stop_events e
                WHERE e.site_id = {site} AND e.client_key IS NOT NULL AND NOT EXISTS (
                    SELECT 1 FROM idempotency_keys k
                    WHERE k.site_id = e.site_id AND k.client_key = e.client_key)
            ) AS odd LIMIT {limit}"
        ),
    )
}
