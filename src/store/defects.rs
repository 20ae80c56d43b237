//! Defects: something seen on a court that needs work of its own. What was seen is never changed; which order mends it, and
//! when that was done, stands beside it.

use diesel::prelude::*;
use serde::{Deserialize, Serialize};
use trade::care::DefectKind;

use super::columns::Word;
use super::db::{Conn, Tx};
use super::orders::OrderState;
use super::schema::{courts, defects, work_orders};
use super::{Instant, Page, Paged, Result, Scope};

/// A defect.
#[derive(Clone, Debug, Queryable, Serialize, Deserialize, utoipa::ToSchema)]
#[schema(as = Defect)]
pub struct DefectRow {
    /// Id.
    pub id: i64,
    /// The court.
    pub court_id: i64,
    /// Its name.
    pub court: String,
    /// The order during which it was seen; null where it was seen otherwise.
    pub order_id: Option<i64>,
    /// What is wrong.
    #[schema(value_type = String)]
    pub kind: Word<DefectKind>,
    /// Where, across the court from its centre, mm.
    pub x_mm: Option<i64>,
    /// Where, along the court from its centre, mm.
    pub y_mm: Option<i64>,
    /// What was said with it.
    pub note: Option<String>,
    /// When it was seen.
    pub seen_at: Instant,
    /// When the office learned of it.
    pub learned_at: Instant,
    /// Who saw it.
    pub person_id: Option<i64>,
    /// The order that mends it; null where none was made.
    pub mend_order_id: Option<i64>,
    /// Where that order stands.
    pub mend_state: Option<OrderState>,
    /// When it was mended; null while it was not.
    pub mended_at: Option<Instant>,
}

type Columns = (
    defects::id,
    defects::court_id,
    courts::name,
    defects::order_id,
    defects::kind,
    defects::x_mm,
    defects::y_mm,
    defects::note,
    defects::seen_at,
    defects::learned_at,
    defects::person_id,
    defects::mend_order_id,
    diesel::dsl::Nullable<work_orders::state>,
    defects::mended_at,
);

/// What a [`DefectRow`] is read from.
fn columns() -> Columns {
    (
        defects::id,
        defects::court_id,
        courts::name,
        defects::order_id,
        defects::kind,
        defects::x_mm,
        defects::y_mm,
        defects::note,
        defects::seen_at,
        defects::learned_at,
        defects::person_id,
        defects::mend_order_id,
        work_orders::state.nullable(),
        defects::mended_at,
    )
}

/// A defect to be kept.
#[derive(Clone, Debug)]
pub struct NewDefect<'a> {
    /// The court.
    pub court_id: i64,
    /// The order during which it was seen.
    pub order_id: Option<i64>,
    /// What is wrong.
    pub kind: DefectKind,
    /// Where, across and along the court from its centre, mm.
    pub place: Option<(i64, i64)>,
    /// What was said with it.
    pub note: Option<&'a str>,
    /// When it was seen.
    pub seen_at: Instant,
    /// Who saw it.
    pub person_id: Option<i64>,
    /// Who told it.
    pub user_id: i64,
    /// The client's own key of it.
    pub client_key: &'a str,
}

/// Keeps a defect; gives its id.
pub fn defect_add(tx: &mut Tx<'_>, scope: &Scope, new: &NewDefect<'_>) -> Result<i64> {
    let now = tx.now();
    Ok(diesel::insert_into(defects::table)
        .values((
            defects::site_id.eq(scope.site_id()),
            defects::court_id.eq(new.court_id),
            defects::order_id.eq(new.order_id),
            defects::kind.eq(new.kind.as_str()),
            defects::x_mm.eq(new.place.map(|(x, _)| x)),
            defects::y_mm.eq(new.place.map(|(_, y)| y)),
            defects::note.eq(new.note),
            defects::seen_at.eq(new.seen_at),
            defects::learned_at.eq(now),
            defects::person_id.eq(new.person_id),
            defects::user_id.eq(new.user_id),
            defects::client_key.eq(new.client_key),
        ))
        .returning(defects::id)
        .get_result(tx.conn())?)
}

/// Which defects a list shows.
#[derive(Clone, Copy, Debug, Default)]
pub struct DefectFilter {
    /// Of this court only.
    pub court_id: Option<i64>,
    /// Only those that wait to be mended (true), or those that do not (false).
    pub open: Option<bool>,
}

/// The site's defects that pass the filter, in order of id.
pub fn defect_list(
    conn: &mut Conn,
    scope: &Scope,
    filter: DefectFilter,
    page: Page,
) -> Result<Paged<DefectRow>> {
    let mut query = defects::table
        .inner_join(courts::table)
        .left_join(work_orders::table.on(defects::mend_order_id.eq(work_orders::id.nullable())))
        .filter(
            defects::site_id
                .eq(scope.site_id())
                .and(defects::id.gt(page.after)),
        )
        .into_boxed();
    if let Some(court) = filter.court_id {
        query = query.filter(defects::court_id.eq(court));
    }
    // What the manager withdrew is left as it is.
    match filter.open {
        Some(true) => {
            query = query.filter(defects::mended_at.is_null()).filter(
                defects::mend_order_id
                    .is_null()
                    .or(work_orders::state.ne(OrderState::Withdrawn)),
            );
        }
        Some(false) => {
            query = query.filter(
                defects::mended_at
                    .is_not_null()
                    .or(work_orders::state.nullable().eq(OrderState::Withdrawn)),
            );
        }
        None => {}
    }
    let rows = query
        .order(defects::id)
        .limit(page.fetch())
        .select(columns())
        .load(conn)?;
    Ok(page.of(rows, |defect: &DefectRow| defect.id))
}

/// What waits to be mended on all courts, in order of id: one query.
pub fn open_defects(conn: &mut Conn, scope: &Scope) -> Result<Vec<DefectRow>> {
    let open = DefectFilter {
        court_id: None,
        open: Some(true),
    };
    Ok(defect_list(conn, scope, open, Page::ALL)?.items)
}

/// One defect of the site.
pub fn defect_read(conn: &mut Conn, scope: &Scope, id: i64) -> Result<DefectRow> {
    Ok(defects::table
        .inner_join(courts::table)
        .left_join(work_orders::table.on(defects::mend_order_id.eq(work_orders::id.nullable())))
        .filter(defects::site_id.eq(scope.site_id()).and(defects::id.eq(id)))
        .select(columns())
        .first(conn)?)
}

/// The defects that these orders mend.
pub fn defects_of(conn: &mut Conn, scope: &Scope, orders: &[i64]) -> Result<Vec<DefectRow>> {
    let orders: Vec<Option<i64>> = orders.iter().copied().map(Some).collect();
    Ok(defects::table
        .inner_join(courts::table)
        .left_join(work_orders::table.on(defects::mend_order_id.eq(work_orders::id.nullable())))
        .filter(
            defects::site_id
                .eq(scope.site_id())
                .and(defects::mend_order_id.eq_any(orders)),
        )
        .order(defects::id)
        .select(columns())
        .load(conn)?)
}

/// Notes which order mends a defect.
pub fn defect_mend_by(tx: &mut Tx<'_>, scope: &Scope, id: i64, order_id: i64) -> Result<()> {
    diesel::update(
        defects::table.filter(defects::site_id.eq(scope.site_id()).and(defects::id.eq(id))),
    )
    .set(defects::mend_order_id.eq(order_id))
    .execute(tx.conn())?;
    Ok(())
}

/// Hands what one order was to mend over to another.
pub fn defect_mend_moves(tx: &mut Tx<'_>, scope: &Scope, from: i64, to: i64) -> Result<()> {
    let of_order = defects::site_id
        .eq(scope.site_id())
        .and(defects::mend_order_id.eq(from));
    diesel::update(defects::table.filter(of_order))
        .set(defects::mend_order_id.eq(to))
        .execute(tx.conn())?;
    Ok(())
}

/// Notes since when what an order mends is mended; none where it is open again.
pub fn defect_mended(
    tx: &mut Tx<'_>,
    scope: &Scope,
    order_id: i64,
    at: Option<Instant>,
) -> Result<()> {
    let of_order = defects::site_id
        .eq(scope.site_id())
        .and(defects::mend_order_id.eq(order_id));
    diesel::update(defects::table.filter(of_order))
        .set(defects::mended_at.eq(at))
        .execute(tx.conn())?;
    Ok(())
}
