//! Use of parts: by every order that took their tool, and by hand where an order knows nothing of it.

use std::collections::HashMap;

use chrono::NaiveDate;
use serde::{Deserialize, Serialize};
use serde_json::json;
use trade::calendar::work_date;
use trade::care::CareTask;
use trade::grooming::{Condition, Direction as Way, ToolAction};
use trade::units::Millimetres;
use trade::wear::{UsedFor, pulled, weighed};
use utoipa::ToSchema;

use crate::desk::access::{CheckTool, Permit, SeeTools};
use crate::desk::booking::{Closing, Rates, by_hand, unbookable};
use crate::desk::error::{FieldFault, Named};
use crate::desk::once::Once;
use crate::desk::stops::actor;
use crate::desk::{Error, Office, Result};
use crate::store::audit::{Deed, audit_append_about};
use crate::store::courts::court_read;
use crate::store::orders::{Direction, order_steps_named};
use crate::store::play::conditions_newest;
use crate::store::sites::site_read;
use crate::store::tools::{WearPartRow, wear_part_read};
use crate::store::wear::{
    self, Counted, NewPartUse, PartUseRow, TIGHTENED, ToolTaken, carried_read, part_use_newest,
    part_uses_add, part_uses_lay, parts_counted, tightenings_until, tools_taken, used_until,
};
use crate::store::{Conn, Page, Paged, Scope, Tx};

/// The farthest that may be told at once: more than a tool goes in a season, 5,000 km.
const MOST_MM: u64 = 5_000_000_000;
/// The most tightenings that may be told at once.
const MOST_TIGHTENINGS: u64 = 1_000;
const LONGEST_NOTE: usize = 500;

/// Adds what an order's tools were used to their parts; gives each use.
pub(in crate::desk) fn book(
    tx: &mut Tx<'_>,
    scope: &Scope,
    rates: &Rates,
    closing: &Closing<'_>,
) -> Result<Vec<NewPartUse>> {
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
    let courts: Vec<i64> = rates.courts_of(order).collect();
    let parts = parts_counted(tx.conn(), scope, (&tools, &courts), order.work_date)?;
    let (on_tools, on_courts): (Vec<Counted>, Vec<Counted>) =
        parts.into_iter().partition(|part| part.tool_id.is_some());
    let mut rows = tightened(tx, scope, closing, &on_courts)?;
    rows.extend(pulled_by(tx, scope, rates, (closing, &used), &on_tools)?);
    for row in &mut rows {
        row.user_id = Some(closing.user_id);
    }
    part_uses_add(tx, scope, &rows)?;
    Ok(rows)
}

/// Each strap and cable of a court whose net went up again is tightened once.
fn tightened(
    tx: &mut Tx<'_>,
    scope: &Scope,
    closing: &Closing<'_>,
    parts: &[Counted],
) -> Result<Vec<NewPartUse>> {
    if parts.is_empty() || closing.steps_done.is_empty() {
        return Ok(Vec::new());
    }
    let steps = order_steps_named(tx.conn(), scope, &[closing.order.id])?;
    let went_up = steps.iter().any(|step| {
        step.code == CareTask::LowerNet.as_str() && closing.steps_done.contains(&step.position)
    });
    if !went_up {
        return Ok(Vec::new());
    }
    let rows = parts.iter().map(|part| NewPartUse {
        court_id: part.court_id,
        order_id: Some(closing.order.id),
        tightenings: 1,
        ..no_use(tx, scope, part.id, closing.order.work_date)
    });
    Ok(rows.collect())
}

/// No use of a part, to be filled in.
pub(in crate::desk) fn no_use(
    tx: &mut Tx<'_>,
    scope: &Scope,
    part: i64,
    on: NaiveDate,
) -> NewPartUse {
    NewPartUse {
        site_id: scope.site_id(),
        seq: tx.next_seq(),
        wear_part_id: part,
        court_id: None,
        order_id: None,
        work_date: on,
        use_mm: 0,
        weighed_mm: 0,
        tightenings: 0,
        note: None,
        user_id: None,
        booked_at: tx.now(),
        reverses_id: None,
        client_key: None,
    }
}

/// How far the parts of an order's tools were pulled.
fn pulled_by(
    tx: &mut Tx<'_>,
    scope: &Scope,
    rates: &Rates,
    (closing, used): (&Closing<'_>, &[ToolTaken]),
    parts: &[Counted],
) -> Result<Vec<NewPartUse>> {
    if parts.is_empty() {
        return Ok(Vec::new());
    }
    let courts: Vec<i64> = rates.courts_of(closing.order).collect();
    let seen = conditions_newest(tx.conn(), scope, Some(&courts), closing.at)?;
    let conditions: HashMap<i64, Condition> = seen
        .into_iter()
        .map(|row| (row.court_id, row.condition))
        .collect();
    let mut rows = Vec::new();
    for taken in used {
        for part in parts
            .iter()
            .filter(|part| part.tool_id == Some(taken.tool_id))
        {
            rows.extend(uses(tx, scope, rates, taken, part.id, &conditions)?);
        }
    }
    Ok(rows)
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
            court_id: Some(court),
            order_id: Some(taken.order_id),
            use_mm: far.0,
            weighed_mm: weighed(far, condition).map_err(unbookable)?.0,
            ..no_use(tx, scope, part, taken.work_date)
        });
    }
    Ok(rows)
}

/// Use that no order knows of.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(as = PartUseTold)]
pub struct UseTold {
    /// How far it was pulled, m: 1 to 5,000,000; below nothing where too much was told before. Of a brush.
    #[serde(default)]
    #[schema(minimum = -5_000_000, maximum = 5_000_000)]
    pub metres: i64,
    /// How often it was tightened, 1 to 1,000; below nothing where too much was told before. Of a strap or cable.
    #[serde(default)]
    #[schema(minimum = -1_000, maximum = 1_000)]
    pub tightenings: i64,
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
            let far = told.metres.saturating_mul(1_000);
            let faults = use_faults(tx.conn(), permit, told, &row, (on, today))?;
            if !faults.is_empty() {
                return Err(Error::Refused(faults));
            }
            if let Some(court) = told.court_id {
                court_read(tx.conn(), permit, court).known_by("/court_id")?;
            }
            let new = NewPartUse {
                court_id: told.court_id.or(row.court_id),
                use_mm: far,
                weighed_mm: far,
                tightenings: told.tightenings,
                note: told.note.clone().filter(|note| !note.trim().is_empty()),
                user_id: Some(actor(permit)?),
                client_key: Some(once.client_key.clone()),
                ..no_use(tx, permit, part, on)
            };
            part_uses_add(tx, permit, &[new])?;
            let carried = carried_read(tx.conn(), permit, part)?;
            if let Some((carried, court)) = carried.zip(told.court_id).filter(|_| far != 0) {
                by_hand(tx, permit, &carried, (court, far), on)?;
            }
            let deed = Deed {
                verb: "told",
                subject: "part_use",
                id: part,
                data: json!({ "metres": told.metres, "tightenings": told.tightenings, "on": on }),
            };
            let about: Vec<_> = row.tool_id.map(|tool| ("tool", tool)).into_iter().collect();
            audit_append_about(tx, permit, &deed, &about)?;
            Ok(part_use_newest(tx.conn(), permit, part)?)
        })
    })
}

/// What of the use that is told cannot be so.
fn use_faults(
    conn: &mut Conn,
    scope: &Scope,
    told: &UseTold,
    part: &WearPartRow,
    (on, today): (NaiveDate, NaiveDate),
) -> Result<Vec<FieldFault>> {
    let mut faults = Vec::new();
    let far = told.metres.saturating_mul(1_000);
    if part.start_um.is_some() {
        if far == 0 || far.unsigned_abs() > MOST_MM {
            faults.push(FieldFault::new(
                "/metres",
                "give 1 to 5,000,000 m, or as much below nothing to take some back",
            ));
        } else if far < 0 && used_until(conn, scope, part.id, on)? < -far {
            faults.push(FieldFault::new(
                "/metres",
                "the part was not used so far until then: take back at most what was told",
            ));
        }
        if told.tightenings != 0 {
            faults.push(FieldFault::new(
                "/tightenings",
                "this part is pulled, not tightened: give metres",
            ));
        }
    } else if TIGHTENED.contains(&part.kind) {
        let times = told.tightenings;
        if times == 0 || times.unsigned_abs() > MOST_TIGHTENINGS {
            faults.push(FieldFault::new(
                "/tightenings",
                "give 1 to 1,000, or as many below nothing to take some back",
            ));
        } else if times < 0 && tightenings_until(conn, scope, part.id, on)? < -times {
            faults.push(FieldFault::new(
                "/tightenings",
                "the part was not tightened so often until then: take back at most what was told",
            ));
        }
        if told.metres != 0 {
            faults.push(FieldFault::new(
                "/metres",
                "this part is tightened, not pulled: give tightenings",
            ));
        }
    } else {
        faults.push(FieldFault::new(
            "/metres",
            "this part is judged by eye: no use is counted for it",
        ));
    }
    let fitted = part.fitted_on..=part.retired_on.unwrap_or(today).min(today);
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
    Ok(faults)
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
