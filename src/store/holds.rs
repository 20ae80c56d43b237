//! Holds: a court kept shut by someone on shift until a person releases it.

use diesel::prelude::*;

use super::columns::words;
use super::db::{Conn, Tx};
use super::schema::{courts, holds, users};
use super::{Error, Instant, Page, Paged, Result, Scope};

words! {
    /// Why a court is held.
    HoldReason {
        /// A line tape has lifted, or a nail stands up.
        LiftedTape = "lifted_tape",
        /// A hole that cannot be filled at once.
        Hole = "hole",
        /// A net, its cable or a post is broken.
        NetOrPost = "net_or_post",
        /// Glass on the court.
        Glass = "glass",
        /// Water stands on it.
        StandingWater = "standing_water",
        /// Something else: the note says what.
        Other = "other",
    }
}

/// A hold.
#[derive(Clone, Debug, Queryable)]
pub struct HoldRow {
    /// Id.
    pub id: i64,
    /// The court.
    pub court_id: i64,
    /// Its name.
    pub court: String,
    /// The order on whose return it was said.
    pub order_id: Option<i64>,
    /// Why.
    pub reason: HoldReason,
    /// The same in the holder's own words.
    pub note: Option<String>,
    /// Since when.
    pub held_at: Instant,
    /// Who held it.
    pub held_by: i64,
    /// When it was released.
    pub released_at: Option<Instant>,
    /// Who released it.
    pub released_by: Option<i64>,
    /// What was said of that.
    pub release_note: Option<String>,
}

type Columns = (
    holds::id,
    holds::court_id,
    courts::name,
    holds::order_id,
    holds::reason,
    holds::note,
    holds::held_at,
    holds::held_by,
    holds::released_at,
    holds::released_by,
    holds::release_note,
);

/// What a [`HoldRow`] is read from.
const COLUMNS: Columns = (
    holds::id,
    holds::court_id,
    courts::name,
    holds::order_id,
    holds::reason,
    holds::note,
    holds::held_at,
    holds::held_by,
    holds::released_at,
    holds::released_by,
    holds::release_note,
);

/// A hold to be added.
#[derive(Clone, Debug)]
pub struct NewHold<'a> {
    /// The court.
    pub court_id: i64,
    /// The order on whose return it is said.
    pub order_id: Option<i64>,
    /// Why.
    pub reason: HoldReason,
    /// The same in the holder's own words.
    pub note: Option<&'a str>,
    /// Since when.
    pub held_at: Instant,
    /// Who holds it.
    pub held_by: i64,
    /// The client's own key of it.
    pub client_key: Option<&'a str>,
}

/// Which holds a list shows.
#[derive(Clone, Copy, Debug, Default)]
pub struct HoldFilter {
    /// Of this court only.
    pub court_id: Option<i64>,
    /// Only those that are on (true), or released (false).
    pub on: Option<bool>,
}

/// Adds a hold; gives its id.
pub fn hold_add(tx: &mut Tx<'_>, scope: &Scope, hold: &NewHold<'_>) -> Result<i64> {
    let now = tx.now();
    Ok(diesel::insert_into(holds::table)
        .values((
            holds::site_id.eq(scope.site_id()),
            holds::court_id.eq(hold.court_id),
            holds::order_id.eq(hold.order_id),
            holds::reason.eq(hold.reason),
            holds::note.eq(hold.note),
            holds::held_at.eq(hold.held_at),
            holds::learned_at.eq(now),
            holds::held_by.eq(hold.held_by),
            holds::client_key.eq(hold.client_key),
        ))
        .returning(holds::id)
        .get_result(tx.conn())?)
}

/// The site's holds that pass the filter, in order of id.
pub fn hold_list(
    conn: &mut Conn,
    scope: &Scope,
    filter: HoldFilter,
    page: Page,
) -> Result<Paged<HoldRow>> {
    let mut query = holds::table
        .inner_join(courts::table)
        .filter(
            holds::site_id
                .eq(scope.site_id())
                .and(holds::id.gt(page.after)),
        )
        .into_boxed();
    if let Some(court) = filter.court_id {
        query = query.filter(holds::court_id.eq(court));
    }
    match filter.on {
        Some(true) => query = query.filter(holds::released_at.is_null()),
        Some(false) => query = query.filter(holds::released_at.is_not_null()),
        None => {}
    }
    let rows = query
        .order(holds::id)
        .limit(page.fetch())
        .select(COLUMNS)
        .load(conn)?;
    Ok(page.of(rows, |hold: &HoldRow| hold.id))
}

/// One hold of the site.
pub fn hold_read(conn: &mut Conn, scope: &Scope, id: i64) -> Result<HoldRow> {
    Ok(holds::table
        .inner_join(courts::table)
        .filter(holds::site_id.eq(scope.site_id()).and(holds::id.eq(id)))
        .select(COLUMNS)
        .first(conn)?)
}

/// Whether a court is held.
pub fn court_is_held(conn: &mut Conn, scope: &Scope, court_id: i64) -> Result<bool> {
    let on = holds::table.filter(
        holds::site_id
            .eq(scope.site_id())
            .and(holds::court_id.eq(court_id))
            .and(holds::released_at.is_null()),
    );
    Ok(diesel::select(diesel::dsl::exists(on)).get_result(conn)?)
}

/// The holds that an order's closing made and that are on: id and court.
pub fn holds_of_order(conn: &mut Conn, scope: &Scope, order_id: i64) -> Result<Vec<(i64, i64)>> {
    Ok(holds::table
        .filter(
            holds::site_id
                .eq(scope.site_id())
                .and(holds::order_id.eq(order_id))
                .and(holds::released_at.is_null()),
        )
        .order(holds::id)
        .select((holds::id, holds::court_id))
        .load(conn)?)
}

/// Releases a hold that is on; [`Error::Stale`] where it is not any more.
pub fn hold_release(
    tx: &mut Tx<'_>,
    scope: &Scope,
    id: i64,
    released_by: i64,
    note: Option<&str>,
) -> Result<()> {
    let now = tx.now();
    let rows = diesel::update(
        holds::table.filter(
            holds::site_id
                .eq(scope.site_id())
                .and(holds::id.eq(id))
                .and(holds::released_at.is_null()),
        ),
    )
    .set((
        holds::released_at.eq(now),
        holds::released_by.eq(released_by),
        holds::release_note.eq(note),
    ))
    .execute(tx.conn())?;
    if rows == 1 { Ok(()) } else { Err(Error::Stale) }
}

/// Names of users who held or released courts of the site.
pub fn holder_names(conn: &mut Conn, ids: &[i64]) -> Result<Vec<(i64, String)>> {
    Ok(users::table
        .filter(users::id.eq_any(ids))
        .select((users::id, users::name))
        .load(conn)?)
}
