//! What tablets sent, as it came, and what became of it. Both are kept for good.

use diesel::alias;
use diesel::prelude::*;

use super::columns::words;
use super::db::{Conn, Tx};
use super::dialect::each_backend;
use super::schema::{tablet_answers, tablet_events};
use super::{Instant, Page, Paged, Result, Scope};

words! {
    /// What became of something a tablet sent.
    Outcome {
        /// It was done.
        Taken = "taken",
        /// It could not be done any more, since another was first; what it told stands with its order.
        Noted = "noted",
        /// It cannot be so: it is to be mended and sent again.
        Refused = "refused",
    }
}

/// Something a tablet sent, and what became of it.
#[derive(Clone, Debug, Queryable)]
pub struct TabletEventRow {
    /// Id.
    pub id: i64,
    /// The client's own key.
    pub client_key: String,
    /// Who sent it.
    pub user_id: i64,
    /// Who held the tablet, where the site knows them.
    pub person_id: Option<i64>,
    /// The crew whose tablet it was, where the site has it.
    pub crew_id: Option<i64>,
    /// The order it names, where the site has it.
    pub order_id: Option<i64>,
    /// What was told, as JSON.
    pub told: String,
    /// When, by the tablet's clock.
    pub device_at: Instant,
    /// How far that clock was behind the office's, ms.
    pub clock_off_ms: i64,
    /// When it happened, by the office's clock.
    pub happened_at: Instant,
    /// When the office learned of it.
    pub learned_at: Instant,
    /// The key of the refused event that it mends.
    pub mends_key: Option<String>,
    /// What became of it; none where that is not known yet.
    pub outcome: Option<Outcome>,
    /// Why, as JSON.
    pub why: Option<String>,
}

/// Something a tablet sent, to be kept.
#[derive(Clone, Debug)]
pub struct NewTabletEvent {
    /// The client's own key.
    pub client_key: String,
    /// Who sent it.
    pub user_id: i64,
    /// Who held the tablet.
    pub person_id: Option<i64>,
    /// The crew whose tablet it was.
    pub crew_id: Option<i64>,
    /// The order it names.
    pub order_id: Option<i64>,
    /// Its kind, as it was told.
    pub kind: String,
    /// What was told, as JSON.
    pub told: String,
    /// When, by the tablet's clock.
    pub device_at: Instant,
    /// How far that clock was behind the office's, ms.
    pub clock_off_ms: i64,
    /// When, by the office's clock.
    pub happened_at: Instant,
    /// The key of the refused event that it mends.
    pub mends_key: Option<String>,
}

/// Keeps what a tablet sent.
pub fn tablet_event_add(tx: &mut Tx<'_>, scope: &Scope, event: &NewTabletEvent) -> Result<()> {
    let now = tx.now();
    diesel::insert_into(tablet_events::table)
        .values((
            tablet_events::site_id.eq(scope.site_id()),
            tablet_events::client_key.eq(&event.client_key),
            tablet_events::user_id.eq(event.user_id),
            tablet_events::person_id.eq(event.person_id),
            tablet_events::crew_id.eq(event.crew_id),
            tablet_events::order_id.eq(event.order_id),
            tablet_events::kind.eq(&event.kind),
            tablet_events::told.eq(&event.told),
            tablet_events::device_at.eq(event.device_at),
            tablet_events::clock_off_ms.eq(event.clock_off_ms),
            tablet_events::happened_at.eq(event.happened_at),
            tablet_events::learned_at.eq(now),
            tablet_events::mends_key.eq(&event.mends_key),
        ))
        .execute(tx.conn())?;
    Ok(())
}

/// What a row of the site is read from: what was sent, beside what became of it.
macro_rules! sent_of {
    ($scope:expr) => {
        tablet_events::table
            .left_join(
                tablet_answers::table.on(tablet_answers::site_id
                    .eq(tablet_events::site_id)
                    .and(tablet_answers::tablet_event_id.eq(tablet_events::id))),
            )
            .filter(tablet_events::site_id.eq($scope.site_id()))
            .order(tablet_events::id)
            .select((
                tablet_events::id,
                tablet_events::client_key,
                tablet_events::user_id,
                tablet_events::person_id,
                tablet_events::crew_id,
                tablet_events::order_id,
                tablet_events::told,
                tablet_events::device_at,
                tablet_events::clock_off_ms,
                tablet_events::happened_at,
                tablet_events::learned_at,
                tablet_events::mends_key,
                tablet_answers::outcome.nullable(),
                tablet_answers::why.nullable(),
            ))
    };
}

/// What came under these keys, in the order it came.
pub fn tablet_events_by_key(
    conn: &mut Conn,
    scope: &Scope,
    keys: &[String],
) -> Result<Vec<TabletEventRow>> {
    Ok(sent_of!(scope)
        .filter(tablet_events::client_key.eq_any(keys))
        .load(conn)?)
}

/// What a person told by tablet, in the order in which it came.
pub fn tablet_events_of_person(
    conn: &mut Conn,
    scope: &Scope,
    person_id: i64,
) -> Result<Vec<TabletEventRow>> {
    Ok(sent_of!(scope)
        .filter(tablet_events::person_id.eq(person_id))
        .load(conn)?)
}

/// Which of what tablets sent a list shows.
#[derive(Clone, Copy, Debug, Default)]
pub struct SentFilter {
    /// Of this outcome only.
    pub outcome: Option<Outcome>,
    /// Only what nothing that was sent later mends.
    pub unmended: bool,
    /// Only what came from the first instant on, and before the second.
    pub learned: Option<(Instant, Instant)>,
}

/// What tablets sent and passes the filter, in the order in which it came.
pub fn tablet_event_list(
    conn: &mut Conn,
    scope: &Scope,
    filter: SentFilter,
    page: Page,
) -> Result<Paged<TabletEventRow>> {
    let mut query = sent_of!(scope)
        .filter(tablet_events::id.gt(page.after))
        .into_boxed();
    if let Some(outcome) = filter.outcome {
        query = query.filter(tablet_answers::outcome.eq(outcome));
    }
    if filter.unmended {
        let later = alias!(tablet_events as later);
        let mended = later
            .filter(later.field(tablet_events::site_id).eq(scope.site_id()))
            .filter(later.field(tablet_events::mends_key).is_not_null())
            .select(later.field(tablet_events::mends_key).assume_not_null());
        query = query.filter(tablet_events::client_key.ne_all(mended));
    }
    if let Some((from, to)) = filter.learned {
        query = query
            .filter(tablet_events::learned_at.ge(from))
            .filter(tablet_events::learned_at.lt(to));
    }
    let rows = query.limit(page.fetch()).load(conn)?;
    Ok(page.of(rows, |event: &TabletEventRow| event.id))
}

/// Keeps what became of an event. The first answer stands: the same event may be sent twice at once.
pub fn tablet_answer_add(
    tx: &mut Tx<'_>,
    scope: &Scope,
    event: i64,
    outcome: Outcome,
    why: &str,
) -> Result<()> {
    let now = tx.now();
    each_backend!(tx.conn(), conn => {
        diesel::insert_into(tablet_answers::table)
            .values((
                tablet_answers::site_id.eq(scope.site_id()),
                tablet_answers::tablet_event_id.eq(event),
                tablet_answers::outcome.eq(outcome),
                tablet_answers::why.eq(why),
                tablet_answers::answered_at.eq(now),
            ))
            .on_conflict_do_nothing()
            .execute(conn)
    })?;
    Ok(())
}
