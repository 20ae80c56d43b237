//! What is said of a run: that it came, with what the meter says, or that it did not. One that did not come is laid
//! again while its courts can still drain before play.

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::book::book;
use super::day::{WaterRunView, run_views};
use crate::desk::access::{Permit, TellWater};
use crate::desk::day_build::{Inputs, again, parts};
use crate::desk::error::Named;
use crate::desk::once::Once;
use crate::desk::{Error, Office, Result};
use crate::store::audit::{Deed, audit_append};
use crate::store::water::{
    RunRow, Told, ToldBy, again_add, run_read, runs_beside, runs_of_plan, told_set, visits_between,
};
use crate::store::{Scope, Tx};

/// The most one run may bring, ml: a thousand cubic metres.
const MOST_ML: i64 = 1_000_000_000;

/// What is said of a run.
#[derive(Clone, Copy, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct RunTold {
    /// Whether it came.
    pub ran: bool,
    /// How much it really was, ml, over all its courts; as planned where it is left out.
    #[schema(minimum = 0, maximum = 1_000_000_000)]
    pub real_ml: Option<i64>,
    /// Who says so.
    pub told_by: ToldBy,
}

/// A run as it was told, and the one in its stead where it did not come.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
pub struct ToldView {
    /// The run.
    pub run: WaterRunView,
    /// The run in its stead, before play; null where it came, or its courts could not drain any more.
    pub again: Option<WaterRunView>,
    /// What this booked, cents; below nothing where more was booked before than ran.
    pub cents: i64,
}

/// Keeps what is said of a run, books its water, and lays it again where it did not come and there is time. What is said
/// last holds. [`Error::State`] where it has not begun, or was withdrawn.
pub fn run_told(
    office: &Office,
    permit: &Permit<TellWater>,
    id: i64,
    told: &RunTold,
    once: &Once,
) -> Result<ToldView> {
    let out_of_bounds = told.real_ml.is_some_and(|ml| !(0..=MOST_ML).contains(&ml));
    if out_of_bounds || (!told.ran && told.real_ml.is_some_and(|ml| ml > 0)) {
        let mend = "give 0 to 1,000,000,000 ml, and none of a run that did not come";
        return Err(Error::refused("/real_ml", mend));
    }
    office.db.write(permit, |tx| {
        once.run(tx, permit, |tx| keep(tx, permit, id, told))
    })
}

fn keep(tx: &mut Tx<'_>, scope: &Scope, id: i64, told: &RunTold) -> Result<ToldView> {
    let now = tx.now();
    let run = run_read(tx.conn(), scope, id).named("run of water")?;
    if run.state == "withdrawn" {
        return Err(Error::state(
            "this run was withdrawn with its plan or order".into(),
        ));
    }
    if run.starts_at > now {
        return Err(Error::state(
            "this run has not begun: say so once its time has come".into(),
        ));
    }
    let all = runs_beside(tx.conn(), scope, &run)?;
    let planned: i64 = all.iter().map(|part| part.volume_ml).sum();
    let real = if told.ran {
        told.real_ml.unwrap_or(planned)
    } else {
        0
    };
    let mut cents = 0;
    for (part, real_ml) in all.iter().zip(parts(real, all.len())) {
        let said = Told {
            ran: told.ran,
            real_ml,
            by: told.told_by,
            at: now,
        };
        told_set(tx, scope, part.id, &said)?;
        cents += book(tx, scope, part, real_ml, now)?;
    }
    let again = if told.ran {
        Vec::new()
    } else {
        in_its_stead(tx, scope, &all)?
    };
    let deed = Deed {
        verb: if told.ran { "ran" } else { "did_not_run" },
        subject: "watering",
        id,
        data: serde_json::json!({ "real_ml": real, "told_by": told.told_by, "cents": cents }),
    };
    audit_append(tx, scope, &deed)?;
    let told_rows = runs_beside(tx.conn(), scope, &run)?;
    Ok(ToldView {
        run: one_view(tx, scope, told_rows)?,
        again: if again.is_empty() {
            None
        } else {
            Some(one_view(tx, scope, again)?)
        },
        cents,
    })
}

/// Lays the run again, where that was not done before and there is time; gives its rows.
fn in_its_stead(tx: &mut Tx<'_>, scope: &Scope, all: &[RunRow]) -> Result<Vec<RunRow>> {
    let now = tx.now();
    let Some(first) = all.first() else {
        return Ok(Vec::new());
    };
    let of_plan = runs_of_plan(tx.conn(), scope, first.day_plan_id)?;
    if of_plan.iter().any(|run| run.again_of_id == Some(first.id)) {
        return Ok(Vec::new());
    }
    let inputs = Inputs::read(tx.conn(), scope, first.work_date, now)?;
    let (_, until) = inputs.clock.around();
    let courts: Vec<i64> = all.iter().map(|part| part.court_id).collect();
    let visits = visits_between(tx.conn(), scope, &courts, now, until)?;
    let Some((from, to)) = again(&inputs, all, &of_plan, &visits, now) else {
        return Ok(Vec::new());
    };
    let mut laid = Vec::new();
    for part in all {
        let id = again_add(tx, scope, part, from, to)?;
        laid.push(run_read(tx.conn(), scope, id)?);
    }
    Ok(laid)
}

fn one_view(tx: &mut Tx<'_>, scope: &Scope, rows: Vec<RunRow>) -> Result<WaterRunView> {
    let view = run_views(tx.conn(), scope, rows)?.into_iter().next();
    view.ok_or(Error::NotFound("run of water"))
}
