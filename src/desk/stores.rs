//! Materials and stock moves.

use std::ops::RangeInclusive;

use serde::Deserialize;
use utoipa::ToSchema;

use super::access::{EditStores, Permit, SeeStores};
use super::error::{FieldFault, Named};
use super::line::is_line;
use super::{Error, Office, Result};
use crate::store::audit::{Change, Deed, audit_edit};
use crate::store::stores::{self, Label, MaterialRow, StockMoveRow};
use crate::store::{Page, Paged};

/// The site's materials.
pub fn material_list(
    office: &Office,
    permit: &Permit<SeeStores>,
    page: Page,
) -> Result<Paged<MaterialRow>> {
    Ok(office
        .db
        .read(|conn| stores::material_list(conn, permit, page))?)
}

/// One material.
pub fn material_read(office: &Office, permit: &Permit<SeeStores>, id: i64) -> Result<MaterialRow> {
    office
        .db
        .read(|conn| stores::material_read(conn, permit, id).named("material"))
}

/// The site's stock moves, of one material where it is given.
pub fn stock_move_list(
    office: &Office,
    permit: &Permit<SeeStores>,
    material_id: Option<i64>,
    page: Page,
) -> Result<Paged<StockMoveRow>> {
    Ok(office
        .db
        .read(|conn| stores::stock_move_list(conn, permit, material_id, page))?)
}

/// What is to be changed of a material.
#[derive(Clone, Debug, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct MaterialEdit {
    /// What its label says; null where it is no chemical.
    #[serde(deserialize_with = "Option::deserialize")]
    #[schema(required)]
    pub label: Option<Label>,
}

/// Changes a material that still has `version`.
pub fn material_edit(
    office: &Office,
    permit: &Permit<EditStores>,
    id: i64,
    version: i64,
    edit: &MaterialEdit,
) -> Result<MaterialRow> {
    let faults = edit.label.as_ref().map(faults).unwrap_or_default();
    if !faults.is_empty() {
        return Err(Error::Refused(faults));
    }
    office.db.write(permit, |tx| {
        let before = stores::material_read(tx.conn(), permit, id).named("material")?;
        stores::material_label_set(tx, permit, id, version, edit.label.as_ref())?;
        let deed = Deed {
            verb: "edited",
            subject: "material",
            id,
            data: serde_json::json!({ "version": version + 1 }),
        };
        let after = stores::material_read(tx.conn(), permit, id)?;
        audit_edit(tx, permit, deed, Change::between(&before, &after)?, &[])?;
        Ok(after)
    })
}

const MOST_GEAR: usize = 20;
const LONGEST_SHEET: usize = 500;
const LONGEST_GEAR: usize = 120;
const AIR: RangeInclusive<i64> = -50_000..=60_000;

/// What cannot stand on a label.
fn faults(label: &Label) -> Vec<FieldFault> {
    let mut faults = Vec::new();
    let mut fault = |member: &str, mend: String| {
        faults.push(FieldFault::new(format!("/label/{member}"), mend));
    };
    let sheet = label.sheet.trim();
    if !is_line(sheet, LONGEST_SHEET) {
        let mend = format!("say where it is in one line of 1 to {LONGEST_SHEET} characters");
        fault("sheet", mend);
    } else if sheet.contains("://") && !sheet.starts_with("https://") {
        fault(
            "sheet",
            "give an address that begins with https://".to_owned(),
        );
    }
    if label.gear.len() > MOST_GEAR {
        fault("gear", format!("name at most {MOST_GEAR} things"));
    }
    for (nth, gear) in label.gear.iter().enumerate() {
        if !is_line(gear, LONGEST_GEAR) {
            let mend = format!("name it in one line of 1 to {LONGEST_GEAR} characters");
            fault(&format!("gear/{nth}"), mend);
        }
    }
    for (member, value, bounds) in [
        ("max_wind_mmps", label.max_wind_mmps, 1..=60_000),
        ("min_air_mc", label.min_air_mc, AIR),
        ("max_air_mc", label.max_air_mc, AIR),
        ("dry_s", label.dry_s, 0..=604_800),
        ("rest_s", label.rest_s, 0..=2_678_400),
    ] {
        if value.is_some_and(|value| !bounds.contains(&value)) {
            let (least, most) = (bounds.start(), bounds.end());
            fault(member, format!("give {least} to {most}, or null"));
        }
    }
    let air = label.min_air_mc.zip(label.max_air_mc);
    if air.is_some_and(|(least, most)| least > most) {
        fault("max_air_mc", "give at least min_air_mc".to_owned());
    }
    faults
}
