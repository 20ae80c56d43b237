//! Taking back what a closing booked: each row is reversed by a further one, and whatever is kept beside them follows.

use std::collections::BTreeMap;

use serde::Deserialize;
use trade::costing::MILLILITRES_A_CUBIC_METRE;
use trade::labour::SECONDS_AN_HOUR;
use trade::money::{Cents, due};

use super::parts::UsedOnOrder;
use super::{Rates, SOURCE, parts, unbookable};
use crate::desk::water::book_anew;
use crate::desk::{Error, Result};
use crate::store::cost::{
    CostKind, NewCostLine, TotalKind, TotalRow, cost_lines_add, cost_lines_standing, running_total,
    running_total_keep,
};
use crate::store::hours::{NewHours, hours_add, hours_standing};
use crate::store::orders::{
    OrderRow, closing_told, order_readings_take_back, order_steps_unmark, order_tools_unmark,
    order_waterings_all, watering_as_planned,
};
use crate::store::stock_moves::{NewMove, moves_standing, stock_move_add};
use crate::store::times::time_remove;
use crate::store::treatments::treatments_reverse;
use crate::store::wear::part_uses_reverse;
use crate::store::{Scope, Tx};

/// What the event of a closing tells that taking it back needs.
#[derive(Debug, Deserialize)]
struct Told {
    /// By how much it moved the running totals.
    totals: Vec<TotalRow>,
    /// The runs of water that hung on the order and were planned then; all of the order's, where they are not told.
    #[serde(default)]
    waterings: Option<Vec<i64>>,
    /// The tools it named that were not the order's before.
    #[serde(default)]
    tools_added: Vec<i64>,
}

/// Takes back everything that the last closing of an order booked; gives what that comes to, cents, below nothing where it
/// had cost something.
pub fn reverse_closing(
    tx: &mut Tx<'_>,
    scope: &Scope,
    rates: &Rates,
    order: &OrderRow,
) -> Result<i64> {
    let told = closing_told(tx.conn(), scope, order.id)?;
    let told: Told = serde_json::from_str(&told).map_err(|_| {
        Error::state_of(
            "closed_before_totals",
            "this work order was given back before the office kept what taking it back needs",
        )
    })?;
    let used = UsedOnOrder::read(tx, scope, order.id)?;
    hours(tx, scope, order)?;
    materials(tx, scope, order)?;
    let back = lines(tx, scope, order)?;
    let cents = back.iter().map(|line| line.cents).sum();
    totals(tx, scope, rates, order, &told.totals)?;
    water(tx, scope, order, told.waterings.as_deref())?;
    order_steps_unmark(tx, scope, order.id)?;
    order_tools_unmark(tx, scope, order.id, &told.tools_added)?;
    order_readings_take_back(tx, scope, order.id)?;
    part_uses_reverse(tx, scope, order.id)?;
    parts::take_back(tx, scope, rates, order, &used, &back)?;
    time_remove(tx, scope, order.id)?;
    treatments_reverse(tx, scope, order.id)?;
    Ok(cents)
}

fn hours(tx: &mut Tx<'_>, scope: &Scope, order: &OrderRow) -> Result<()> {
    let standing = hours_standing(tx.conn(), scope, order.id)?;
    let now = tx.now();
    let back: Vec<NewHours> = standing
        .into_iter()
        .map(|entry| NewHours {
            site_id: scope.site_id(),
            seq: tx.next_seq(),
            person_id: entry.person_id,
            order_id: entry.order_id,
            kind: entry.kind,
            starts_at: entry.starts_at,
            ends_at: entry.ends_at,
            work_date: entry.work_date,
            booked_at: now,
            source_kind: SOURCE,
            source_id: order.id,
            reverses_id: Some(entry.id),
        })
        .collect();
    if !back.is_empty() {
        hours_add(tx, &back)?;
    }
    Ok(())
}

/// What was taken from the stores goes back at the value it was taken at.
fn materials(tx: &mut Tx<'_>, scope: &Scope, order: &OrderRow) -> Result<()> {
    let booked_at = tx.now();
    for out in moves_standing(tx.conn(), scope, order.id)? {
        let back = NewMove {
            material_id: out.material_id,
            order_id: out.order_id,
            kind: out.kind,
            quantity: -out.quantity,
            value_cents: -out.value_cents,
            beyond_stock: false,
            work_date: out.work_date,
            booked_at,
            source_kind: SOURCE,
            source_id: order.id,
            reverses_id: Some(out.id),
        };
        stock_move_add(tx, scope, &back)?;
    }
    Ok(())
}

/// Takes the lines back; gives those that do it.
fn lines(tx: &mut Tx<'_>, scope: &Scope, order: &OrderRow) -> Result<Vec<NewCostLine>> {
    let standing = cost_lines_standing(tx.conn(), scope, order.id)?;
    let now = tx.now();
    let back: Vec<NewCostLine> = standing
        .into_iter()
        .map(|line| NewCostLine {
            site_id: scope.site_id(),
            seq: tx.next_seq(),
            court_id: line.court_id,
            order_id: line.order_id,
            kind: line.kind,
            cents: -line.cents,
            person_id: line.person_id,
            material_id: line.material_id,
            tool_id: line.tool_id,
            wear_part_id: line.wear_part_id,
            pay_week: line.pay_week,
            work_date: line.work_date,
            booked_at: now,
            source_kind: SOURCE,
            source_id: order.id,
            reverses_id: Some(line.id),
        })
        .collect();
    if !back.is_empty() {
        cost_lines_add(tx, &back)?;
    }
    Ok(back)
}

/// The running totals go back by what the closing moved them. Where other orders were booked since, what is due of the
/// rest may be a cent from what they were booked at: that cent is a line of its own, on the order's first court, so that
/// the lines of the order sum to nothing and all lines to what is due.
fn totals(
    tx: &mut Tx<'_>,
    scope: &Scope,
    rates: &Rates,
    order: &OrderRow,
    moved: &[TotalRow],
) -> Result<()> {
    // A key may stand more than once.
    let mut by_key: BTreeMap<(TotalKind, i64, &str), (i64, i64)> = BTreeMap::new();
    for one in moved {
        let of = by_key.entry((one.kind, one.subject_id, &one.period));
        let (used, booked) = of.or_default();
        *used += one.used;
        *booked += one.booked_cents;
    }
    let mut rest = Vec::new();
    for ((kind, subject, period), (used, booked)) in by_key {
        let mut kept = running_total(tx.conn(), scope, kind, subject, period)?;
        kept.used -= used;
        kept.booked_cents -= booked;
        let due = due(Cents(1), kept.used, per(kind, period))
            .map_err(unbookable)?
            .0;
        let court = rates.courts_of(order).next();
        if let Some(court_id) = court.filter(|_| due != kept.booked_cents) {
            rest.push(apart(
                tx,
                scope,
                rates,
                order,
                &kept,
                (court_id, due - kept.booked_cents),
            ));
            kept.booked_cents = due;
        }
        running_total_keep(tx, scope, &kept)?;
    }
    if !rest.is_empty() {
        cost_lines_add(tx, &rest)?;
    }
    Ok(())
}

/// Over how much use a total spreads its price.
fn per(kind: TotalKind, period: &str) -> i64 {
    match kind {
        TotalKind::Labour => SECONDS_AN_HOUR,
        TotalKind::Water => MILLILITRES_A_CUBIC_METRE,
        TotalKind::ToolWear => period.parse().unwrap_or(0),
    }
}

fn apart(
    tx: &mut Tx<'_>,
    scope: &Scope,
    rates: &Rates,
    order: &OrderRow,
    of: &TotalRow,
    (court_id, cents): (i64, i64),
) -> NewCostLine {
    let kind = match of.kind {
        TotalKind::Labour => CostKind::Labour,
        TotalKind::Water => CostKind::Water,
        TotalKind::ToolWear => CostKind::ToolWear,
    };
    let is = |kind: TotalKind| (of.kind == kind).then_some(of.subject_id);
    NewCostLine {
        site_id: scope.site_id(),
        seq: tx.next_seq(),
        court_id,
        order_id: None,
        kind,
        cents,
        person_id: is(TotalKind::Labour),
        material_id: None,
        tool_id: is(TotalKind::ToolWear),
        wear_part_id: None,
        pay_week: is(TotalKind::Labour).map(|_| rates.pay_week(order.work_date)),
        work_date: order.work_date,
        booked_at: tx.now(),
        source_kind: SOURCE,
        source_id: order.id,
        reverses_id: None,
    }
}

/// The order's water is planned again. What a meter has told of stands as it was told, and is booked by itself.
fn water(
    tx: &mut Tx<'_>,
    scope: &Scope,
    order: &OrderRow,
    of_closing: Option<&[i64]>,
) -> Result<()> {
    for run in order_waterings_all(tx.conn(), scope, order.id)? {
        if of_closing.is_some_and(|ids| !ids.contains(&run.id)) {
            continue;
        }
        if run.is_told {
            let booked_ml = run.booked_ml.unwrap_or(0) - run.volume_ml;
            book_anew(tx, scope, run.id, booked_ml)?;
        } else {
            watering_as_planned(tx, scope, run.id)?;
        }
    }
    Ok(())
}
