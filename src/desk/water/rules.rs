//! The rules that water runs by: hours a line is free, local hours, an allowance a day.

use chrono::NaiveTime;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::one_line;
use crate::desk::access::{EditWater, Permit, SeeWater};
use crate::desk::error::Named;
use crate::desk::once::Once;
use crate::desk::{Error, Office, Result};
use crate::store::audit::Change;
use crate::store::courts::bank_list;
use crate::store::water::{self, NewRule, RuleKind, RuleRow};
use crate::store::{Conn, Page, Paged, Scope, Tx};

/// The most a rule may allow a day, ml: ten thousand cubic metres.
const MOST_A_DAY: i64 = 10_000_000_000;

/// A rule as it is told. Hours take `from_time` and `until_time`, an allowance `ml_a_day`.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct RuleEdit {
    /// The bank whose line it holds for; leave it out for the whole site.
    pub bank_id: Option<i64>,
    /// What the site calls it, 1 to 60 characters.
    pub name: String,
    /// What it says.
    pub kind: RuleKind,
    /// On which weekdays it holds: 1 Monday to 7 Sunday, each once.
    pub weekdays: Vec<i64>,
    /// From which local time, HH:MM.
    #[schema(example = "21:00")]
    pub from_time: Option<String>,
    /// Until which local time, HH:MM; on the next day where it is not after the first.
    #[schema(example = "06:00")]
    pub until_time: Option<String>,
    /// How much may be taken a day, ml.
    #[schema(minimum = 0, maximum = 10_000_000_000_i64)]
    pub ml_a_day: Option<i64>,
}

/// The site's rules.
pub fn rule_list(office: &Office, permit: &Permit<SeeWater>, page: Page) -> Result<Paged<RuleRow>> {
    Ok(office
        .db
        .read(|conn| water::rule_list(conn, permit, page))?)
}

/// One rule.
pub fn rule_read(office: &Office, permit: &Permit<SeeWater>, id: i64) -> Result<RuleRow> {
    office.db.read(|conn| read(conn, permit, id))
}

fn read(conn: &mut Conn, scope: &Scope, id: i64) -> Result<RuleRow> {
    water::rule_read(conn, scope, id).named("rule of water")
}

fn checked(conn: &mut Conn, scope: &Scope, edit: &RuleEdit) -> Result<NewRule> {
    let name = one_line("/name", &edit.name)?;
    if let Some(bank) = edit.bank_id {
        let banks = bank_list(conn, scope, Page::ALL)?.items;
        if !banks.iter().any(|known| known.id == bank) {
            return Err(Error::refused("/bank_id", "give a bank of the site"));
        }
    } else if edit.kind == RuleKind::LineFree {
        let mend = "say of which bank's line: give bank_id";
        return Err(Error::refused("/bank_id", mend));
    }
    if edit.weekdays.is_empty() {
        let mend = "give the weekdays it holds on, from 1 (Monday) to 7 (Sunday)";
        return Err(Error::refused("/weekdays", mend));
    }
    for (nth, day) in edit.weekdays.iter().enumerate() {
        if !(1..=7).contains(day) || edit.weekdays[..nth].contains(day) {
            let mend = "a weekday is 1 (Monday) to 7 (Sunday), each once";
            return Err(Error::refused(format!("/weekdays/{nth}"), mend));
        }
    }
    let hours = edit.kind != RuleKind::Allowance;
    Ok(NewRule {
        bank_id: edit.bank_id,
        name,
        kind: edit.kind,
        weekdays: edit.weekdays.clone(),
        from_time: time("/from_time", edit.from_time.as_deref(), hours)?,
        until_time: time("/until_time", edit.until_time.as_deref(), hours)?,
        ml_a_day: allowance(edit.ml_a_day, !hours)?,
    })
}

fn time(field: &'static str, text: Option<&str>, wanted: bool) -> Result<Option<String>> {
    match (text, wanted) {
        (None, false) => Ok(None),
        (Some(_), false) => Err(Error::refused(
            field,
            "an allowance has no hours: leave it out",
        )),
        (None, true) => Err(Error::refused(field, "give a local time as HH:MM")),
        (Some(text), true) => NaiveTime::parse_from_str(text, "%H:%M")
            .map(|time| Some(time.format("%H:%M").to_string()))
            .map_err(|_| Error::refused(field, "give a local time as HH:MM")),
    }
}

fn allowance(ml: Option<i64>, wanted: bool) -> Result<Option<i64>> {
    let refused = |mend: &str| Err(Error::refused("/ml_a_day", mend));
    match (ml, wanted) {
        (None, false) => Ok(None),
        (Some(_), false) => refused("hours have no allowance: leave it out"),
        (Some(ml), true) if (0..=MOST_A_DAY).contains(&ml) => Ok(Some(ml)),
        _ => refused("give how much may be taken a day, 0 to 10,000,000,000 ml"),
    }
}

/// Adds a rule.
pub fn rule_add(
    office: &Office,
    permit: &Permit<EditWater>,
    edit: &RuleEdit,
    once: &Once,
) -> Result<i64> {
    office.db.write(permit, |tx| {
        once.run(tx, permit, |tx| {
            let new = checked(tx.conn(), permit, edit)?;
            let id = water::rule_add(tx.conn(), permit, &new)?;
            noted(tx, permit, "added", id, Change::default())?;
            Ok(id)
        })
    })
}

/// Changes a rule that still has `version`.
pub fn rule_edit(
    office: &Office,
    permit: &Permit<EditWater>,
    id: i64,
    version: i64,
    edit: &RuleEdit,
) -> Result<RuleRow> {
    office.db.write(permit, |tx| {
        let before = read(tx.conn(), permit, id)?;
        let new = checked(tx.conn(), permit, edit)?;
        water::rule_change(tx, permit, id, version, &new)?;
        let change = Change::between(&before, &read(tx.conn(), permit, id)?)?;
        noted(tx, permit, "edited", id, change)?;
        read(tx.conn(), permit, id)
    })
}

/// Takes a rule that still has `version` away.
pub fn rule_remove(
    office: &Office,
    permit: &Permit<EditWater>,
    id: i64,
    version: i64,
) -> Result<()> {
    office.db.write(permit, |tx| {
        if read(tx.conn(), permit, id)?.version != version {
            return Err(Error::Stale);
        }
        water::rule_remove(tx, permit, id)?;
        noted(tx, permit, "removed", id, Change::default())
    })
}

fn noted(tx: &mut Tx<'_>, scope: &Scope, verb: &str, id: i64, change: Change) -> Result<()> {
    super::noted(tx, scope, verb, ("water_rule", id), change)
}
