//! What people say of an order beside its life: notes, and what the manager saw who looked the work over. Both are
//! appended; of a note only is added that the manager has seen it.

use chrono::NaiveDate;
use diesel::prelude::*;
use serde::{Deserialize, Serialize};

use crate::store::columns::{Json, json, words};
use crate::store::schema::{order_notes, order_rechecks, users, work_orders};
use crate::store::{Conn, Error, Instant, Page, Paged, Result, Scope, Tx};

words! {
    /// What a note is.
    NoteKind {
        /// Said by the crew, for whoever reads.
        Note = "note",
        /// A closing that came for an order that could not take it as it stood.
        LateClosing = "late_closing",
        /// Something a tablet sent that was refused.
        Refused = "refused",
    }
}

/// A note on an order.
#[derive(Clone, Debug, Queryable, Serialize, Deserialize, utoipa::ToSchema)]
#[schema(as = OrderNote)]
pub struct NoteRow {
    /// Id.
    pub id: i64,
    /// The order.
    pub order_id: i64,
    /// The date of the order.
    pub work_date: NaiveDate,
    /// What it is.
    pub kind: NoteKind,
    /// What was said; may be empty where the kind says it.
    pub text: String,
    /// All that was told with it.
    #[schema(value_type = Object)]
    pub data: Json<serde_json::Value>,
    /// Whom it is about, or who said it.
    pub person_id: Option<i64>,
    /// When it happened.
    pub happened_at: Instant,
    /// When the office learned of it.
    pub learned_at: Instant,
    /// When the manager marked it as seen; null where they did not.
    pub seen_at: Option<Instant>,
}

type Columns = (
    order_notes::id,
    order_notes::order_id,
    work_orders::work_date,
    order_notes::kind,
    order_notes::text,
    order_notes::data,
    order_notes::person_id,
    order_notes::happened_at,
    order_notes::learned_at,
    order_notes::seen_at,
);

const COLUMNS: Columns = (
    order_notes::id,
    order_notes::order_id,
    work_orders::work_date,
    order_notes::kind,
    order_notes::text,
    order_notes::data,
    order_notes::person_id,
    order_notes::happened_at,
    order_notes::learned_at,
    order_notes::seen_at,
);

/// A note to be kept.
#[derive(Clone, Debug)]
pub struct NewNote<'a> {
    /// The order.
    pub order_id: i64,
    /// What it is.
    pub kind: NoteKind,
    /// What was said.
    pub text: &'a str,
    /// All that was told with it.
    pub data: &'a serde_json::Value,
    /// Whom it is about, or who said it.
    pub person_id: Option<i64>,
    /// Who told it.
    pub user_id: i64,
    /// When it happened.
    pub happened_at: Instant,
    /// The client's own key of it; none where it came with something else.
    pub client_key: Option<&'a str>,
}

/// Keeps a note; gives its id.
pub fn note_add(tx: &mut Tx<'_>, scope: &Scope, new: &NewNote<'_>) -> Result<i64> {
    let now = tx.now();
    Ok(diesel::insert_into(order_notes::table)
        .values((
            order_notes::site_id.eq(scope.site_id()),
            order_notes::order_id.eq(new.order_id),
            order_notes::kind.eq(new.kind),
            order_notes::text.eq(new.text),
            order_notes::data.eq(json(new.data)?),
            order_notes::person_id.eq(new.person_id),
            order_notes::user_id.eq(new.user_id),
            order_notes::happened_at.eq(new.happened_at),
            order_notes::learned_at.eq(now),
            order_notes::client_key.eq(new.client_key),
        ))
        .returning(order_notes::id)
        .get_result(tx.conn())?)
}

/// Which notes a list shows.
#[derive(Clone, Copy, Debug, Default)]
pub struct NoteFilter {
    /// Of this order only.
    pub order_id: Option<i64>,
    /// Only those that wait for the manager (true), or do not (false).
    pub waiting: Option<bool>,
}

/// The site's notes that pass the filter, in order of id. A plain note waits for nobody.
pub fn note_list(
    conn: &mut Conn,
    scope: &Scope,
    filter: NoteFilter,
    page: Page,
) -> Result<Paged<NoteRow>> {
    let mut query = order_notes::table
        .inner_join(work_orders::table)
        .filter(
            order_notes::site_id
                .eq(scope.site_id())
                .and(order_notes::id.gt(page.after)),
        )
        .into_boxed();
    if let Some(order) = filter.order_id {
        query = query.filter(order_notes::order_id.eq(order));
    }
    match filter.waiting {
        Some(true) => {
            query = query.filter(
                order_notes::seen_at
                    .is_null()
                    .and(order_notes::kind.ne(NoteKind::Note)),
            );
        }
        Some(false) => {
            query = query.filter(
                order_notes::seen_at
                    .is_not_null()
                    .or(order_notes::kind.eq(NoteKind::Note)),
            );
        }
        None => {}
    }
    let rows = query
        .order(order_notes::id)
        .limit(page.fetch())
        .select(COLUMNS)
        .load(conn)?;
    Ok(page.of(rows, |note: &NoteRow| note.id))
}

/// One note of the site.
pub fn note_read(conn: &mut Conn, scope: &Scope, id: i64) -> Result<NoteRow> {
    Ok(order_notes::table
        .inner_join(work_orders::table)
        .filter(
            order_notes::site_id
                .eq(scope.site_id())
                .and(order_notes::id.eq(id)),
        )
        .select(COLUMNS)
        .first(conn)?)
}

/// Notes that somebody has seen a note; [`Error::Stale`] where that was noted before.
pub fn note_seen(tx: &mut Tx<'_>, scope: &Scope, id: i64, user_id: i64) -> Result<()> {
    let now = tx.now();
    let rows = diesel::update(
        order_notes::table.filter(
            order_notes::site_id
                .eq(scope.site_id())
                .and(order_notes::id.eq(id))
                .and(order_notes::seen_at.is_null()),
        ),
    )
    .set((
        order_notes::seen_at.eq(now),
        order_notes::seen_by.eq(user_id),
    ))
    .execute(tx.conn())?;
    if rows == 1 { Ok(()) } else { Err(Error::Stale) }
}

words! {
    /// How good finished work was found.
    Grade {
        /// As it should be.
        Good = "good",
        /// It will do.
        Acceptable = "acceptable",
        /// It is to be done better.
        Poor = "poor",
    }
}

/// What somebody saw who looked finished work over.
#[derive(Clone, Debug, Queryable, Serialize, Deserialize, utoipa::ToSchema)]
#[schema(as = Recheck)]
pub struct RecheckRow {
    /// Id.
    pub id: i64,
    /// The order.
    pub order_id: i64,
    /// How good it was found.
    pub grade: Grade,
    /// What was said with it.
    pub note: Option<String>,
    /// Who looked.
    pub by: String,
    /// When.
    pub happened_at: Instant,
}

/// A recheck to be kept.
#[derive(Clone, Debug)]
pub struct NewRecheck<'a> {
    /// The order.
    pub order_id: i64,
    /// How good it was found.
    pub grade: Grade,
    /// What is said with it.
    pub note: Option<&'a str>,
    /// Who looked.
    pub user_id: i64,
    /// When.
    pub happened_at: Instant,
    /// The client's own key of it.
    pub client_key: &'a str,
}

/// Keeps a recheck; gives its id.
pub fn recheck_add(tx: &mut Tx<'_>, scope: &Scope, new: &NewRecheck<'_>) -> Result<i64> {
    let (seq, now) = (tx.next_seq(), tx.now());
    Ok(diesel::insert_into(order_rechecks::table)
        .values((
            order_rechecks::site_id.eq(scope.site_id()),
            order_rechecks::seq.eq(seq),
            order_rechecks::order_id.eq(new.order_id),
            order_rechecks::grade.eq(new.grade),
            order_rechecks::note.eq(new.note),
            order_rechecks::user_id.eq(new.user_id),
            order_rechecks::happened_at.eq(new.happened_at),
            order_rechecks::learned_at.eq(now),
            order_rechecks::client_key.eq(new.client_key),
        ))
        .returning(order_rechecks::id)
        .get_result(tx.conn())?)
}

/// The rechecks of these orders, oldest first.
pub fn rechecks_of(conn: &mut Conn, scope: &Scope, orders: &[i64]) -> Result<Vec<RecheckRow>> {
    Ok(order_rechecks::table
        .inner_join(users::table)
        .filter(
            order_rechecks::site_id
                .eq(scope.site_id())
                .and(order_rechecks::order_id.eq_any(orders)),
        )
        .order(order_rechecks::seq)
        .select((
            order_rechecks::id,
            order_rechecks::order_id,
            order_rechecks::grade,
            order_rechecks::note,
            users::name,
            order_rechecks::happened_at,
        ))
        .load(conn)?)
}

/// The notes on these orders, oldest first.
pub fn notes_of(conn: &mut Conn, scope: &Scope, orders: &[i64]) -> Result<Vec<NoteRow>> {
    Ok(order_notes::table
        .inner_join(work_orders::table)
        .filter(
            order_notes::site_id
                .eq(scope.site_id())
                .and(order_notes::order_id.eq_any(orders)),
        )
        .order(order_notes::id)
        .select(COLUMNS)
        .load(conn)?)
}
