//! How new parts come: from whom, how soon, and which material of the stores they are.

use diesel::prelude::*;
use serde::{Deserialize, Serialize};

use crate::store::db::{Conn, Tx};
use crate::store::schema::part_supplies;
use crate::store::tools::WearPartKind;
use crate::store::{Error, Page, Paged, Result, Scope};

/// How new parts of a kind come.
#[derive(
    Clone, Debug, PartialEq, Eq, Queryable, Selectable, Serialize, Deserialize, utoipa::ToSchema,
)]
#[diesel(table_name = part_supplies)]
#[schema(as = PartSupply)]
pub struct PartSupplyRow {
    /// Id.
    pub id: i64,
    /// What they are.
    pub kind: WearPartKind,
    /// For the tools of which class; null where they are a court's.
    pub tool_class_id: Option<i64>,
    /// Which material of the stores they are, counted by the piece; null where none is kept.
    pub material_id: Option<i64>,
    /// Who sends them.
    pub supplier: String,
    /// Days from an order until they are there.
    pub lead_days: i64,
    /// For how many days an order is to last once it is there.
    pub cover_days: i64,
    /// How many days they commonly last; null where that is reckoned by use, or not known.
    pub life_days: Option<i64>,
    /// Version.
    pub version: i64,
}

/// What is said of how new parts come.
#[derive(Clone, Debug)]
pub struct PartSupply {
    /// Which material of the stores they are.
    pub material_id: Option<i64>,
    /// Who sends them.
    pub supplier: String,
    /// Days from an order until they are there.
    pub lead_days: i64,
    /// For how many days an order is to last.
    pub cover_days: i64,
    /// How many days they commonly last.
    pub life_days: Option<i64>,
}

/// The site's supplies.
pub fn part_supply_list(
    conn: &mut Conn,
    scope: &Scope,
    page: Page,
) -> Result<Paged<PartSupplyRow>> {
    let rows = part_supplies::table
        .filter(
            part_supplies::site_id
                .eq(scope.site_id())
                .and(part_supplies::id.gt(page.after)),
        )
        .order(part_supplies::id)
        .limit(page.fetch())
        .select(PartSupplyRow::as_select())
        .load(conn)?;
    Ok(page.of(rows, |one: &PartSupplyRow| one.id))
}

/// One of them.
pub fn part_supply_read(conn: &mut Conn, scope: &Scope, id: i64) -> Result<PartSupplyRow> {
    Ok(part_supplies::table
        .filter(
            part_supplies::site_id
                .eq(scope.site_id())
                .and(part_supplies::id.eq(id)),
        )
        .select(PartSupplyRow::as_select())
        .first(conn)?)
}

/// How new parts of a kind come, for the tools of a class or for courts.
pub fn part_supply_of(
    conn: &mut Conn,
    scope: &Scope,
    kind: WearPartKind,
    tool_class: Option<i64>,
) -> Result<Option<PartSupplyRow>> {
    let of_kind = part_supplies::table
        .filter(
            part_supplies::site_id
                .eq(scope.site_id())
                .and(part_supplies::kind.eq(kind)),
        )
        .into_boxed();
    let one = match tool_class {
        Some(class) => of_kind.filter(part_supplies::tool_class_id.eq(class)),
        None => of_kind.filter(part_supplies::tool_class_id.is_null()),
    };
    Ok(one
        .select(PartSupplyRow::as_select())
        .first(conn)
        .optional()?)
}

/// Adds one; gives its id.
pub fn part_supply_add(
    tx: &mut Tx<'_>,
    scope: &Scope,
    (kind, tool_class): (WearPartKind, Option<i64>),
    supply: &PartSupply,
) -> Result<i64> {
    Ok(diesel::insert_into(part_supplies::table)
        .values((
            part_supplies::site_id.eq(scope.site_id()),
            part_supplies::kind.eq(kind),
            part_supplies::tool_class_id.eq(tool_class),
            part_supplies::material_id.eq(supply.material_id),
            part_supplies::supplier.eq(&supply.supplier),
            part_supplies::lead_days.eq(supply.lead_days),
            part_supplies::cover_days.eq(supply.cover_days),
            part_supplies::life_days.eq(supply.life_days),
            part_supplies::version.eq(1),
        ))
        .returning(part_supplies::id)
        .get_result(tx.conn())?)
}

/// Changes one that still has `version`.
pub fn part_supply_set(
    tx: &mut Tx<'_>,
    scope: &Scope,
    (id, version): (i64, i64),
    supply: &PartSupply,
) -> Result<()> {
    let one = part_supplies::table.filter(
        part_supplies::site_id
            .eq(scope.site_id())
            .and(part_supplies::id.eq(id))
            .and(part_supplies::version.eq(version)),
    );
    let changed = diesel::update(one)
        .set((
            part_supplies::material_id.eq(supply.material_id),
            part_supplies::supplier.eq(&supply.supplier),
            part_supplies::lead_days.eq(supply.lead_days),
            part_supplies::cover_days.eq(supply.cover_days),
            part_supplies::life_days.eq(supply.life_days),
            part_supplies::version.eq(version + 1),
        ))
        .execute(tx.conn())?;
    if changed == 0 {
        return Err(Error::Stale);
    }
    Ok(())
}
