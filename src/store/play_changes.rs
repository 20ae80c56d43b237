//! Play sessions and closures as they are set, changed and called off.

use diesel::prelude::*;

use super::db::{Conn, Tx};
use super::play::{ClosureRow, SessionRow};
use super::schema::{closures, play_sessions};
use super::{Error, Instant, Page, Paged, Result, Scope};

/// Which sessions or closures a list shows.
#[derive(Clone, Copy, Debug, Default)]
pub struct PlayFilter {
    /// That are not over before this.
    pub from: Option<Instant>,
    /// That begin before this.
    pub to: Option<Instant>,
    /// On this court.
    pub court_id: Option<i64>,
}

/// What is set of a session.
#[derive(Clone, Debug, AsChangeset, Insertable)]
#[diesel(table_name = play_sessions)]
#[expect(
    clippy::struct_excessive_bools,
    reason = "each says its own thing of play"
)]
pub struct SessionSet {
    /// The court.
    pub court_id: i64,
    /// What the site calls it.
    pub name: String,
    /// When it begins.
    pub starts_at: Instant,
    /// When it is over, or expected to be.
    pub ends_at: Instant,
    /// The turnaround after it may be short.
    pub short_turnaround: bool,
    /// The players brush the court themselves.
    pub players_brush: bool,
    /// It is over when somebody says so.
    pub open_ended: bool,
    /// Short will do also after a short one.
    pub short_ok: bool,
}

/// The site's sessions that pass the filter, those called off among them.
pub fn session_list(
    conn: &mut Conn,
    scope: &Scope,
    filter: &PlayFilter,
    page: Page,
) -> Result<Paged<SessionRow>> {
    let mut query = play_sessions::table
        .filter(
            play_sessions::site_id
                .eq(scope.site_id())
                .and(play_sessions::id.gt(page.after)),
        )
        .into_boxed();
    if let Some(from) = filter.from {
        query = query.filter(
            play_sessions::ends_at
                .gt(from)
                .or(play_sessions::over_at.gt(from)),
        );
    }
    if let Some(to) = filter.to {
        query = query.filter(play_sessions::starts_at.lt(to));
    }
    if let Some(court) = filter.court_id {
        query = query.filter(play_sessions::court_id.eq(court));
    }
    let rows = query
        .order(play_sessions::id)
        .limit(page.fetch())
        .select(SessionRow::as_select())
        .load(conn)?;
    Ok(page.of(rows, |session| session.id))
}

/// One session.
pub fn session_read(conn: &mut Conn, scope: &Scope, id: i64) -> Result<SessionRow> {
    Ok(play_sessions::table
        .filter(
            play_sessions::site_id
                .eq(scope.site_id())
                .and(play_sessions::id.eq(id)),
        )
        .select(SessionRow::as_select())
        .first(conn)?)
}

/// The session on a court that begins at this instant, called off or not.
pub fn session_starting(
    conn: &mut Conn,
    scope: &Scope,
    court_id: i64,
    starts_at: Instant,
) -> Result<Option<SessionRow>> {
    Ok(play_sessions::table
        .filter(
            play_sessions::site_id
                .eq(scope.site_id())
                .and(play_sessions::court_id.eq(court_id))
                .and(play_sessions::starts_at.eq(starts_at)),
        )
        .select(SessionRow::as_select())
        .first(conn)
        .optional()?)
}

/// Adds a session; gives its id.
pub fn session_add(tx: &mut Tx<'_>, scope: &Scope, set: &SessionSet) -> Result<i64> {
    let now = tx.now();
    Ok(diesel::insert_into(play_sessions::table)
        .values((
            play_sessions::site_id.eq(scope.site_id()),
            play_sessions::changed_at.eq(now),
            set,
        ))
        .returning(play_sessions::id)
        .get_result(tx.conn())?)
}

/// Sets a session that still has `version`, and puts it back where it was called off; else
/// [`Error::Stale`].
pub fn session_set(
    tx: &mut Tx<'_>,
    scope: &Scope,
    id: i64,
    version: i64,
    set: &SessionSet,
) -> Result<()> {
    let now = tx.now();
    let rows = diesel::update(
        play_sessions::table.filter(
            play_sessions::site_id
                .eq(scope.site_id())
                .and(play_sessions::id.eq(id))
                .and(play_sessions::version.eq(version)),
        ),
    )
    .set((
        set,
        play_sessions::cancelled_at.eq(None::<Instant>),
        play_sessions::changed_at.eq(now),
        play_sessions::version.eq(play_sessions::version + 1),
    ))
    .execute(tx.conn())?;
    if rows == 0 {
        return Err(Error::Stale);
    }
    Ok(())
}

/// Notes when a session was over.
pub fn session_over(tx: &mut Tx<'_>, scope: &Scope, id: i64, at: Instant) -> Result<()> {
    let now = tx.now();
    diesel::update(
        play_sessions::table.filter(
            play_sessions::site_id
                .eq(scope.site_id())
                .and(play_sessions::id.eq(id)),
        ),
    )
    .set((
        play_sessions::over_at.eq(at),
        play_sessions::changed_at.eq(now),
        play_sessions::version.eq(play_sessions::version + 1),
    ))
    .execute(tx.conn())?;
    Ok(())
}

/// Calls a session off.
pub fn session_cancel(tx: &mut Tx<'_>, scope: &Scope, id: i64) -> Result<()> {
    let now = tx.now();
    diesel::update(
        play_sessions::table.filter(
            play_sessions::site_id
                .eq(scope.site_id())
                .and(play_sessions::id.eq(id)),
        ),
    )
    .set((
        play_sessions::cancelled_at.eq(now),
        play_sessions::changed_at.eq(now),
        play_sessions::version.eq(play_sessions::version + 1),
    ))
    .execute(tx.conn())?;
    Ok(())
}

/// The site's closures that pass the filter, those called off among them.
pub fn closure_list(
    conn: &mut Conn,
    scope: &Scope,
    filter: &PlayFilter,
    page: Page,
) -> Result<Paged<ClosureRow>> {
    let mut query = closures::table
        .filter(
            closures::site_id
                .eq(scope.site_id())
                .and(closures::id.gt(page.after)),
        )
        .into_boxed();
    if let Some(from) = filter.from {
        query = query.filter(closures::ends_at.gt(from));
    }
    if let Some(to) = filter.to {
        query = query.filter(closures::starts_at.lt(to));
    }
    if let Some(court) = filter.court_id {
        query = query.filter(closures::court_id.eq(court));
    }
    let rows = query
        .order(closures::id)
        .limit(page.fetch())
        .select(ClosureRow::as_select())
        .load(conn)?;
    Ok(page.of(rows, |closure| closure.id))
}

/// One closure.
pub fn closure_read(conn: &mut Conn, scope: &Scope, id: i64) -> Result<ClosureRow> {
    Ok(closures::table
        .filter(
            closures::site_id
                .eq(scope.site_id())
                .and(closures::id.eq(id)),
        )
        .select(ClosureRow::as_select())
        .first(conn)?)
}

/// Shuts a court; gives the closure's id.
pub fn closure_set(
    tx: &mut Tx<'_>,
    scope: &Scope,
    court_id: i64,
    (from, to): (Instant, Instant),
    reason: &str,
) -> Result<i64> {
    let now = tx.now();
    Ok(diesel::insert_into(closures::table)
        .values((
            closures::site_id.eq(scope.site_id()),
            closures::court_id.eq(court_id),
            closures::starts_at.eq(from),
            closures::ends_at.eq(to),
            closures::reason.eq(reason),
            closures::changed_at.eq(now),
        ))
        .returning(closures::id)
        .get_result(tx.conn())?)
}

/// Calls a closure off.
pub fn closure_cancel(tx: &mut Tx<'_>, scope: &Scope, id: i64) -> Result<()> {
    let now = tx.now();
    diesel::update(
        closures::table.filter(
            closures::site_id
                .eq(scope.site_id())
                .and(closures::id.eq(id)),
        ),
    )
    .set((
        closures::cancelled_at.eq(now),
        closures::changed_at.eq(now),
        closures::version.eq(closures::version + 1),
    ))
    .execute(tx.conn())?;
    Ok(())
}

/// Sessions and closures that were set, changed or called off after an instant: those that lie, at least in part,
/// between two others, and the sessions named.
pub fn play_changed_after(
    conn: &mut Conn,
    scope: &Scope,
    (from, to): (Instant, Instant),
    named: &[i64],
    after: Instant,
) -> Result<(Vec<SessionRow>, Vec<ClosureRow>)> {
    let here = play_sessions::starts_at
        .lt(to)
        .and(play_sessions::ends_at.gt(from));
    let sessions = play_sessions::table
        .filter(
            play_sessions::site_id
                .eq(scope.site_id())
                .and(play_sessions::changed_at.gt(after))
                .and(here.or(play_sessions::id.eq_any(named))),
        )
        .order((play_sessions::starts_at, play_sessions::id))
        .select(SessionRow::as_select())
        .load(conn)?;
    let closures = closures::table
        .filter(
            closures::site_id
                .eq(scope.site_id())
                .and(closures::changed_at.gt(after))
                .and(closures::starts_at.lt(to))
                .and(closures::ends_at.gt(from)),
        )
        .order((closures::starts_at, closures::id))
        .select(ClosureRow::as_select())
        .load(conn)?;
    Ok((sessions, closures))
}
