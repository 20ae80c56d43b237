//! Use of parts: by every order that took their tool, and by hand where an order knows nothing of it.

use std::collections::HashMap;

use chrono::NaiveDate;
use serde::{Deserialize, Serialize};
use serde_json::json;
use trade::calendar::work_date;
use trade::grooming::{Condition, Direction as Way, ToolAction};
use trade::units::Millimetres;
use trade::wear::{UsedFor, pulled, weighed};
use utoipa::ToSchema;

use crate::desk::access::{CheckTool, Permit, SeeTools};
use crate::desk::booking::{Closing, Rates, unbookable};
use crate::desk::error::{FieldFault, Named};
use crate::desk::once::Once;
use crate::desk::stops::actor;
use crate::desk::{Error, Office, Result};
use crate::store::audit::{Deed, audit_append_about};
use crate::store::courts::court_read;
use crate::store::orders::Direction;
use crate::store::play::conditions_newest;
use crate::store::sites::site_read;
use crate::store::tools::wear_part_read;
use crate::store::wear::{
    self, NewPartUse, PartUseRow, ToolTaken, part_use_newest, part_uses_add, part_uses_lay,
    parts_of_tools, tools_taken, used_until,
};
use crate::store::{Page, Paged, Scope, Tx};

/// The farthest that may be told at once: more than a tool goes in a season, 5,000 km.
const MOST_MM: u64 = 5_000_000_000;
const LONGEST_NOTE: usize = 500;

/// Adds what an order's tools were used to their parts.
pub(in crate::desk) fn book(
    tx: &mut Tx<'_>,
    scope: &Scope,
    rates: &Rates,
    closing: &Closing<'_>,
) -> Result<()> {
    let order = closing.order;
    let used: Vec<ToolTaken> = closing
        .tools
        .iter()
        .filter(|tool| tool.uses > 0)
        .map(|tool| ToolTaken {
            order_id: order.id,
            tool_id: tool.tool_id,
            uses: tool.uses,
            court_id: order.court_id,
            bank_id: order.bank_id,
            work_date: order.work_date,
            direction: order.direction,
            groom_class: order.groom_class.clone(),
        })
        .collect();
    let tools: Vec<i64> = used.iter().map(|one| one.tool_id).collect();
    if tools.is_empty() {
        return Ok(());
    }
    let parts = parts_of_tools(tx.conn(), scope, &tools, order.work_date)?;
    if parts.is_empty() {
        return Ok(());
    }
    let courts: Vec<i64> = rates.courts_of(order).collect();
    let seen = conditions_newest(tx.conn(), scope, Some(&courts), closing.at)?;
    let conditions: HashMap<i64, Condition> = seen
        .into_iter()
        .map(|row| (row.court_id, row.condition))
        .collect();
    let mut rows = Vec::new();
    for taken in &used {
        let of_tool = parts.iter().filter(|(tool, _)| *tool == taken.tool_id);
        for (_, part) in of_tool {
            rows.extend(uses(tx, scope, rates, taken, *part, &conditions)?);
        }
    }
    for row in &mut rows {
        row.user_id = Some(closing.user_id);
    }
    Ok(part_uses_add(tx, scope, &rows)?)
}

/// Adds what the tools of a site's past orders were used to the parts that are fitted now.
pub(in crate::desk) fn lay(tx: &mut Tx<'_>, scope: &Scope, rates: &Rates) -> Result<()> {
    let taken = tools_taken(tx.conn(), scope)?;
    let fitted = wear::measured_parts(tx.conn(), scope, None)?;
    let mut of_tool: HashMap<i64, Vec<(i64, NaiveDate)>> = HashMap::new();
    for one in &fitted {
        if let Some(tool) = one.part.tool_id {
            let parts = of_tool.entry(tool).or_default();
            parts.push((one.part.id, one.part.fitted_on));
        }
    }
    let mut rows = Vec::new();
    for one in &taken {
        for (part, fitted_on) in of_tool.get(&one.tool_id).into_iter().flatten() {
            if *fitted_on <= one.work_date {
                rows.extend(uses(tx, scope, rates, one, *part, &HashMap::new())?);
            }
        }
    }
    Ok(part_uses_lay(tx, scope, &rows)?)
}

/// The use of a part on each court of an order.
fn uses(
    tx: &mut Tx<'_>,
    scope: &Scope,
    rates: &Rates,
    taken: &ToolTaken,
    part: i64,
    conditions: &HashMap<i64, Condition>,
) -> Result<Vec<NewPartUse>> {
    let Some(class) = rates.class_of(taken.tool_id) else {
        return Ok(Vec::new());
    };
    // An order that names no class to groom with, as one that mends, still grooms with the drag it takes.
    let grooms = match &taken.groom_class {
        Some(code) => *code == class.code,
        None => matches!(class.action, ToolAction::Smooths | ToolAction::Levels),
    };
    let used_for = match taken.direction {
        _ if !grooms => UsedFor::Beside,
        Some(Direction::Across) => UsedFor::Grooming(Way::Across),
        Some(Direction::Along) | None => UsedFor::Grooming(Way::Along),
    };
    let mut rows = Vec::new();
    for court in rates.courts_at(taken.court_id, taken.bank_id) {
        let Some((drag, surface)) = class.drag.zip(rates.surface(court)) else {
            continue;
        };
        let one = pulled(class.action, &drag, &surface, used_for).map_err(unbookable)?;
        let far = one.checked_mul(taken.uses).map_err(unbookable)?;
        if far == Millimetres(0) {
            continue;
        }
        let condition = conditions.get(&court).copied().unwrap_or(Condition::Sound);
        rows.push(NewPartUse {
            site_id: scope.site_id(),
            seq: tx.next_seq(),
            wear_part_id: part,
            court_id: Some(court),
            order_id: Some(taken.order_id),
            work_date: taken.work_date,
            use_mm: far.0,
            weighed_mm: weighed(far, condition).map_err(unbookable)?.0,
            note: None,
            user_id: None,
            booked_at: tx.now(),
            reverses_id: None,
            client_key: None,
        });
    }
    Ok(rows)
}

/// Use that no order knows of.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(as = PartUseTold)]
pub struct UseTold {
    /// How far it was pulled, m: 1 to 5,000,000; below nothing where too much was told before.
    #[schema(minimum = -5_000_000, maximum = 5_000_000)]
    pub metres: i64,
    /// On which date of the site; today, where it is not told.
    pub on: Option<NaiveDate>,
    /// On which court, where it was on one.
    pub court_id: Option<i64>,
    /// What for, at most 500 characters.
    pub note: Option<String>,
}

/// Adds use to a part by hand.
pub fn part_use_tell(
    office: &Office,
    permit: &Permit<CheckTool>,
    part: i64,
    client_key: String,
    told: &UseTold,
) -> Result<PartUseRow> {
    let once = Once::new(client_key, format!("use of part {part}"), told)?;
    office.db.write(permit, |tx| {
        once.run(tx, permit, |tx| {
            let row = wear_part_read(tx.conn(), permit, part).named("wear part")?;
            let zone = site_read(tx.conn(), permit)?.zone()?;
            let today = work_date(zone, tx.now().utc());
            let on = told.on.unwrap_or(today);
            let mut faults = Vec::new();
            let far = told.metres.saturating_mul(1_000);
            if far == 0 || far.unsigned_abs() > MOST_MM {
                faults.push(FieldFault::new(
                    "/metres",
                    "give 1 to 5,000,000 m, or as much below nothing to take some back",
                ));
            } else if far < 0 && used_until(tx.conn(), permit, part, on)? < -far {
                faults.push(FieldFault::new(
                    "/metres",
                    "the part was not used so far until then: take back at most what was told",
                ));
            }
            if row.start_um.is_none() {
                faults.push(FieldFault::new(
                    "/metres",
                    "this part is judged by eye: no use is counted for it",
                ));
            }
            let fitted = row.fitted_on..=row.retired_on.unwrap_or(today).min(today);
            if !fitted.contains(&on) {
                let mend = format!(
                    "give a date from {} to {}, while the part was fitted",
                    fitted.start(),
                    fitted.end()
                );
                faults.push(FieldFault::new("/on", mend));
            }
            if let Some(note) = &told.note
                && note.chars().count() > LONGEST_NOTE
            {
                let mend = format!("say it in at most {LONGEST_NOTE} characters");
                faults.push(FieldFault::new("/note", mend));
            }
            if !faults.is_empty() {
                return Err(Error::Refused(faults));
            }
            if let Some(court) = told.court_id {
                court_read(tx.conn(), permit, court).known_by("/court_id")?;
            }
            let new = NewPartUse {
                site_id: permit.site_id(),
                seq: tx.next_seq(),
                wear_part_id: part,
                court_id: told.court_id,
                order_id: None,
                work_date: on,
                use_mm: far,
                weighed_mm: far,
                note: told.note.clone().filter(|note| !note.trim().is_empty()),
                user_id: Some(actor(permit)?),
                booked_at: tx.now(),
                reverses_id: None,
                client_key: Some(once.client_key.clone()),
            };
            part_uses_add(tx, permit, &[new])?;
            let deed = Deed {
                verb: "told",
                subject: "part_use",
                id: part,
                data: json!({ "metres": told.metres, "on": on }),
            };
            let about: Vec<_> = row.tool_id.map(|tool| ("tool", tool)).into_iter().collect();
            audit_append_about(tx, permit, &deed, &about)?;
            Ok(part_use_newest(tx.conn(), permit, part)?)
        })
    })
}

/// The use of a part, as it was booked.
pub fn part_use_list(
    office: &Office,
    permit: &Permit<SeeTools>,
    part: i64,
    page: Page,
) -> Result<Paged<PartUseRow>> {
    office.db.read(|conn| {
        wear_part_read(conn, permit, part).named("wear part")?;
        Ok(wear::part_use_list(conn, permit, part, page)?)
    })
}
