//! Lightning and heat stops. Each tap and each release is an event of its own; a stop is what was told
//! first, with whatever followed it, and it is on until it is released.

use diesel::prelude::*;

use super::columns::words;
use super::db::{Conn, Tx};
use super::schema::{crews, stop_events, users};
use super::{Instant, Page, Paged, Result, Scope};

words! {
    /// Why work stops.
    StopKind {
        /// Lightning: the whole site, everyone off the courts.
        Lightning = "lightning",
        /// Heat: the whole site or one crew.
        Heat = "heat",
    }
}

words! {
    /// What happens to a stop.
    StopEvent {
        /// It begins.
        Told = "told",
        /// Told again: with lightning, thunder was heard once more.
        Again = "again",
        /// It is over.
        Released = "released",
    }
}

/// A stop as it began.
#[derive(Clone, Debug, Queryable)]
pub struct StopRow {
    /// Id.
    pub id: i64,
    /// Why.
    pub kind: StopKind,
    /// The crew, where it is not the whole site.
    pub crew_id: Option<i64>,
    /// Name of the crew.
    pub crew: Option<String>,
    /// When it began, as whoever was there tells it.
    pub happened_at: Instant,
    /// Name of who told it.
    pub told_by: String,
}

/// Something that happened to a stop later.
#[derive(Clone, Debug, Queryable)]
pub struct StopEventRow {
    /// The stop.
    pub stop_id: i64,
    /// What happened.
    pub event: StopEvent,
    /// When, as whoever was there tells it.
    pub happened_at: Instant,
    /// Name of who told it.
    pub told_by: String,
}

/// An event to be added.
#[derive(Clone, Debug)]
pub struct NewStopEvent<'a> {
    /// The stop; none where it begins.
    pub stop_id: Option<i64>,
    /// Why work stops.
    pub kind: StopKind,
    /// What happened.
    pub event: StopEvent,
    /// The crew, where it is not the whole site.
    pub crew_id: Option<i64>,
    /// When.
    pub happened_at: Instant,
    /// Who tells it.
    pub user_id: i64,
    /// The client's own key of it.
    pub client_key: &'a str,
}

/// Which stops a list shows.
#[derive(Clone, Copy, Debug, Default)]
pub struct StopFilter {
    /// Of this kind only.
    pub kind: Option<StopKind>,
    /// Only those that are on (true), or over (false).
    pub on: Option<bool>,
}

/// Appends an event; gives its id, which is the stop's where it begins one.
pub fn stop_event_add(tx: &mut Tx<'_>, scope: &Scope, event: &NewStopEvent<'_>) -> Result<i64> {
    let (seq, now) = (tx.next_seq(), tx.now());
    Ok(diesel::insert_into(stop_events::table)
        .values((
            stop_events::site_id.eq(scope.site_id()),
            stop_events::seq.eq(seq),
            stop_events::stop_id.eq(event.stop_id),
            stop_events::kind.eq(event.kind),
            stop_events::event.eq(event.event),
            stop_events::crew_id.eq(event.crew_id),
            stop_events::happened_at.eq(event.happened_at),
            stop_events::learned_at.eq(now),
            stop_events::user_id.eq(event.user_id),
            stop_events::client_key.eq(event.client_key),
        ))
        .returning(stop_events::id)
        .get_result(tx.conn())?)
}

/// The site's stops that pass the filter, in order of id.
pub fn stop_list(
    conn: &mut Conn,
    scope: &Scope,
    filter: StopFilter,
    page: Page,
) -> Result<Paged<StopRow>> {
    let end = diesel::alias!(stop_events as end);
    let over = diesel::dsl::exists(
        end.filter(
            end.field(stop_events::site_id)
                .eq(scope.site_id())
                .and(
                    end.field(stop_events::stop_id)
                        .eq(stop_events::id.nullable()),
                )
                .and(end.field(stop_events::event).eq(StopEvent::Released)),
        ),
    );
    let mut query = stop_events::table
        .left_join(crews::table)
        .inner_join(users::table)
        .filter(
            stop_events::site_id
                .eq(scope.site_id())
                .and(stop_events::stop_id.is_null())
                .and(stop_events::id.gt(page.after)),
        )
        .into_boxed();
    if let Some(kind) = filter.kind {
        query = query.filter(stop_events::kind.eq(kind));
    }
    match filter.on {
        Some(true) => query = query.filter(diesel::dsl::not(over)),
        Some(false) => query = query.filter(over),
        None => {}
    }
    let rows = query
        .order(stop_events::id)
        .limit(page.fetch())
        .select((
            stop_events::id,
            stop_events::kind,
            stop_events::crew_id,
            crews::name.nullable(),
            stop_events::happened_at,
            users::name,
        ))
        .load(conn)?;
    Ok(page.of(rows, |stop: &StopRow| stop.id))
}

/// One stop of the site.
pub fn stop_read(conn: &mut Conn, scope: &Scope, id: i64) -> Result<StopRow> {
    Ok(stop_events::table
        .left_join(crews::table)
        .inner_join(users::table)
        .filter(
            stop_events::site_id
                .eq(scope.site_id())
                .and(stop_events::stop_id.is_null())
                .and(stop_events::id.eq(id)),
        )
        .select((
            stop_events::id,
            stop_events::kind,
            stop_events::crew_id,
            crews::name.nullable(),
            stop_events::happened_at,
            users::name,
        ))
        .first(conn)?)
}

/// What happened to these stops after they began, in the order in which the office learned of it.
pub fn stop_events_of(conn: &mut Conn, scope: &Scope, stops: &[i64]) -> Result<Vec<StopEventRow>> {
    Ok(stop_events::table
        .inner_join(users::table)
        .filter(
            stop_events::site_id
                .eq(scope.site_id())
                .and(stop_events::stop_id.eq_any(stops)),
        )
        .order(stop_events::seq)
        .select((
            stop_events::stop_id.assume_not_null(),
            stop_events::event,
            stop_events::happened_at,
            users::name,
        ))
        .load(conn)?)
}
