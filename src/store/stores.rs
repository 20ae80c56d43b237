//! The stores: materials and their moves. A material keeps quantity and value; its moves are
//! never changed, only reversed.

use chrono::NaiveDate;
use diesel::prelude::*;
use serde::Serialize;

use super::columns::words;
use super::db::Conn;
use super::schema::{materials, stock_moves};
use super::{Instant, Page, Paged, Result, Scope};

words! {
    /// What a material is counted in.
    MaterialUnit {
        /// By mass.
        Gram = "gram",
        /// By volume.
        Millilitre = "millilitre",
        /// By the piece.
        Piece = "piece",
    }
}

words! {
    /// How stock changed.
    StockMoveKind {
        /// It came in.
        Receipt = "receipt",
        /// It went out to an order.
        Issue = "issue",
        /// It was counted, and the count differed.
        Count = "count",
        /// It came back from an order.
        Return = "return",
    }
}

/// A material.
#[derive(Clone, Debug, Queryable, Selectable, Serialize, utoipa::ToSchema)]
#[diesel(table_name = materials)]
#[schema(as = Material)]
pub struct MaterialRow {
    /// Id.
    pub id: i64,
    /// The site's own code.
    pub code: String,
    /// Name.
    pub name: String,
    /// What it is counted in.
    pub unit: MaterialUnit,
    /// What it is handed out in.
    #[schema(example = "bag")]
    pub pack_name: String,
    /// How much one of those holds, in its unit.
    pub pack_quantity: i64,
    /// How much is there, in its unit.
    pub on_hand: i64,
    /// What that is worth, cents.
    pub value_cents: i64,
    /// Version.
    pub version: i64,
}

/// A change of stock.
#[derive(Clone, Debug, Queryable, Selectable, Serialize, utoipa::ToSchema)]
#[diesel(table_name = stock_moves)]
#[schema(as = StockMove)]
pub struct StockMoveRow {
    /// Id.
    pub id: i64,
    /// Place in the order in which the site booked.
    pub seq: i64,
    /// The material.
    pub material_id: i64,
    /// The order it went to or came from, or null.
    pub order_id: Option<i64>,
    /// What it was.
    pub kind: StockMoveKind,
    /// How much, in the material's unit; less than nothing where stock became less.
    pub quantity: i64,
    /// What that is worth, cents, with the same sign.
    pub value_cents: i64,
    /// Whether more went out than the books had.
    pub beyond_stock: bool,
    /// The site's own date it belongs to.
    pub work_date: NaiveDate,
    /// When it was booked.
    pub booked_at: Instant,
    /// What it was booked for.
    pub source_kind: String,
    /// Id of that.
    pub source_id: i64,
    /// The move it reverses, or null.
    pub reverses_id: Option<i64>,
}

/// The site's materials.
pub fn material_list(conn: &mut Conn, scope: &Scope, page: Page) -> Result<Paged<MaterialRow>> {
    let rows = materials::table
        .filter(
            materials::site_id
                .eq(scope.site_id())
                .and(materials::id.gt(page.after)),
        )
        .order(materials::id)
        .limit(page.fetch())
        .select(MaterialRow::as_select())
        .load(conn)?;
    Ok(page.of(rows, |material| material.id))
}

/// One material of the site.
pub fn material_read(conn: &mut Conn, scope: &Scope, id: i64) -> Result<MaterialRow> {
    Ok(materials::table
        .filter(
            materials::site_id
                .eq(scope.site_id())
                .and(materials::id.eq(id)),
        )
        .select(MaterialRow::as_select())
        .first(conn)?)
}

/// The site's stock moves, of one material where it is given, in the order in which they were
/// booked.
pub fn stock_move_list(
    conn: &mut Conn,
    scope: &Scope,
    material_id: Option<i64>,
    page: Page,
) -> Result<Paged<StockMoveRow>> {
    let mut query = stock_moves::table
        .filter(
            stock_moves::site_id
                .eq(scope.site_id())
                .and(stock_moves::id.gt(page.after)),
        )
        .into_boxed();
    if let Some(material) = material_id {
        query = query.filter(stock_moves::material_id.eq(material));
    }
    let rows = query
        .order(stock_moves::id)
        .limit(page.fetch())
        .select(StockMoveRow::as_select())
        .load(conn)?;
    Ok(page.of(rows, |row| row.id))
}
