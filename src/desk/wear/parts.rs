//! Any part, measured or judged by eye: what is known of it, for whoever stands before it.

use std::collections::HashMap;

use serde::Serialize;
use utoipa::ToSchema;

use super::change::supply_of;
use super::forecast::{WearWhole, reckoned_of};
use crate::desk::access::{Permit, SeeTools};
use crate::desk::error::Named;
use crate::desk::tools::ByEye;
use crate::desk::{Office, Result};
use crate::store::stock_moves::stock_read;
use crate::store::tool_checks::{eye_checks_of, newest_eye_checks};
use crate::store::tools::{WearPartRow, tool_read, wear_part_read};
use crate::store::wear::{PartLife, part_lives, tightenings_of};

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
        let lives = part_lives(conn, permit)?;
        let life = lives.iter().find(|one| one.part.id == id);
        let after = lives.iter().find(|one| one.part.follows_id == Some(id));
        let supply = supply_of(conn, permit, &part)?;
        let on_shelf = match supply.and_then(|supply| supply.material_id) {
            Some(material) => Some(stock_read(conn, permit, material)?.0),
            None => None,
        };
        let tool_is_retired = match part.tool_id {
            Some(tool) => tool_read(conn, permit, tool)?.retired_on.is_some(),
            None => false,
        };
        let by_eye = eye_checks_of(conn, permit, id)?;
        Ok(PartSeen {
            on: life.map(name_of).unwrap_or_default(),
            wear: reckoned_of(conn, permit, &part, now)?,
            tightenings: tightenings_of(conn, permit, id)?,
            by_eye: by_eye
                .into_iter()
                .map(|check| ByEye {
                    verdict: check.verdict,
                    happened_at: check.happened_at,
                })
                .collect(),
            on_shelf,
            followed_by: after.map(|one| one.part.id),
            tool_is_retired,
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
        let mut newest: HashMap<i64, ByEye> = newest_eye_checks(conn, permit, &ids)?
            .into_iter()
            .map(|check| {
                let said = ByEye {
                    verdict: check.verdict,
                    happened_at: check.happened_at,
                };
                (check.wear_part_id, said)
            })
            .collect();
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
