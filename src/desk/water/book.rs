//! What water costs: booked once a run, when it is told or its time has passed; what is told afterwards books the
//! difference.

use serde_json::json;
use trade::costing::MILLILITRES_A_CUBIC_METRE;
use trade::money::{Cents, RunningTotal};

use crate::desk::booking::unbookable;
use crate::desk::{Office, Result};
use crate::store::audit::{Deed, audit_append};
use crate::store::cost::{
    CostKind, NewCostLine, TotalKind, cost_lines_add, running_total, running_total_keep,
};
use crate::store::sites::{site_ids, site_read};
use crate::store::water::{RunRow, run_read, runs_to_book, site_has_to_book, water_booked};
use crate::store::{Instant, Scope, Tx};

/// What cost lines of water that no order brought name as their source.
const SOURCE: &str = "watering";
/// Runs booked in one transaction.
const AT_ONCE: i64 = 400;

/// Brings what is booked of a court's part of a run to `ml`; gives the line's cents, which are below nothing where less
/// ran than was booked. The line belongs to the date of the run's plan.
pub(super) fn book(
    tx: &mut Tx<'_>,
    scope: &Scope,
    run: &RunRow,
    ml: i64,
    booked_at: Instant,
) -> Result<i64> {
    let more = ml - run.booked_ml.unwrap_or(0);
    if run.booked_ml.is_some() && more == 0 {
        return Ok(0);
    }
    let price = site_read(tx.conn(), scope)?.water_cents_per_m3;
    let mut kept = running_total(tx.conn(), scope, TotalKind::Water, run.bank_id, "")?;
    let mut total = RunningTotal {
        used: kept.used,
        booked: Cents(kept.booked_cents),
    };
    let cents = total
        .book(Cents(price), more, MILLILITRES_A_CUBIC_METRE)
        .map_err(unbookable)?;
    kept.used = total.used;
    kept.booked_cents = total.booked.0;
    running_total_keep(tx, scope, &kept)?;
    if cents.0 != 0 {
        let line = NewCostLine {
            site_id: scope.site_id(),
            seq: tx.next_seq(),
            court_id: run.court_id,
            order_id: None,
            kind: CostKind::Water,
            cents: cents.0,
            person_id: None,
            material_id: None,
            tool_id: None,
            wear_part_id: None,
            pay_week: None,
            work_date: run.work_date,
            booked_at,
            source_kind: SOURCE,
            source_id: run.id,
            reverses_id: None,
        };
        cost_lines_add(tx, &[line])?;
    }
    water_booked(tx, scope, run.id, ml)?;
    Ok(cents.0)
}

/// Books a run anew that was told by itself, since what an order booked of it is taken back: so much of it stands booked.
pub fn book_anew(tx: &mut Tx<'_>, scope: &Scope, id: i64, booked_ml: i64) -> Result<()> {
    water_booked(tx, scope, id, booked_ml)?;
    let run = run_read(tx.conn(), scope, id)?;
    let ran_ml = match run.state.as_str() {
        "run" => run.real_ml.unwrap_or(run.volume_ml),
        _ => run.real_ml.unwrap_or(0),
    };
    let now = tx.now();
    book(tx, scope, &run, ran_ml, now)?;
    Ok(())
}

/// Books the night water of every site whose time has passed and that nobody has told of, as it was planned.
pub fn book_due(office: &Office) -> Result<()> {
    let now = office.now();
    let sites = office.db.read(site_ids)?;
    for site in sites {
        let scope = Scope::of_the_service(site);
        while office.db.read(|conn| site_has_to_book(conn, &scope, now))? {
            office.db.write(&scope, |tx| some(tx, &scope, now, false))?;
        }
    }
    Ok(())
}

/// Books all of a site's past night water, each run as of its own end: for history that is laid afterwards.
pub fn book_past(tx: &mut Tx<'_>, scope: &Scope) -> Result<()> {
    let now = tx.now();
    while some(tx, scope, now, true)? > 0 {}
    Ok(())
}

/// Books some runs; gives how many.
fn some(tx: &mut Tx<'_>, scope: &Scope, now: Instant, in_the_past: bool) -> Result<usize> {
    let runs = runs_to_book(tx.conn(), scope, now, AT_ONCE)?;
    let mut cents = 0;
    for run in &runs {
        let booked_at = if in_the_past { run.ends_at } else { now };
        cents += book(
            tx,
            scope,
            run,
            run.real_ml.unwrap_or(run.volume_ml),
            booked_at,
        )?;
    }
    if let Some(first) = runs.first() {
        let deed = Deed {
            verb: "booked",
            subject: SOURCE,
            id: first.id,
            data: json!({ "runs": runs.len(), "cents": cents }),
        };
        audit_append(tx, scope, &deed)?;
    }
    Ok(runs.len())
}
