//! Changing a worn part for a new one, and retiring a tool: the old part's cost is settled, the new one's begins.

use chrono::NaiveDate;
use serde::{Deserialize, Serialize};
use serde_json::json;
use trade::calendar::work_date;
use trade::money::Cents;
use trade::stock::{Position, Quantity};
use utoipa::ToSchema;

use super::known::Class;
use crate::desk::access::{ChangePart, Permit};
use crate::desk::booking::{PART, Rates, settle, settle_over, unbookable};
use crate::desk::error::{FieldFault, Named};
use crate::desk::once::Once;
use crate::desk::settings::Settings;
use crate::desk::settings::known::EXPENSE_BELOW_CENTS;
use crate::desk::{Error, Office, Result};
use crate::store::audit::{Deed, Touch, audit_append_about};
use crate::store::stock_moves::{NewMove, stock_move_add, stock_read};
use crate::store::stores::StockMoveKind;
use crate::store::tools::{
    TakenOff, ToolRow, WearPartKind, WearPartRow, tool_read, wear_part_read,
};
use crate::store::wear::{
    CarriedPart, NewPart, PartSupplyRow, carried_read, part_add, part_last_told, part_supply_of,
    part_take_off, parts_of_tool, served_by, tool_retire, tools_planned,
};
use crate::store::{Conn, Scope, Tx};

/// The most a part may cost, cents: a million dollars.
const MOST_CENTS: i64 = 100_000_000;
/// The longest a part may be, µm: a metre.
const LONGEST_UM: i64 = 1_000_000;

/// A part is changed.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct PartChangeTold {
    /// Why: `worn_out`, `broke` or `in_time`.
    pub why: TakenOff,
    /// On which date of the site; today, where it is not told. Not before the old one was used or measured last.
    pub on: Option<NaiveDate>,
    /// What the new one cost, cents, 0 to 100,000,000, where it does not come from the shelf.
    #[schema(minimum = 0, maximum = 100_000_000)]
    pub cost_cents: Option<i64>,
    /// How long the new one is, µm, where that differs from the old one when it was new.
    #[schema(minimum = 1, maximum = 1_000_000)]
    pub start_um: Option<i64>,
    /// At which length it is worn out, µm, where that differs.
    #[schema(minimum = 0, maximum = 1_000_000)]
    pub limit_um: Option<i64>,
}

/// A part that was changed.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
pub struct PartChanged {
    /// The old one, as it stands.
    pub old: WearPartRow,
    /// The new one.
    pub new: WearPartRow,
    /// What was left of the old one's cost, and was booked on the courts it served, cents.
    pub settled_cents: i64,
    /// Whether the new one came from the shelf.
    pub from_shelf: bool,
    /// Whether it was booked whole on this day.
    pub expensed: bool,
}

/// Changes a part that is fitted for a new one.
pub fn part_change(
    office: &Office,
    permit: &Permit<ChangePart>,
    part: i64,
    client_key: String,
    told: &PartChangeTold,
) -> Result<PartChanged> {
    let once = Once::new(client_key, format!("change part {part}"), told)?;
    office.db.write(permit, |tx| {
        once.run(tx, permit, |tx| change(tx, permit, part, told))
    })
}

fn change(tx: &mut Tx<'_>, scope: &Scope, part: i64, told: &PartChangeTold) -> Result<PartChanged> {
    let old = wear_part_read(tx.conn(), scope, part).named("wear part")?;
    if let Some(off) = old.retired_on {
        return Err(Error::state(format!(
            "this part was taken off on {off}: change the one that took its place"
        )));
    }
    let rates = Rates::read(tx.conn(), scope)?;
    let today = work_date(rates.zone, tx.now().utc());
    let on = told.on.unwrap_or(today);
    let last = part_last_told(tx.conn(), scope, part)?;
    let supply = supply_of(tx.conn(), scope, &old)?;
    let shelf = supply.as_ref().and_then(|supply| supply.material_id);
    let stock = match shelf.filter(|_| told.cost_cents.is_none()) {
        Some(material) => Some((material, stock_read(tx.conn(), scope, material)?)),
        None => None,
    };
    let on_shelf = stock.filter(|(_, (quantity, _))| *quantity > 0);
    let faults = faults(told, &old, (on, today), last, on_shelf.is_some());
    if !faults.is_empty() {
        return Err(Error::Refused(faults));
    }
    part_take_off(tx, scope, part, (on, told.why))?;
    let settled_cents = settle_of(tx, scope, &rates, part, on)?;
    let fitted = WearPartRow {
        start_um: told.start_um.or(old.start_um),
        limit_um: told.limit_um.or(old.limit_um),
        ..old.clone()
    };
    let mut new = NewPart {
        tool_id: old.tool_id,
        court_id: old.court_id,
        kind: old.kind,
        start_um: fitted.start_um,
        limit_um: fitted.limit_um,
        fitted_on: on,
        follows_id: part,
        cost_cents: told.cost_cents.unwrap_or(0),
        spread_over: life_of(&rates, &fitted, supply.as_ref()),
    };
    let taken = match on_shelf {
        Some((material, (quantity, value))) => {
            let stock = Position {
                quantity: Quantity(quantity),
                value: Cents(value),
            };
            let issue = stock.issue(Quantity(1)).map_err(unbookable)?;
            new.cost_cents = issue.value.0;
            Some((material, issue.value.0))
        }
        None => None,
    };
    let id = part_add(tx, scope, &new)?;
    if let Some((material, value)) = taken {
        stock_move_add(tx, scope, &from_shelf(tx, id, material, value, on))?;
    }
    let below = Settings::read(tx.conn(), scope)?.number(EXPENSE_BELOW_CENTS);
    let expensed = new.cost_cents > 0 && new.cost_cents < below;
    if expensed && let Some(carried) = carried_read(tx.conn(), scope, id)? {
        let over = planned_over(tx, scope, &rates, &carried, part)?;
        settle_over(tx, scope, &carried, &over, on)?;
    }
    let deed = Deed {
        verb: "changed",
        subject: "wear_part",
        id: part,
        data: json!({
            "new": id, "why": told.why, "on": on, "cost_cents": new.cost_cents,
            "settled_cents": settled_cents, "from_shelf": taken.is_some(), "expensed": expensed,
        }),
    };
    audit_append_about(tx, scope, &deed, &about(&old))?;
    Ok(PartChanged {
        old: wear_part_read(tx.conn(), scope, part)?,
        new: wear_part_read(tx.conn(), scope, id)?,
        settled_cents,
        from_shelf: taken.is_some(),
        expensed,
    })
}

/// What the change cannot stand on.
fn faults(
    told: &PartChangeTold,
    old: &WearPartRow,
    (on, today): (NaiveDate, NaiveDate),
    last: Option<NaiveDate>,
    on_shelf: bool,
) -> Vec<FieldFault> {
    let mut faults = Vec::new();
    let mut fault = |field: &str, mend: String| faults.push(FieldFault::new(field, mend));
    if told.why == TakenOff::ToolRetired {
        fault(
            "/why",
            "give worn_out, broke or in_time; a tool is retired by itself".into(),
        );
    }
    let from = last.map_or(old.fitted_on, |last| last.max(old.fitted_on));
    if !(from..=today).contains(&on) {
        let mend = format!(
            "give a date from {from}, when the old one was fitted, used or measured last, to {today}"
        );
        fault("/on", mend);
    }
    match told.cost_cents {
        Some(cents) if !(0..=MOST_CENTS).contains(&cents) => {
            fault("/cost_cents", format!("give 0 to {MOST_CENTS} cents"));
        }
        None if !on_shelf => fault(
            "/cost_cents",
            "say what the new one cost: the stores have none of it".into(),
        ),
        _ => {}
    }
    let start = told.start_um.or(old.start_um);
    match (told.start_um, old.start_um) {
        (Some(_), None) => fault("/start_um", "this part is judged by eye: give none".into()),
        (Some(start), _) if !(1..=LONGEST_UM).contains(&start) => {
            fault("/start_um", format!("give 1 to {LONGEST_UM} µm"));
        }
        _ => {}
    }
    if let Some(limit) = told.limit_um {
        match start {
            None => fault("/limit_um", "this part is judged by eye: give none".into()),
            Some(start) if !(0..start).contains(&limit) => {
                fault(
                    "/limit_um",
                    format!("give 0 to less than {start} µm, its length when new"),
                );
            }
            Some(_) => {}
        }
    } else if let (Some(start), Some(limit)) = (told.start_um, old.limit_um)
        && start <= limit
    {
        fault(
            "/start_um",
            format!("give more than {limit} µm, at which it is worn out"),
        );
    }
    faults
}

/// How new parts of this one's kind come.
fn supply_of(conn: &mut Conn, scope: &Scope, part: &WearPartRow) -> Result<Option<PartSupplyRow>> {
    let class = match part.tool_id {
        Some(tool) => Some(tool_read(conn, scope, tool)?.tool_class_id),
        None => None,
    };
    Ok(part_supply_of(conn, scope, part.kind, class)?)
}

/// Over how much use a new part's cost is spread: mm, where its tool's class says how it is pulled; uses of the tool; days.
fn life_of(rates: &Rates, part: &WearPartRow, supply: Option<&PartSupplyRow>) -> i64 {
    let life = match part.tool_id {
        None => supply
            .and_then(|supply| supply.life_days)
            .or_else(|| Some(usual_days(part.kind))),
        Some(tool) => Class::of(rates, part)
            .and_then(|class| class.life_mm())
            .or_else(|| Some(rates.wear(tool)?.uses)),
    };
    life.unwrap_or(1).max(1)
}

/// How many days a court's parts commonly last in full use. Common practice, no source.
pub(super) const fn usual_days(kind: WearPartKind) -> i64 {
    match kind {
        WearPartKind::CentreStrap | WearPartKind::Brush | WearPartKind::SweeperBrush => 730,
        WearPartKind::Net | WearPartKind::Headband | WearPartKind::LineTape => 1_095,
        WearPartKind::Cable | WearPartKind::Windscreen => 1_825,
    }
}

fn from_shelf(
    tx: &Tx<'_>,
    part: i64,
    material_id: i64,
    value_cents: i64,
    on: NaiveDate,
) -> NewMove {
    NewMove {
        material_id,
        order_id: None,
        kind: StockMoveKind::Issue,
        quantity: -1,
        value_cents: -value_cents,
        beyond_stock: false,
        work_date: on,
        booked_at: tx.now(),
        source_kind: PART,
        source_id: part,
        reverses_id: None,
    }
}

/// Whom a part that is booked at once is shared over: the courts on which the plans take its tool; where none does, those that
/// the one before served; else all alike. A court's part is that court's.
fn planned_over(
    tx: &mut Tx<'_>,
    scope: &Scope,
    rates: &Rates,
    part: &CarriedPart,
    before: i64,
) -> Result<Vec<(i64, i64)>> {
    let tool = match (part.court_id, part.tool_id) {
        (Some(court), _) => return Ok(vec![(court, 1)]),
        (None, Some(tool)) => tool,
        (None, None) => return Ok(Vec::new()),
    };
    let mut over = std::collections::BTreeMap::new();
    let planned = tools_planned(tx.conn(), scope, part.fitted_on)?;
    for one in planned.iter().filter(|one| one.tool_id == tool) {
        for court in rates.courts_at(one.court_id, one.bank_id) {
            *over.entry(court).or_insert(0) += 1;
        }
    }
    if over.is_empty() {
        let served = served_by(tx.conn(), scope, before)?;
        let used = served.into_iter().map(|(court, at)| (court, at.used_mm));
        over.extend(used.filter(|(_, used)| *used > 0));
    }
    if over.is_empty() {
        over.extend(rates.courts().map(|court| (court, 1)));
    }
    Ok(over.into_iter().collect())
}

/// Books what is left of a part's cost, where one is carried for it; gives how much that was, cents.
fn settle_of(
    tx: &mut Tx<'_>,
    scope: &Scope,
    rates: &Rates,
    part: i64,
    on: NaiveDate,
) -> Result<i64> {
    match carried_read(tx.conn(), scope, part)? {
        Some(carried) => settle(tx, scope, rates, &carried, on),
        None => Ok(0),
    }
}

fn about(part: &WearPartRow) -> Vec<Touch> {
    let tool = part.tool_id.map(|tool| ("tool", tool));
    let court = part.court_id.map(|court| ("court", court));
    tool.into_iter().chain(court).collect()
}

/// A tool is retired.
#[derive(Clone, Debug, Default, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct ToolRetireTold {
    /// On which date of the site; today, where it is not told.
    pub on: Option<NaiveDate>,
}

/// Retires a tool: no plan takes it any more, its parts are taken off, and what is left of their cost is booked.
pub fn tool_retired(
    office: &Office,
    permit: &Permit<ChangePart>,
    tool: i64,
    client_key: String,
    told: &ToolRetireTold,
) -> Result<ToolRow> {
    let once = Once::new(client_key, format!("retire tool {tool}"), told)?;
    office.db.write(permit, |tx| {
        once.run(tx, permit, |tx| {
            let row = tool_read(tx.conn(), permit, tool).named("tool")?;
            if let Some(on) = row.retired_on {
                return Err(Error::state(format!("this tool was retired on {on}")));
            }
            let rates = Rates::read(tx.conn(), permit)?;
            let today = work_date(rates.zone, tx.now().utc());
            let on = told.on.unwrap_or(today);
            let parts = parts_of_tool(tx.conn(), permit, tool)?;
            let mut from = row.in_service_from;
            for part in &parts {
                let last = part_last_told(tx.conn(), permit, part.id)?;
                from = from.max(part.fitted_on).max(last.unwrap_or(from));
            }
            if !(from..=today).contains(&on) {
                let mend = format!("give a date from {from}, when it was used last, to {today}");
                return Err(Error::refused("/on", mend));
            }
            tool_retire(tx, permit, tool, on)?;
            let mut settled_cents = 0;
            for part in &parts {
                part_take_off(tx, permit, part.id, (on, TakenOff::ToolRetired))?;
                settled_cents += settle_of(tx, permit, &rates, part.id, on)?;
            }
            let deed = Deed {
                verb: "retired",
                subject: "tool",
                id: tool,
                data: json!({ "on": on, "settled_cents": settled_cents, "version": row.version + 1 }),
            };
            audit_append_about(tx, permit, &deed, &[])?;
            Ok(tool_read(tx.conn(), permit, tool)?)
        })
    })
}
