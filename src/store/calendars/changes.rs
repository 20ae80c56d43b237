//! What a calendar would change on a date that is planned.

use diesel::prelude::*;
use serde::{Deserialize, Serialize};
use trade::calendar::Span;

use crate::store::columns::words;
use crate::store::db::{Conn, Tx};
use crate::store::schema::calendar_changes as table;
use crate::store::{Error, Instant, Page, Paged, Result, Scope};

words! {
    /// What would be done.
    CalendarChangeKind {
        /// A session would be added.
        Add = "add",
        /// A session would be moved.
        Move = "move",
        /// A session would be cancelled.
        Cancel = "cancel",
    }
}

words! {
    /// Where a change stands.
    ChangeState {
        /// It waits for somebody's yes or no.
        Proposed = "proposed",
        /// Somebody accepted it, and it is done.
        Accepted = "accepted",
        /// Somebody refused it: the same change is not proposed again.
        Refused = "refused",
        /// The calendar itself no longer asks for it.
        Withdrawn = "withdrawn",
    }
}

/// A change.
#[derive(Clone, Debug, Queryable, Selectable, Serialize, Deserialize, utoipa::ToSchema)]
#[diesel(table_name = table)]
#[schema(as = CalendarChange)]
pub struct ChangeRow {
    /// Id.
    pub id: i64,
    /// The calendar.
    pub calendar_id: i64,
    /// What would be done.
    pub kind: CalendarChangeKind,
    /// The event.
    pub uid: String,
    /// Its instance; empty where it does not recur.
    pub recurrence: String,
    /// The event's revision.
    pub sequence: i64,
    #[serde(skip, default)]
    #[schema(ignore)]
    pub(crate) digest: String,
    /// The court it would be on; of one to be cancelled, the court it is on.
    pub court_id: i64,
    /// What it is called.
    pub name: String,
    /// From when it would be.
    pub starts_at: Instant,
    /// Until when.
    pub ends_at: Instant,
    /// From when it is now.
    pub was_starts_at: Option<Instant>,
    /// Until when.
    pub was_ends_at: Option<Instant>,
    /// Where it stands.
    pub state: ChangeState,
    /// When the calendar first asked for it.
    pub proposed_at: Instant,
    /// When somebody decided.
    pub decided_at: Option<Instant>,
}

/// A change to be proposed.
#[derive(Clone, Debug)]
pub struct NewChange<'a> {
    /// What would be done.
    pub kind: CalendarChangeKind,
    /// The event, its instance, its revision, and the digest of what it says.
    pub event: (&'a str, &'a str, i64, &'a str),
    /// The court.
    pub court_id: i64,
    /// What it is called.
    pub name: &'a str,
    /// From when until when.
    pub span: (Instant, Instant),
    /// From when until when it is now.
    pub was: Option<(Instant, Instant)>,
}

/// A site's changes that wait, in order of id.
pub fn change_list(conn: &mut Conn, scope: &Scope, page: Page) -> Result<Paged<ChangeRow>> {
    let rows = table::table
        .filter(
            table::site_id
                .eq(scope.site_id())
                .and(table::state.eq(ChangeState::Proposed))
                .and(table::id.gt(page.after)),
        )
        .order(table::id)
        .limit(page.fetch())
        .select(ChangeRow::as_select())
        .load(conn)?;
    Ok(page.of(rows, |row| row.id))
}

/// How many changes wait that touch a stretch of time, by when they would be or by when they are now.
pub fn changes_within(conn: &mut Conn, scope: &Scope, within: Span) -> Result<usize> {
    let (from, to) = (Instant::from(within.from), Instant::from(within.to));
    let would_be = table::starts_at.lt(to).and(table::ends_at.gt(from));
    let are = table::was_starts_at
        .lt(to)
        .and(table::was_ends_at.gt(from))
        .assume_not_null();
    let count: i64 = table::table
        .filter(
            table::site_id
                .eq(scope.site_id())
                .and(table::state.eq(ChangeState::Proposed))
                .and(would_be.or(are)),
        )
        .count()
        .get_result(conn)?;
    Ok(usize::try_from(count).unwrap_or(usize::MAX))
}

/// One change.
pub fn change_read(conn: &mut Conn, scope: &Scope, id: i64) -> Result<ChangeRow> {
    Ok(table::table
        .filter(table::site_id.eq(scope.site_id()).and(table::id.eq(id)))
        .select(ChangeRow::as_select())
        .first(conn)?)
}

/// The changes of a calendar that wait or were refused and are not over, oldest first.
pub fn changes_of(
    conn: &mut Conn,
    scope: &Scope,
    calendar_id: i64,
    after: Instant,
) -> Result<Vec<ChangeRow>> {
    Ok(table::table
        .filter(
            table::site_id
                .eq(scope.site_id())
                .and(table::calendar_id.eq(calendar_id))
                .and(table::state.eq_any([ChangeState::Proposed, ChangeState::Refused]))
                .and(
                    table::ends_at
                        .gt(after)
                        .or(table::state.eq(ChangeState::Proposed)),
                ),
        )
        .order(table::id)
        .select(ChangeRow::as_select())
        .load(conn)?)
}

/// Proposes a change.
pub fn change_add(
    tx: &mut Tx<'_>,
    scope: &Scope,
    calendar_id: i64,
    new: &NewChange<'_>,
) -> Result<()> {
    let now = tx.now();
    let (uid, recurrence, sequence, digest) = new.event;
    diesel::insert_into(table::table)
        .values((
            table::site_id.eq(scope.site_id()),
            table::calendar_id.eq(calendar_id),
            table::kind.eq(new.kind),
            table::uid.eq(uid),
            table::recurrence.eq(recurrence),
            table::sequence.eq(sequence),
            table::digest.eq(digest),
            table::court_id.eq(new.court_id),
            table::name.eq(new.name),
            table::starts_at.eq(new.span.0),
            table::ends_at.eq(new.span.1),
            table::was_starts_at.eq(new.was.map(|was| was.0)),
            table::was_ends_at.eq(new.was.map(|was| was.1)),
            table::state.eq(ChangeState::Proposed),
            table::proposed_at.eq(now),
        ))
        .execute(tx.conn())?;
    Ok(())
}

/// Decides a change that waits; [`Error::Stale`] where somebody else did.
pub fn change_decide(tx: &mut Tx<'_>, scope: &Scope, id: i64, state: ChangeState) -> Result<()> {
    let now = tx.now();
    let rows = diesel::update(
        table::table.filter(
            table::site_id
                .eq(scope.site_id())
                .and(table::id.eq(id))
                .and(table::state.eq(ChangeState::Proposed)),
        ),
    )
    .set((
        table::state.eq(state),
        table::decided_at.eq(now),
        table::decided_by.eq(scope.user_id()),
    ))
    .execute(tx.conn())?;
    if rows == 1 { Ok(()) } else { Err(Error::Stale) }
}

/// Withdraws changes that the calendar no longer asks for.
pub fn changes_withdraw(tx: &mut Tx<'_>, scope: &Scope, ids: &[i64]) -> Result<()> {
    let now = tx.now();
    for some in ids.chunks(500) {
        diesel::update(
            table::table.filter(
                table::site_id
                    .eq(scope.site_id())
                    .and(table::id.eq_any(some)),
            ),
        )
        .set((
            table::state.eq(ChangeState::Withdrawn),
            table::decided_at.eq(now),
        ))
        .execute(tx.conn())?;
    }
    Ok(())
}
