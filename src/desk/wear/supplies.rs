//! How new parts come, as the site says.

use serde::{Deserialize, Serialize};
use serde_json::json;
use utoipa::ToSchema;

use crate::desk::access::{EditStores, Permit, SeeTools};
use crate::desk::error::{FieldFault, Named, is_missing};
use crate::desk::line::is_line;
use crate::desk::once::Once;
use crate::desk::{Error, Office, Result};
use crate::store::audit::{Change, Deed, audit_append, audit_edit};
use crate::store::stores::{MaterialUnit, material_read};
use crate::store::tools::{WearPartKind, tool_class_read};
use crate::store::wear::{
    PartSupply, PartSupplyRow, part_supply_add, part_supply_list as list, part_supply_of,
    part_supply_read as read, part_supply_set,
};
use crate::store::{Conn, Page, Paged, Scope};

/// The longest name of a supplier, characters.
const LONGEST_SUPPLIER: usize = 120;
/// The most days of anything: ten years.
const MOST_DAYS: i64 = 3_650;

/// What may be changed of how new parts come.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct PartSupplyEdit {
    /// Which material of the stores they are, counted by the piece; null where none is kept.
    pub material_id: Option<i64>,
    /// Who sends them, in one line of 1 to 120 characters.
    pub supplier: String,
    /// Days from an order until they are there, 0 to 3,650.
    #[schema(minimum = 0, maximum = 3_650)]
    pub lead_days: i64,
    /// For how many days an order is to last once it is there, 0 to 3,650.
    #[schema(minimum = 0, maximum = 3_650)]
    pub cover_days: i64,
    /// How many days they commonly last, 1 to 3,650; null where that is reckoned by use, or not known.
    #[schema(minimum = 1, maximum = 3_650)]
    pub life_days: Option<i64>,
}

/// How new parts of a kind come that nothing was said of yet.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct PartSupplyTold {
    /// What they are.
    pub kind: WearPartKind,
    /// For the tools of which class; null where they are a court's.
    pub tool_class_id: Option<i64>,
    /// How they come.
    pub supply: PartSupplyEdit,
}

/// The site's supplies.
pub fn part_supply_list(
    office: &Office,
    permit: &Permit<SeeTools>,
    page: Page,
) -> Result<Paged<PartSupplyRow>> {
    Ok(office.db.read(|conn| list(conn, permit, page))?)
}

/// One of them.
pub fn part_supply_read(
    office: &Office,
    permit: &Permit<SeeTools>,
    id: i64,
) -> Result<PartSupplyRow> {
    office
        .db
        .read(|conn| read(conn, permit, id).named("part supply"))
}

/// Says how new parts of a kind come.
pub fn part_supply_tell(
    office: &Office,
    permit: &Permit<EditStores>,
    client_key: String,
    told: &PartSupplyTold,
) -> Result<PartSupplyRow> {
    let once = Once::new(client_key, "part-supplies".into(), told)?;
    office.db.write(permit, |tx| {
        once.run(tx, permit, |tx| {
            let mut faults = faults(tx.conn(), permit, &told.supply, "/supply")?;
            let of_class = told.tool_class_id;
            if let Some(class) = of_class
                && is_missing(tool_class_read(tx.conn(), permit, class))?
            {
                let mend = "this site has no tool class with this id";
                faults.push(FieldFault::new("/tool_class_id", mend));
            }
            let is_brush = matches!(told.kind, WearPartKind::Brush | WearPartKind::SweeperBrush);
            if is_brush && of_class.is_none() {
                let mend = "name the class whose brush it is";
                faults.push(FieldFault::new("/tool_class_id", mend));
            }
            if !faults.is_empty() {
                return Err(Error::Refused(faults));
            }
            if let Some(known) = part_supply_of(tx.conn(), permit, told.kind, of_class)? {
                return Err(Error::state(format!(
                    "how these parts come was said before: change part supply {}",
                    known.id
                )));
            }
            let id = part_supply_add(tx, permit, (told.kind, of_class), &supply(&told.supply))?;
            let deed = Deed {
                verb: "told",
                subject: "part_supply",
                id,
                data: json!(told),
            };
            audit_append(tx, permit, &deed)?;
            Ok(read(tx.conn(), permit, id)?)
        })
    })
}

/// Changes how new parts come, where that still has `version`.
pub fn part_supply_edit(
    office: &Office,
    permit: &Permit<EditStores>,
    id: i64,
    version: i64,
    edit: &PartSupplyEdit,
) -> Result<PartSupplyRow> {
    office.db.write(permit, |tx| {
        let before = read(tx.conn(), permit, id).named("part supply")?;
        let faults = faults(tx.conn(), permit, edit, "")?;
        if !faults.is_empty() {
            return Err(Error::Refused(faults));
        }
        part_supply_set(tx, permit, (id, version), &supply(edit))?;
        let after = read(tx.conn(), permit, id)?;
        let deed = Deed {
            verb: "edited",
            subject: "part_supply",
            id,
            data: json!({ "version": version + 1 }),
        };
        audit_edit(tx, permit, deed, Change::between(&before, &after)?, &[])?;
        Ok(after)
    })
}

fn supply(edit: &PartSupplyEdit) -> PartSupply {
    PartSupply {
        material_id: edit.material_id,
        supplier: edit.supplier.trim().to_owned(),
        lead_days: edit.lead_days,
        cover_days: edit.cover_days,
        life_days: edit.life_days,
    }
}

fn faults(
    conn: &mut Conn,
    scope: &Scope,
    edit: &PartSupplyEdit,
    of: &str,
) -> Result<Vec<FieldFault>> {
    let mut faults = Vec::new();
    let mut fault = |member: &str, mend: String| {
        faults.push(FieldFault::new(format!("{of}/{member}"), mend));
    };
    if !is_line(&edit.supplier, LONGEST_SUPPLIER) {
        let mend = format!("name them in one line of 1 to {LONGEST_SUPPLIER} characters");
        fault("supplier", mend);
    }
    for (member, days, least) in [
        ("lead_days", Some(edit.lead_days), 0),
        ("cover_days", Some(edit.cover_days), 0),
        ("life_days", edit.life_days, 1),
    ] {
        if days.is_some_and(|days| !(least..=MOST_DAYS).contains(&days)) {
            fault(member, format!("give {least} to {MOST_DAYS} days"));
        }
    }
    if let Some(material) = edit.material_id {
        match material_read(conn, scope, material) {
            Ok(row) if row.unit != MaterialUnit::Piece => fault(
                "material_id",
                "name a material that is counted by the piece".into(),
            ),
            found => {
                if is_missing(found)? {
                    fault(
                        "material_id",
                        "this site has no material with this id".into(),
                    );
                }
            }
        }
    }
    Ok(faults)
}
