//! The stores: materials and their moves. A material keeps quantity and value; its moves are
//! never changed, only reversed.

use chrono::NaiveDate;
use diesel::prelude::*;
use serde::{Deserialize, Serialize};

use super::columns::{Json, json, words};
use super::db::{Conn, Tx};
use super::schema::{materials, stock_moves};
use super::{Error, Instant, Page, Paged, Result, Scope};

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

/// What the label of a chemical says. The label itself comes first.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(as = ProductLabel)]
pub struct Label {
    /// Where its safety sheet is: an https address, or in words; 1 to 500 characters.
    pub sheet: String,
    /// What whoever puts it on wears, at most 20 texts of 1 to 120 characters.
    pub gear: Vec<String>,
    /// The most wind in which it may be put on, mm/s.
    #[schema(minimum = 1, maximum = 60_000)]
    pub max_wind_mmps: Option<i64>,
    /// The least air temperature, thousandths of a degree Celsius.
    #[schema(minimum = -50_000, maximum = 60_000)]
    pub min_air_mc: Option<i64>,
    /// The most, the same.
    #[schema(minimum = -50_000, maximum = 60_000)]
    pub max_air_mc: Option<i64>,
    /// How long no rain may fall after it, s.
    #[schema(minimum = 0, maximum = 604_800)]
    pub dry_s: Option<i64>,
    /// How long nobody may be on the court after it, s.
    #[schema(minimum = 0, maximum = 2_678_400)]
    pub rest_s: Option<i64>,
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
    /// What its label says, where it is a chemical.
    #[schema(value_type = Option<Label>)]
    pub label: Option<Json<Label>>,
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

/// Sets what the label of a material that still has `version` says. [`Error::Stale`] where it was changed since.
pub fn material_label_set(
    tx: &mut Tx<'_>,
    scope: &Scope,
    id: i64,
    version: i64,
    label: Option<&Label>,
) -> Result<()> {
    let rows = diesel::update(
        materials::table.filter(
            materials::site_id
                .eq(scope.site_id())
                .and(materials::id.eq(id))
                .and(materials::version.eq(version)),
        ),
    )
    .set((
        materials::label.eq(label.map(json).transpose()?),
        materials::version.eq(materials::version + 1),
    ))
    .execute(tx.conn())?;
    if rows == 0 {
        return Err(Error::Stale);
    }
    Ok(())
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
