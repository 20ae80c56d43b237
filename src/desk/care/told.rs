//! When a task was last done, as somebody tells it: at set-up, or where it was done without an order.

use std::collections::{HashMap, HashSet};

use chrono::NaiveDate;
use serde::{Deserialize, Serialize};
use trade::calendar::work_date;
use utoipa::ToSchema;

use crate::desk::access::{EditCare, Permit};
use crate::desk::day_build::applies;
use crate::desk::once::Once;
use crate::desk::{Error, FieldFault, Office, Result};
use crate::store::Page;
use crate::store::audit::{Deed, audit_append};
use crate::store::care::{
    CareTaskRow, DoneAt, NewTold, care_task_list, care_told_add, care_told_newest,
};
use crate::store::courts::{CourtRow, court_list};
use crate::store::sites::site_read;

/// The most that is told at once.
const MOST: usize = 500;

/// When tasks were last done.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct ToldLast {
    /// One entry a task and place, 1 to 500.
    pub told: Vec<ToldOne>,
}

/// When one task was last done at one place.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct ToldOne {
    /// The care task.
    pub care_task_id: i64,
    /// The bank; for a task that is done on courts it stands for each of its courts that the task is for.
    pub bank_id: Option<i64>,
    /// One court, in place of a bank.
    pub court_id: Option<i64>,
    /// The day, today or earlier; null where nobody knows: such work falls due evenly over the days until it would come
    /// round. The newest word counts, and a finished order of a later day wins over it.
    pub done_on: Option<NaiveDate>,
}

/// What was noted.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
pub struct ToldReport {
    /// How many places were noted.
    pub places: usize,
}

/// Notes when tasks were last done: all of it or, where one entry cannot be so, none.
pub fn care_told(
    office: &Office,
    permit: &Permit<EditCare>,
    told: &ToldLast,
    once: &Once,
) -> Result<ToldReport> {
    if !(1..=MOST).contains(&told.told.len()) {
        return Err(Error::refused(
            "/told",
            format!("tell of 1 to {MOST} places at once"),
        ));
    }
    office.db.write(permit, |tx| {
        once.run(tx, permit, |tx| {
            let user_id = permit
                .user_id()
                .ok_or(Error::NotSignedIn("work is told of by a user"))?;
            let now = tx.now();
            let zone = site_read(tx.conn(), permit)?.zone()?;
            let today = work_date(zone, now.utc());
            let tasks = care_task_list(tx.conn(), permit)?;
            let tasks: HashMap<i64, CareTaskRow> =
                tasks.into_iter().map(|task| (task.id, task)).collect();
            let courts = court_list(tx.conn(), permit, Page::ALL)?.items;
            let (mut rows, mut faults) = (Vec::new(), Vec::new());
            for (nth, one) in told.told.iter().enumerate() {
                match places(one, &tasks, &courts, today) {
                    Ok(found) => {
                        rows.extend(found.into_iter().map(|(court_id, bank_id)| NewTold {
                            care_task_id: one.care_task_id,
                            court_id,
                            bank_id,
                            done_on: one.done_on,
                            told_at: now,
                            user_id,
                        }));
                    }
                    Err((field, detail)) => {
                        faults.push(FieldFault::new(format!("/told/{nth}{field}"), detail));
                    }
                }
            }
            if !faults.is_empty() {
                return Err(Error::Refused(faults));
            }
            let places = rows.len();
            // Said again that nobody knows, it goes on counting from when it was first said.
            let unknown: HashSet<_> = care_told_newest(tx.conn(), permit)?
                .into_iter()
                .filter(|one| one.done_on.is_none())
                .map(|one| (one.care_task_id, one.court_id, one.bank_id))
                .collect();
            rows.retain(|row| {
                let place = (row.care_task_id, row.court_id, row.bank_id);
                row.done_on.is_some() || !unknown.contains(&place)
            });
            care_told_add(tx, permit, &rows)?;
            audit_append(
                tx,
                permit,
                &Deed {
                    verb: "told",
                    subject: "care_standard",
                    id: permit.site_id(),
                    data: serde_json::json!({ "places": places }),
                },
            )?;
            Ok(ToldReport { places })
        })
    })
}

/// A court's id, or a bank's.
type CourtOrBank = (Option<i64>, Option<i64>);

/// The court or bank of each place that an entry speaks of; or the field that is wrong, and why.
fn places(
    one: &ToldOne,
    tasks: &HashMap<i64, CareTaskRow>,
    courts: &[CourtRow],
    today: NaiveDate,
) -> std::result::Result<Vec<CourtOrBank>, (&'static str, String)> {
    let Some(task) = tasks.get(&one.care_task_id) else {
        return Err((
            "/care_task_id",
            "the care standard has no task with this id".into(),
        ));
    };
    if one.done_on.is_some_and(|on| on > today) {
        return Err((
            "/done_on",
            format!("it is {today}: give today or an earlier day"),
        ));
    }
    match (one.court_id, one.bank_id, task.done_at) {
        (_, _, DoneAt::Turnaround) => Err((
            "/care_task_id",
            "this is a step of the turnaround: it is due after each session".into(),
        )),
        (Some(court), None, DoneAt::Court) => {
            if courts.iter().any(|known| known.id == court) {
                Ok(vec![(Some(court), None)])
            } else {
                Err(("/court_id", "this site has no court with this id".into()))
            }
        }
        (None, Some(bank), at) => {
            let of_bank = || courts.iter().filter(|court| court.bank_id == bank);
            if of_bank().next().is_none() {
                Err((
                    "/bank_id",
                    "this site has no courts in a bank with this id".into(),
                ))
            } else if at == DoneAt::Bank {
                Ok(vec![(None, Some(bank))])
            } else {
                let asked = of_bank().filter(|court| applies(task, court));
                Ok(asked.map(|court| (Some(court.id), None)).collect())
            }
        }
        (Some(_), None, DoneAt::Bank) => Err((
            "/court_id",
            "this task is done on a whole bank: give bank_id".into(),
        )),
        _ => Err(("/bank_id", "give either court_id or bank_id".into())),
    }
}
