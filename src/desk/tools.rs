//! Tools, wear parts and readings.

use std::collections::HashMap;

use serde::Serialize;
use utoipa::ToSchema;

use super::access::{Permit, SeeTools};
use super::error::Named;
use super::{Office, Result};
use crate::store::tool_checks::{EyeCheckRow, EyeVerdict, newest_eye_checks};
use crate::store::tools::{self, ReadingRow, ToolClassRow, ToolRow, WearPartRow};
use crate::store::{Conn, Instant, Page, Paged, Scope};

/// A wear part with where it stands.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct WearPartView {
    /// The part itself.
    #[serde(flatten)]
    pub part: WearPartRow,
    /// Its newest reading; null where it was never measured.
    pub newest_reading: Option<ReadingRow>,
    /// What the eye said of it last; null where nobody looked.
    pub newest_by_eye: Option<ByEye>,
}

/// What the eye said of a wear part.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct ByEye {
    /// What it said.
    pub verdict: EyeVerdict,
    /// When.
    pub happened_at: Instant,
}

impl From<EyeCheckRow> for ByEye {
    fn from(check: EyeCheckRow) -> Self {
        Self {
            verdict: check.verdict,
            happened_at: check.happened_at,
        }
    }
}

/// What the eye said last of each of these parts that somebody looked at.
pub(super) fn newest_by_eye(
    conn: &mut Conn,
    scope: &Scope,
    parts: &[i64],
) -> Result<HashMap<i64, ByEye>> {
    let newest = newest_eye_checks(conn, scope, parts)?.into_iter();
    Ok(newest
        .map(|check| (check.wear_part_id, check.into()))
        .collect())
}

/// The site's tool classes.
pub fn tool_class_list(
    office: &Office,
    permit: &Permit<SeeTools>,
    page: Page,
) -> Result<Paged<ToolClassRow>> {
    Ok(office
        .db
        .read(|conn| tools::tool_class_list(conn, permit, page))?)
}

/// The site's tools.
pub fn tool_list(office: &Office, permit: &Permit<SeeTools>, page: Page) -> Result<Paged<ToolRow>> {
    Ok(office
        .db
        .read(|conn| tools::tool_list(conn, permit, page))?)
}

/// One tool.
pub fn tool_read(office: &Office, permit: &Permit<SeeTools>, id: i64) -> Result<ToolRow> {
    office
        .db
        .read(|conn| tools::tool_read(conn, permit, id).named("tool"))
}

/// The site's wear parts, each with its newest reading and what the eye said of it last.
pub fn wear_part_list(
    office: &Office,
    permit: &Permit<SeeTools>,
    page: Page,
) -> Result<Paged<WearPartView>> {
    office.db.read(|conn| {
        let parts = tools::wear_part_list(conn, permit, page)?;
        let ids: Vec<i64> = parts.items.iter().map(|part| part.id).collect();
        let mut newest: HashMap<i64, ReadingRow> = tools::newest_readings(conn, permit, &ids)?
            .into_iter()
            .map(|reading| (reading.wear_part_id, reading))
            .collect();
        let mut by_eye = newest_by_eye(conn, permit, &ids)?;
        Ok(parts.map(|part| {
            let newest_reading = newest.remove(&part.id);
            let newest_by_eye = by_eye.remove(&part.id);
            WearPartView {
                part,
                newest_reading,
                newest_by_eye,
            }
        }))
    })
}

/// The site's readings, of one part where it is given.
pub fn reading_list(
    office: &Office,
    permit: &Permit<SeeTools>,
    wear_part_id: Option<i64>,
    page: Page,
) -> Result<Paged<ReadingRow>> {
    Ok(office
        .db
        .read(|conn| tools::reading_list(conn, permit, wear_part_id, page))?)
}

/// The readings of one wear part.
pub fn wear_part_reading_list(
    office: &Office,
    permit: &Permit<SeeTools>,
    wear_part_id: i64,
    page: Page,
) -> Result<Paged<ReadingRow>> {
    office.db.read(|conn| {
        let part = tools::wear_part_read(conn, permit, wear_part_id).named("wear part")?;
        Ok(tools::reading_list(conn, permit, Some(part.id), page)?)
    })
}
