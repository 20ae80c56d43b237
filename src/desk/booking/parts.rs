//! What a part costs the courts it serves, where a cost is carried for it: by use, until all of it is booked.
//!
//! A tool's part that is measured costs by how far it was pulled, another by the uses of its tool, a court's by its days.

use std::collections::{BTreeMap, HashMap, HashSet};

use chrono::NaiveDate;
use trade::money::{Cents, split};
use trade::wear::{Carried, Share};

use super::{Closing, Rates, SOURCE, unbookable};
use crate::desk::Result;
use crate::store::cost::{CostKind, NewCostLine, cost_lines_add};
use crate::store::orders::OrderRow;
use crate::store::wear::{
    CarriedPart, NewPartUse, PartBooked, Served, carried_keep, carried_on, carried_read, served_by,
    tool_uses_of, used_on_order,
};
use crate::store::{Instant, Scope, Tx};

/// What lines and stock moves of a part name as their source.
pub const PART: &str = "wear_part";

/// What a closing costs of parts.
pub(super) struct Carrying {
    /// The lines, not yet appended. Those of a court's own parts are not the order's: its days pass without it.
    pub lines: Vec<NewCostLine>,
    /// The tools of which no flat rate is to be booked.
    pub tools: HashSet<i64>,
}

/// Books what the parts of an order's tools and courts cost. `used` is what the order pulled them.
pub(super) fn book(
    tx: &mut Tx<'_>,
    scope: &Scope,
    rates: &Rates,
    closing: &Closing<'_>,
    used: &[NewPartUse],
) -> Result<Carrying> {
    let order = closing.order;
    let uses: HashMap<i64, i64> = closing
        .tools
        .iter()
        .filter(|tool| tool.uses > 0)
        .map(|tool| (tool.tool_id, tool.uses))
        .collect();
    let tools: Vec<i64> = uses.keys().copied().collect();
    let courts: Vec<i64> = rates.courts_of(order).collect();
    let parts = carried_on(tx.conn(), scope, (&tools, &courts), order.work_date)?;
    let mut lines = Vec::new();
    for part in &parts {
        let pulled: Vec<(i64, i64)> = used
            .iter()
            .filter(|one| one.wear_part_id == part.id)
            .filter_map(|one| Some((one.court_id?, one.weighed_mm)))
            .collect();
        let shares = match part.tool_id {
            _ if part.retired_on.is_some() => late(tx, scope, part, &pulled)?,
            None => of_court(tx, scope, part, order.work_date)?,
            Some(_) if !pulled.is_empty() => by_use(tx, scope, part, &pulled)?,
            Some(tool) => {
                let uses = uses.get(&tool).copied().unwrap_or(0);
                by_uses(tx, scope, part, uses, &courts)?
            }
        };
        let booked = Booked {
            order: part.tool_id.map(|_| order.id),
            on: order.work_date,
            at: closing.learned_at,
        };
        lines.extend(part_lines(tx, scope, part, &shares, booked));
    }
    Ok(Carrying {
        lines,
        tools: parts.iter().filter_map(|part| part.tool_id).collect(),
    })
}

fn by_use(
    tx: &mut Tx<'_>,
    scope: &Scope,
    part: &CarriedPart,
    pulled: &[(i64, i64)],
) -> Result<Vec<Share>> {
    let mut carried = carried(part);
    let mut shares = Vec::with_capacity(pulled.len());
    for (court, far) in pulled {
        shares.push((*court, carried.book(*far).map_err(unbookable)?));
    }
    keep(tx, scope, part.id, &carried)?;
    Ok(shares)
}

/// By the uses of the tool; the courts of a bank bear equal parts.
fn by_uses(
    tx: &mut Tx<'_>,
    scope: &Scope,
    part: &CarriedPart,
    uses: i64,
    courts: &[i64],
) -> Result<Vec<Share>> {
    let mut carried = carried(part);
    let line = carried.book(uses).map_err(unbookable)?;
    let parts = split(line, &vec![1; courts.len()]).map_err(unbookable)?;
    keep(tx, scope, part.id, &carried)?;
    Ok(courts.iter().copied().zip(parts).collect())
}

/// A court's part serves it every day from its first on, whoever works there.
fn of_court(
    tx: &mut Tx<'_>,
    scope: &Scope,
    part: &CarriedPart,
    on: NaiveDate,
) -> Result<Vec<Share>> {
    let mut carried = carried(part);
    let days = (on - part.fitted_on).num_days() + 1;
    let Some(court) = part.court_id.filter(|_| days > carried.used) else {
        return Ok(Vec::new());
    };
    let line = carried.book(days - carried.used).map_err(unbookable)?;
    keep(tx, scope, part.id, &carried)?;
    Ok(vec![(court, line)])
}

/// Of a part that was taken off since, all is booked: whom it served besides bears a share that the others had.
fn late(
    tx: &mut Tx<'_>,
    scope: &Scope,
    part: &CarriedPart,
    pulled: &[(i64, i64)],
) -> Result<Vec<Share>> {
    let carried = carried(part);
    let mut before = used_at(&served_by(tx.conn(), scope, part.id)?);
    for (court, far) in pulled {
        let used = before.entry(*court).or_default();
        *used = (*used - far).max(0);
    }
    let mut shares = Vec::new();
    for (court, far) in pulled {
        let served: Vec<(i64, i64)> = before.iter().map(|(c, used)| (*c, *used)).collect();
        shares.extend(carried.late(*court, *far, &served).map_err(unbookable)?);
        *before.entry(*court).or_default() += far;
    }
    Ok(shares)
}

fn used_at(served: &BTreeMap<i64, Served>) -> BTreeMap<i64, i64> {
    let used = served.iter();
    used.map(|(court, served)| (*court, served.used_mm.max(0)))
        .filter(|(_, used)| *used > 0)
        .collect()
}

/// What parts an order used, as it stands before it is taken back.
pub(super) struct UsedOnOrder {
    pulled: HashMap<i64, i64>,
    tools: HashMap<i64, i64>,
}

impl UsedOnOrder {
    pub fn read(tx: &mut Tx<'_>, scope: &Scope, order: i64) -> Result<Self> {
        let pulled = used_on_order(tx.conn(), scope, order)?;
        let tools = tool_uses_of(tx.conn(), scope, order)?;
        Ok(Self {
            pulled: pulled.into_iter().collect(),
            tools: tools.into_iter().collect(),
        })
    }

    fn of(&self, part: &CarriedPart) -> i64 {
        let uses = || part.tool_id.and_then(|tool| self.tools.get(&tool));
        let pulled = self.pulled.get(&part.id).filter(|far| **far > 0);
        pulled.or_else(uses).copied().unwrap_or(0)
    }
}

/// Takes back what an order booked of parts, its lines (`back` takes them back) and their use having been taken back. What is
/// taken back of a part that was taken off since goes to the courts it served.
pub(super) fn take_back(
    tx: &mut Tx<'_>,
    scope: &Scope,
    rates: &Rates,
    order: &OrderRow,
    used: &UsedOnOrder,
    back: &[NewCostLine],
) -> Result<()> {
    let mut by_part: BTreeMap<i64, i64> = BTreeMap::new();
    for line in back {
        if let Some(part) = line.wear_part_id {
            *by_part.entry(part).or_default() -= line.cents;
        }
    }
    for (part, cents) in by_part {
        let Some(mut part) = carried_read(tx.conn(), scope, part)? else {
            continue;
        };
        let mut carried = carried(&part);
        let uses = used.of(&part);
        carried.take_back(uses, Cents(cents)).map_err(unbookable)?;
        part.booked = keep(tx, scope, part.id, &carried)?;
        if part.retired_on.is_some() {
            settle(tx, scope, rates, &part, order.work_date)?;
        }
    }
    Ok(())
}

/// Books what is left of a part on the courts it served, as on a date of the site; gives how much that was, cents.
pub(in crate::desk) fn settle(
    tx: &mut Tx<'_>,
    scope: &Scope,
    rates: &Rates,
    part: &CarriedPart,
    on: NaiveDate,
) -> Result<i64> {
    let over = match part.court_id {
        Some(court) => vec![(court, 1)],
        None => weights(&served_by(tx.conn(), scope, part.id)?, rates),
    };
    settle_over(tx, scope, part, &over, on)
}

/// Books what is left of a part, shared over these courts by their weights, as on a date of the site; gives how much that was,
/// cents. Where there is no court, nothing is booked.
pub(in crate::desk) fn settle_over(
    tx: &mut Tx<'_>,
    scope: &Scope,
    part: &CarriedPart,
    over: &[(i64, i64)],
    on: NaiveDate,
) -> Result<i64> {
    if over.is_empty() {
        return Ok(0);
    }
    let mut carried = carried(part);
    let left = carried.left().map_err(unbookable)?;
    let shares = carried.settle(over).map_err(unbookable)?;
    keep(tx, scope, part.id, &carried)?;
    add(tx, scope, part, &shares, on)?;
    Ok(left.0)
}

/// Books use of a part that somebody told by hand on a court; below nothing where it takes some back.
pub(in crate::desk) fn by_hand(
    tx: &mut Tx<'_>,
    scope: &Scope,
    part: &CarriedPart,
    (court, far): (i64, i64),
    on: NaiveDate,
) -> Result<()> {
    let shares = if part.retired_on.is_some() {
        late(tx, scope, part, &[(court, far)])?
    } else if far >= 0 {
        by_use(tx, scope, part, &[(court, far)])?
    } else {
        // It bears so much less as the use that is taken back is a part of what stood.
        let served = served_by(tx.conn(), scope, part.id)?;
        let at = served.get(&court).copied().unwrap_or_default();
        let stood = at.used_mm - far;
        let parts = split(Cents(at.cents), &[-far, at.used_mm.max(0)]);
        let line = match parts {
            Ok(parts) if stood > 0 => parts.first().copied().unwrap_or_default(),
            _ => Cents::ZERO,
        };
        let mut carried = carried(part);
        carried.take_back(-far, line).map_err(unbookable)?;
        keep(tx, scope, part.id, &carried)?;
        vec![(court, Cents(-line.0))]
    };
    add(tx, scope, part, &shares, on)
}

/// Spreads what is still to be booked of a part over the use that is left of it by a new forecast.
pub(in crate::desk) fn reckon(
    tx: &mut Tx<'_>,
    scope: &Scope,
    part: &CarriedPart,
    use_left: i64,
) -> Result<()> {
    let mut carried = carried(part);
    carried.re_estimate(use_left.max(1)).map_err(unbookable)?;
    keep(tx, scope, part.id, &carried)?;
    Ok(())
}

/// Whom a part served, by how far it was pulled; else by what they bore of it; else all courts alike.
fn weights(served: &BTreeMap<i64, Served>, rates: &Rates) -> Vec<(i64, i64)> {
    let used = used_at(served);
    if !used.is_empty() {
        return used.into_iter().collect();
    }
    let bore: Vec<(i64, i64)> = served
        .iter()
        .map(|(court, served)| (*court, served.cents.max(0)))
        .filter(|(_, cents)| *cents > 0)
        .collect();
    if bore.is_empty() {
        return rates.courts().map(|court| (court, 1)).collect();
    }
    bore
}

fn add(
    tx: &mut Tx<'_>,
    scope: &Scope,
    part: &CarriedPart,
    shares: &[Share],
    on: NaiveDate,
) -> Result<()> {
    let booked = Booked {
        order: None,
        on,
        at: tx.now(),
    };
    let lines = part_lines(tx, scope, part, shares, booked);
    if !lines.is_empty() {
        cost_lines_add(tx, &lines)?;
    }
    Ok(())
}

/// When lines of a part are booked, and with which order.
#[derive(Clone, Copy)]
struct Booked {
    order: Option<i64>,
    on: NaiveDate,
    at: Instant,
}

/// A line of nothing is not written.
fn part_lines(
    tx: &mut Tx<'_>,
    scope: &Scope,
    part: &CarriedPart,
    shares: &[Share],
    booked: Booked,
) -> Vec<NewCostLine> {
    let (source_kind, source_id) = match booked.order {
        Some(order) => (SOURCE, order),
        None => (PART, part.id),
    };
    let shares = shares.iter().filter(|(_, cents)| *cents != Cents::ZERO);
    shares
        .map(|(court_id, cents)| NewCostLine {
            site_id: scope.site_id(),
            seq: tx.next_seq(),
            court_id: *court_id,
            order_id: booked.order,
            kind: CostKind::ToolWear,
            cents: cents.0,
            person_id: None,
            material_id: None,
            tool_id: part.tool_id,
            wear_part_id: Some(part.id),
            pay_week: None,
            work_date: booked.on,
            booked_at: booked.at,
            source_kind,
            source_id,
            reverses_id: None,
        })
        .collect()
}

const fn carried(part: &CarriedPart) -> Carried {
    Carried {
        cost: Cents(part.cost_cents),
        booked: Cents(part.booked.booked_cents),
        to_book: Cents(part.booked.spread_cents),
        over: part.booked.spread_over,
        used: part.booked.spread_used,
    }
}

fn keep(tx: &mut Tx<'_>, scope: &Scope, part: i64, carried: &Carried) -> Result<PartBooked> {
    let booked = PartBooked {
        booked_cents: carried.booked.0,
        spread_cents: carried.to_book.0,
        spread_over: carried.over,
        spread_used: carried.used,
    };
    carried_keep(tx, scope, part, &booked)?;
    Ok(booked)
}
