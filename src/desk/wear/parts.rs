//! Any part, measured or judged by eye: what is known of it, for whoever stands before it.

use serde::Serialize;
use utoipa::ToSchema;

use super::forecast::{WearWhole, reckoned_of};
use crate::desk::access::{Permit, SeeTools};
use crate::desk::error::Named;
use crate::desk::tools::{ByEye, newest_by_eye};
use crate::desk::{Office, Result};
use crate::store::courts::court_read;
use crate::store::stock_moves::stock_read;
use crate::store::tool_checks::eye_checks_of;
use crate::store::tools::{WearPartRow, tool_read, wear_part_read};
use crate::store::wear::{PartLife, part_after, part_lives, part_supply_of, tightenings_of};

/// A part with all that is known of it.
#[derive(Clone, Debug)]
pub struct PartSeen {
    /// The part.
    pub part: WearPartRow,
    /// The number of its tool, or the name of its court.
    pub on: String,
    /// How worn it is, where that can be reckoned.
    pub wear: Option<WearWhole>,
    /// How often it was tightened.
    pub tightenings: i64,
    /// What the eye said of it, the newest first, at most twenty.
    pub by_eye: Vec<ByEye>,
    /// How many of its kind are on the shelf; none where none is kept there.
    pub on_shelf: Option<i64>,
    /// The part that took its place.
    pub followed_by: Option<i64>,
    /// Whether its tool was retired.
    pub tool_is_retired: bool,
}

/// One part.
pub fn part_seen(office: &Office, permit: &Permit<SeeTools>, id: i64) -> Result<PartSeen> {
    let now = office.now();
    office.db.read(|conn| {
        let part = wear_part_read(conn, permit, id).named("wear part")?;
        let tool = match part.tool_id {
            Some(tool) => Some(tool_read(conn, permit, tool)?),
            None => None,
        };
        let on = match (&tool, part.court_id) {
            (Some(tool), _) => tool.number.clone(),
            (None, Some(court)) => court_read(conn, permit, court)?.name,
            (None, None) => String::new(),
        };
        let class = tool.as_ref().map(|tool| tool.tool_class_id);
        let supply = part_supply_of(conn, permit, part.kind, class)?;
        let on_shelf = match supply.and_then(|supply| supply.material_id) {
            Some(material) => Some(stock_read(conn, permit, material)?.0),
            None => None,
        };
        let by_eye = eye_checks_of(conn, permit, id)?;
        Ok(PartSeen {
            on,
            wear: reckoned_of(conn, permit, &part, now)?,
            tightenings: tightenings_of(conn, permit, id)?,
            by_eye: by_eye.into_iter().map(ByEye::from).collect(),
            on_shelf,
            followed_by: part_after(conn, permit, id)?,
            tool_is_retired: tool.is_some_and(|tool| tool.retired_on.is_some()),
            part,
        })
    })
}

/// A fitted part that is judged by eye.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct PartByEye {
    /// The part.
    pub part: WearPartRow,
    /// The number of its tool, or the name of its court.
    pub on: String,
    /// What the eye said of it last; null where nobody looked.
    pub newest: Option<ByEye>,
}

/// The fitted parts that are judged by eye.
pub fn parts_by_eye(office: &Office, permit: &Permit<SeeTools>) -> Result<Vec<PartByEye>> {
    office.db.read(|conn| {
        let mut lives = part_lives(conn, permit)?;
        lives.retain(|one| one.part.retired_on.is_none() && one.part.start_um.is_none());
        let ids: Vec<i64> = lives.iter().map(|one| one.part.id).collect();
        let mut newest = newest_by_eye(conn, permit, &ids)?;
        Ok(lives
            .into_iter()
            .map(|one| PartByEye {
                on: name_of(&one),
                newest: newest.remove(&one.part.id),
                part: one.part,
            })
            .collect())
    })
}

fn name_of(one: &PartLife) -> String {
    let tool = one.tool.as_ref().map(|(_, number)| number.clone());
    tool.or_else(|| one.court.clone()).unwrap_or_default()
}
