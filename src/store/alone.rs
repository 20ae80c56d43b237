//! Who works alone. Each start, each sign of life and each end is an event of its own, and they come in any order: a watch
//! is what was started under one key, with whatever was told under it.

use diesel::prelude::*;

use super::columns::words;
use super::db::{Conn, Tx};
use super::schema::{alone_events, courts, people};
use super::{Instant, Page, Paged, Result, Scope};

words! {
    /// What is told of somebody who works alone.
    AloneEvent {
        /// They begin to.
        Started = "started",
        /// They are well.
        CheckedIn = "checked_in",
        /// They do so no more.
        Ended = "ended",
    }
}

/// A watch as it was started.
#[derive(Clone, Debug, Queryable)]
pub struct WatchRow {
    /// Id of its start.
    pub id: i64,
    /// The client's own key of it.
    pub watch_key: String,
    /// Who works alone.
    pub person_id: i64,
    /// Their name.
    pub person: String,
    /// Their crew.
    pub crew_id: Option<i64>,
    /// The court.
    pub court_id: Option<i64>,
    /// Its name.
    pub court: Option<String>,
    /// When it began.
    pub happened_at: Instant,
    /// When the office learned of it.
    pub learned_at: Instant,
}

/// Something that was told of a watch later.
#[derive(Clone, Debug, Queryable)]
pub struct SignRow {
    /// The watch.
    pub watch_key: String,
    /// What was told.
    pub event: AloneEvent,
    /// When it happened.
    pub happened_at: Instant,
    /// When the office learned of it.
    pub learned_at: Instant,
}

/// An event to be added.
#[derive(Clone, Debug)]
pub struct NewAloneEvent<'a> {
    /// The watch.
    pub watch_key: &'a str,
    /// What is told.
    pub event: AloneEvent,
    /// Who works alone; told with the start.
    pub person_id: Option<i64>,
    /// Their crew.
    pub crew_id: Option<i64>,
    /// The court.
    pub court_id: Option<i64>,
    /// When.
    pub happened_at: Instant,
    /// Who tells it.
    pub user_id: i64,
    /// The client's own key of it.
    pub client_key: &'a str,
}

/// Appends an event; gives its id.
pub fn alone_event_add(tx: &mut Tx<'_>, scope: &Scope, new: &NewAloneEvent<'_>) -> Result<i64> {
    let (seq, now) = (tx.next_seq(), tx.now());
    Ok(diesel::insert_into(alone_events::table)
        .values((
            alone_events::site_id.eq(scope.site_id()),
            alone_events::seq.eq(seq),
            alone_events::watch_key.eq(new.watch_key),
            alone_events::event.eq(new.event),
            alone_events::person_id.eq(new.person_id),
            alone_events::crew_id.eq(new.crew_id),
            alone_events::court_id.eq(new.court_id),
            alone_events::happened_at.eq(new.happened_at),
            alone_events::learned_at.eq(now),
            alone_events::user_id.eq(new.user_id),
            alone_events::client_key.eq(new.client_key),
        ))
        .returning(alone_events::id)
        .get_result(tx.conn())?)
}

/// Which watches are wanted.
#[derive(Clone, Copy, Debug, Default)]
pub struct WatchFilter {
    /// Only those that go on (true), or ended (false).
    pub on: Option<bool>,
    /// Only those whose start the office learned of then or later.
    pub learned_from: Option<Instant>,
}

/// The site's watches that pass the filter, in order of their starts' ids.
pub fn watch_list(
    conn: &mut Conn,
    scope: &Scope,
    filter: WatchFilter,
    page: Page,
) -> Result<Paged<WatchRow>> {
    let end = diesel::alias!(alone_events as end);
    let over = diesel::dsl::exists(
        end.filter(
            end.field(alone_events::site_id)
                .eq(scope.site_id())
                .and(
                    end.field(alone_events::watch_key)
                        .eq(alone_events::watch_key),
                )
                .and(end.field(alone_events::event).eq(AloneEvent::Ended)),
        ),
    );
    let mut query = alone_events::table
        .inner_join(people::table)
        .left_join(courts::table)
        .filter(
            alone_events::site_id
                .eq(scope.site_id())
                .and(alone_events::event.eq(AloneEvent::Started))
                .and(alone_events::id.gt(page.after)),
        )
        .into_boxed();
    if let Some(from) = filter.learned_from {
        query = query.filter(alone_events::learned_at.ge(from));
    }
    match filter.on {
        Some(true) => query = query.filter(diesel::dsl::not(over)),
        Some(false) => query = query.filter(over),
        None => {}
    }
    let rows = query
        .order(alone_events::id)
        .limit(page.fetch())
        .select((
            alone_events::id,
            alone_events::watch_key,
            people::id,
            people::name,
            alone_events::crew_id,
            alone_events::court_id,
            courts::name.nullable(),
            alone_events::happened_at,
            alone_events::learned_at,
        ))
        .load(conn)?;
    Ok(page.of(rows, |watch: &WatchRow| watch.id))
}

/// What was told of these watches beside their starts, in the order in which the office learned of it.
pub fn signs_of(conn: &mut Conn, scope: &Scope, watches: &[String]) -> Result<Vec<SignRow>> {
    Ok(alone_events::table
        .filter(
            alone_events::site_id
                .eq(scope.site_id())
                .and(alone_events::watch_key.eq_any(watches))
                .and(alone_events::event.ne(AloneEvent::Started)),
        )
        .order(alone_events::seq)
        .select((
            alone_events::watch_key,
            alone_events::event,
            alone_events::happened_at,
            alone_events::learned_at,
        ))
        .load(conn)?)
}
