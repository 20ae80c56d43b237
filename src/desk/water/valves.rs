//! Valves, and the courts each of them wets.

use std::collections::HashMap;

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::one_line;
use crate::desk::access::{EditWater, Permit, SeeWater};
use crate::desk::care::care_tasks_need;
use crate::desk::day_build::VALVE_WORK;
use crate::desk::error::Named;
use crate::desk::once::Once;
use crate::desk::{Error, Office, Result};
use crate::store::audit::Change;
use crate::store::courts::{bank_list, court_list};
use crate::store::water::{self, NewValve, Opened, ValveRow, valve_court_list};
use crate::store::{self, Conn, Page, Paged, Scope, Tx};

/// The most a valve lets through, ml/s: a fire main.
const MOST_FLOW: i64 = 200_000;

/// What lets water onto one court or several. It runs only when all of them are free.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[schema(as = Valve)]
pub struct ValveView {
    /// Id.
    pub id: i64,
    /// The bank whose line feeds it.
    pub bank_id: i64,
    /// Its name, as it stands at the controller.
    pub name: String,
    /// By the `controller`, `by_hand` (somebody opens it and comes back to close it), or by `hose` (somebody stands there
    /// throughout).
    pub opened: Opened,
    /// What it takes while it runs, ml/s.
    pub flow_mlps: i64,
    /// The courts it wets.
    pub court_ids: Vec<i64>,
    /// Version.
    pub version: i64,
}

/// A valve as it is told.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct ValveEdit {
    /// The bank whose line feeds it.
    pub bank_id: i64,
    /// Its name, 1 to 60 characters, not that of another valve.
    pub name: String,
    /// How it is opened.
    pub opened: Opened,
    /// What it takes while it runs, ml/s.
    #[schema(minimum = 1, maximum = 200_000)]
    pub flow_mlps: i64,
    /// The courts it wets, each once.
    pub court_ids: Vec<i64>,
}

fn views(conn: &mut Conn, scope: &Scope, rows: Vec<ValveRow>) -> store::Result<Vec<ValveView>> {
    let mut courts: HashMap<i64, Vec<i64>> = HashMap::new();
    for (valve, court) in valve_court_list(conn, scope)? {
        courts.entry(valve).or_default().push(court);
    }
    Ok(rows
        .into_iter()
        .map(|row| ValveView {
            court_ids: courts.remove(&row.id).unwrap_or_default(),
            id: row.id,
            bank_id: row.bank_id,
            name: row.name,
            opened: row.opened,
            flow_mlps: row.flow_mlps,
            version: row.version,
        })
        .collect())
}

fn view(conn: &mut Conn, scope: &Scope, id: i64) -> Result<ValveView> {
    let row = water::valve_read(conn, scope, id).named("valve")?;
    let mut views = views(conn, scope, vec![row])?;
    views.pop().ok_or(Error::NotFound("valve"))
}

/// The site's valves.
pub fn valve_list(
    office: &Office,
    permit: &Permit<SeeWater>,
    page: Page,
) -> Result<Paged<ValveView>> {
    office.db.read(|conn| {
        let rows = water::valve_list(conn, permit, page)?;
        Ok(Paged {
            items: views(conn, permit, rows.items)?,
            next: rows.next,
        })
    })
}

/// One valve.
pub fn valve_read(office: &Office, permit: &Permit<SeeWater>, id: i64) -> Result<ValveView> {
    office.db.read(|conn| view(conn, permit, id))
}

/// What is told, held against the site's banks, courts and other valves.
fn checked(
    conn: &mut Conn,
    scope: &Scope,
    edit: &ValveEdit,
    itself: Option<i64>,
) -> Result<NewValve> {
    let name = one_line("/name", &edit.name)?;
    if !(1..=MOST_FLOW).contains(&edit.flow_mlps) {
        let mend = format!("give a flow of 1 to {MOST_FLOW} ml a second");
        return Err(Error::refused("/flow_mlps", mend));
    }
    let banks = bank_list(conn, scope, Page::ALL)?.items;
    let bank = banks.iter().find(|bank| bank.id == edit.bank_id);
    let bank = bank.ok_or_else(|| Error::refused("/bank_id", "give a bank of the site"))?;
    if edit.flow_mlps > bank.line_capacity_mlps {
        let mend = format!(
            "its bank's line carries {} ml a second: give no more",
            bank.line_capacity_mlps
        );
        return Err(Error::refused("/flow_mlps", mend));
    }
    if edit.court_ids.is_empty() {
        let mend = "name at least one court that it wets";
        return Err(Error::refused("/court_ids", mend));
    }
    let courts = court_list(conn, scope, Page::ALL)?.items;
    for (nth, id) in edit.court_ids.iter().enumerate() {
        let field = format!("/court_ids/{nth}");
        if !courts.iter().any(|court| court.id == *id) {
            return Err(Error::refused(field, "give a court of the site"));
        }
        if edit.court_ids[..nth].contains(id) {
            return Err(Error::refused(field, "name each court once"));
        }
    }
    let others = water::valve_list(conn, scope, Page::ALL)?.items;
    let mut others = others.iter().filter(|valve| Some(valve.id) != itself);
    if others.any(|valve| valve.name == name) {
        let mend = "another valve has this name: give one of its own";
        return Err(Error::refused("/name", mend));
    }
    Ok(NewValve {
        bank_id: edit.bank_id,
        name,
        opened: edit.opened,
        flow_mlps: edit.flow_mlps,
    })
}

/// Of a valve that somebody opens and closes, the care standard says how that is done.
fn work_by_hand(tx: &mut Tx<'_>, scope: &Scope, edit: &ValveEdit) -> Result<()> {
    if edit.opened == Opened::ByHand {
        care_tasks_need(tx, scope, &VALVE_WORK)?;
    }
    Ok(())
}

/// Adds a valve.
pub fn valve_add(
    office: &Office,
    permit: &Permit<EditWater>,
    edit: &ValveEdit,
    once: &Once,
) -> Result<ValveView> {
    office.db.write(permit, |tx| {
        once.run(tx, permit, |tx| {
            let new = checked(tx.conn(), permit, edit, None)?;
            let id = water::valve_add(tx.conn(), permit, &new)?;
            water::valve_courts_set(tx.conn(), permit, id, &edit.court_ids)?;
            work_by_hand(tx, permit, edit)?;
            noted(tx, permit, "added", id, Change::default())?;
            view(tx.conn(), permit, id)
        })
    })
}

/// Changes a valve that still has `version`.
pub fn valve_edit(
    office: &Office,
    permit: &Permit<EditWater>,
    id: i64,
    version: i64,
    edit: &ValveEdit,
) -> Result<ValveView> {
    office.db.write(permit, |tx| {
        let before = view(tx.conn(), permit, id)?;
        let new = checked(tx.conn(), permit, edit, Some(id))?;
        water::valve_change(tx, permit, id, version, &new)?;
        water::valve_courts_set(tx.conn(), permit, id, &edit.court_ids)?;
        work_by_hand(tx, permit, edit)?;
        let change = Change::between(&before, &view(tx.conn(), permit, id)?)?;
        noted(tx, permit, "edited", id, change)?;
        view(tx.conn(), permit, id)
    })
}

/// Takes a valve that still has `version` out of use. What it has watered stays.
pub fn valve_remove(
    office: &Office,
    permit: &Permit<EditWater>,
    id: i64,
    version: i64,
) -> Result<()> {
    office.db.write(permit, |tx| {
        if view(tx.conn(), permit, id)?.version != version {
            return Err(Error::Stale);
        }
        water::valve_retire(tx, permit, id)?;
        noted(tx, permit, "removed", id, Change::default())
    })
}

fn noted(tx: &mut Tx<'_>, scope: &Scope, verb: &str, id: i64, change: Change) -> Result<()> {
    super::noted(tx, scope, verb, ("valve", id), change)
}
