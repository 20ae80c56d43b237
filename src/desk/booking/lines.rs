//! What a closing costs, line by line: time, material, water and the wear of tools.
//!
//! The wear of a tool is its class's flat rate, but where a cost is carried for its parts: see [`parts`](super::parts).

use std::collections::HashSet;

use chrono::NaiveDate;
use trade::care::CareTask;
use trade::costing::{
    LabourUse, MaterialUse, OrderCost, OrderUse, WaterUse, WearUse, cost_of_order,
};
use trade::money::{Cents, split};
use trade::stock::{Position, Quantity};
use trade::units::Millilitres;

use super::parts::Carrying;
use super::totals::Kept;
use super::{Closing, Outcome, Rates, SOURCE, parts, unbookable};
use crate::desk::Result;
use crate::store::cost::{
    CostKind, NewCostLine, TotalRow, cost_lines_add, running_total, running_total_keep,
};
use crate::store::orders::{
    WateringOfOrder, order_steps_named, order_waterings, order_waterings_set,
};
use crate::store::stock_moves::{NewMove, stock_move_add, stock_read};
use crate::store::stores::StockMoveKind;
use crate::store::wear::NewPartUse;
use crate::store::{self, Scope, Tx};

/// What the lines of a closing come to.
pub(super) struct Lines {
    /// Their sum, cents.
    pub cents: i64,
    /// By how much they moved the running totals.
    pub totals: Vec<TotalRow>,
    /// The runs of water that were planned with the order.
    pub waterings: Vec<i64>,
}

/// Takes what the order took and books what it costs.
pub(super) fn book(
    tx: &mut Tx<'_>,
    scope: &Scope,
    rates: &Rates,
    closing: &Closing<'_>,
    used_parts: &[NewPartUse],
) -> Result<Lines> {
    let planned = order_waterings(tx.conn(), scope, closing.order.id)?;
    let waterings = planned.iter().map(|run| run.id).collect();
    let runs = run_water(tx, scope, closing, planned)?;
    let materials = issue(tx, scope, closing)?;
    let Carrying {
        lines: of_parts,
        tools: carried,
    } = parts::book(tx, scope, rates, closing, used_parts)?;
    let used = uses(rates, closing, &runs, materials, &carried)?;
    let kept = Kept::keys(rates, closing.order.work_date, &used)
        .into_iter()
        .map(|(kind, subject, period)| running_total(tx.conn(), scope, kind, subject, &period))
        .collect::<store::Result<_>>()
        .map(Kept::of)?;
    let cost = cost_of_order(&used, kept.totals()).map_err(unbookable)?;
    let mut lines = cost_lines(
        rates,
        closing,
        &runs,
        &used,
        &cost,
        scope.site_id(),
        &mut || tx.next_seq(),
    )?;
    let (after, totals) = kept.after(cost.totals);
    for row in &after {
        running_total_keep(tx, scope, row)?;
    }
    let of_order = of_parts.iter().filter(|line| line.order_id.is_some());
    let cents = cost.total.0 + of_order.map(|line| line.cents).sum::<i64>();
    lines.extend(of_parts);
    cost_lines_add(tx, &lines)?;
    Ok(Lines {
        cents,
        totals,
        waterings,
    })
}

/// What a closing used, at the prices of the day: the time of its people, the materials as they
/// were issued, the water that ran and the uses of its tools, but of those whose parts a cost is carried for.
pub fn uses(
    rates: &Rates,
    closing: &Closing<'_>,
    runs: &[WateringOfOrder],
    materials: Vec<MaterialUse>,
    carried: &HashSet<i64>,
) -> Result<OrderUse> {
    Ok(OrderUse {
        labour: labour(rates, closing)?,
        materials,
        water: water(rates, runs)?,
        wear: wear(rates, closing, carried)?,
    })
}

/// The cost lines of a closing, from what it used and what that costs. A bank's courts bear equal
/// parts, water is borne by the court it ran on, and a line of nothing is not written.
pub fn cost_lines(
    rates: &Rates,
    closing: &Closing<'_>,
    runs: &[WateringOfOrder],
    used: &OrderUse,
    cost: &OrderCost,
    site_id: i64,
    next_seq: &mut impl FnMut() -> i64,
) -> Result<Vec<NewCostLine>> {
    let week = rates.pay_week(closing.order.work_date);
    let mut lines = Borne::of(rates, closing);
    // One amount for each use, in the order of the uses.
    let mut amounts = cost.lines.iter().map(|line| line.amount);
    for (of, cents) in used.labour.iter().zip(amounts.by_ref()) {
        lines.spread(Cause::Labour(of.person, week), cents)?;
    }
    for (of, cents) in used.materials.iter().zip(amounts.by_ref()) {
        lines.spread(Cause::Material(of.material), cents)?;
    }
    for (run, cents) in runs.iter().zip(amounts.by_ref()) {
        lines.bear(run.court_id, Cause::Water, cents);
    }
    for (of, cents) in used.wear.iter().zip(amounts) {
        lines.spread(Cause::Wear(of.tool), cents)?;
    }
    Ok(lines.rows(site_id, next_seq))
}

fn labour(rates: &Rates, closing: &Closing<'_>) -> Result<Vec<LabourUse>> {
    let on = closing.order.work_date;
    let of = closing.people.iter().map(|worked| {
        let cents_per_h = rates.cents_per_h(worked.person, on);
        Ok(LabourUse {
            person: worked.person,
            worked: worked.span.length(),
            cents_an_hour: Cents(cents_per_h.ok_or_else(|| unbookable("a missing pay rate"))?),
        })
    });
    of.collect()
}

/// Issues the materials at the moving average.
fn issue(tx: &mut Tx<'_>, scope: &Scope, closing: &Closing<'_>) -> Result<Vec<MaterialUse>> {
    let mut uses = Vec::with_capacity(closing.materials.len());
    for taken in &closing.materials {
        let (quantity, value) = stock_read(tx.conn(), scope, taken.material_id)?;
        let stock = Position {
            quantity: Quantity(quantity),
            value: Cents(value),
        };
        let issue = stock.issue(Quantity(taken.quantity)).map_err(unbookable)?;
        stock_move_add(
            tx,
            scope,
            &NewMove {
                material_id: taken.material_id,
                order_id: Some(closing.order.id),
                kind: StockMoveKind::Issue,
                quantity: -taken.quantity,
                value_cents: -issue.value.0,
                beyond_stock: issue.beyond.0 > 0,
                work_date: closing.order.work_date,
                booked_at: closing.learned_at,
                source_kind: SOURCE,
                source_id: closing.order.id,
                reverses_id: None,
            },
        )?;
        uses.push(MaterialUse {
            material: taken.material_id,
            value: issue.value,
        });
    }
    Ok(uses)
}

/// Lets the order's waterings run where its water was started; else they are withdrawn.
fn run_water(
    tx: &mut Tx<'_>,
    scope: &Scope,
    closing: &Closing<'_>,
    planned: Vec<WateringOfOrder>,
) -> Result<Vec<WateringOfOrder>> {
    let order = closing.order.id;
    if planned.is_empty() {
        return Ok(planned);
    }
    let steps = order_steps_named(tx.conn(), scope, &[order])?;
    let started = match steps.iter().find(|s| s.code == CareTask::Soak.as_str()) {
        Some(soak) => closing.steps_done.contains(&soak.position),
        None => matches!(closing.outcome, Outcome::Finished(_)),
    };
    order_waterings_set(tx, scope, order, started)?;
    Ok(if started { planned } else { Vec::new() })
}

fn water(rates: &Rates, runs: &[WateringOfOrder]) -> Result<Vec<WaterUse>> {
    let of = runs.iter().map(|run| {
        let bank = rates.bank_of_court(run.court_id);
        Ok(WaterUse {
            bank: bank.ok_or_else(|| unbookable("a court without a bank"))?,
            volume: Millilitres(run.volume_ml),
            cents_a_cubic_metre: Cents(rates.water_cents_per_m3),
        })
    });
    of.collect()
}

fn wear(rates: &Rates, closing: &Closing<'_>, carried: &HashSet<i64>) -> Result<Vec<WearUse>> {
    let flat = closing.tools.iter();
    let flat = flat.filter(|tool| !carried.contains(&tool.tool_id));
    let of = flat.map(|tool| {
        let rate = rates.wear(tool.tool_id);
        let rate = rate.ok_or_else(|| unbookable("a tool without a class"))?;
        Ok(WearUse {
            tool: tool.tool_id,
            uses: tool.uses,
            cost: Cents(rate.cents),
            life: rate.uses,
        })
    });
    of.collect()
}

/// What a line is caused by.
#[derive(Clone, Copy)]
enum Cause {
    /// A person's time, in the pay week that begins on the date.
    Labour(i64, NaiveDate),
    /// A material.
    Material(i64),
    /// Water.
    Water,
    /// Uses of a tool.
    Wear(i64),
}

/// The lines of one closing, before they are appended: (court, cause, cents).
struct Borne<'a> {
    closing: &'a Closing<'a>,
    /// The courts the order was on.
    courts: Vec<i64>,
    all: Vec<(i64, Cause, i64)>,
}

impl<'a> Borne<'a> {
    fn of(rates: &Rates, closing: &'a Closing<'a>) -> Self {
        let order = closing.order;
        let courts = match (order.court_id, order.bank_id) {
            (Some(court), _) => vec![court],
            (None, Some(bank)) => rates.courts_of_bank(bank).to_vec(),
            (None, None) => Vec::new(),
        };
        Self {
            closing,
            courts,
            all: Vec::new(),
        }
    }

    /// Lets every court of the order bear its equal part.
    fn spread(&mut self, cause: Cause, cents: Cents) -> Result<()> {
        let parts = split(cents, &vec![1; self.courts.len()]).map_err(unbookable)?;
        for (court, part) in self.courts.clone().into_iter().zip(parts) {
            self.bear(court, cause, part);
        }
        Ok(())
    }

    /// Lets one court bear it all. A line of nothing is not written.
    fn bear(&mut self, court: i64, cause: Cause, cents: Cents) {
        if cents != Cents::ZERO {
            self.all.push((court, cause, cents.0));
        }
    }

    fn rows(self, site_id: i64, next_seq: &mut impl FnMut() -> i64) -> Vec<NewCostLine> {
        let order = self.closing.order;
        self.all
            .into_iter()
            .map(|(court_id, cause, cents)| {
                let (kind, person_id, material_id, tool_id, pay_week) = match cause {
                    Cause::Labour(person, week) => {
                        (CostKind::Labour, Some(person), None, None, Some(week))
                    }
                    Cause::Material(material) => {
                        (CostKind::Material, None, Some(material), None, None)
                    }
                    Cause::Water => (CostKind::Water, None, None, None, None),
                    Cause::Wear(tool) => (CostKind::ToolWear, None, None, Some(tool), None),
                };
                NewCostLine {
                    site_id,
                    seq: next_seq(),
                    court_id,
                    order_id: Some(order.id),
                    kind,
                    cents,
                    person_id,
                    material_id,
                    tool_id,
                    wear_part_id: None,
                    pay_week,
                    work_date: order.work_date,
                    booked_at: self.closing.learned_at,
                    source_kind: SOURCE,
                    source_id: order.id,
                    reverses_id: None,
                }
            })
            .collect()
    }
}
