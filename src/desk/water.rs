//! Water: valves, rules, what is a court's own, the runs of a day, and what is said of them.

mod book;
mod court_waters;
mod day;
mod rules;
mod sheet;
mod told;
mod used;
mod valves;

pub use book::{book_anew, book_due, book_past};
pub use court_waters::{
    CourtWaterEdit, CourtWaterView, LevelAsk, LevelToday, LevelView, StepView, court_water_edit,
    court_water_read, level_add, level_list, levels_today,
};
pub use day::{CourtNightView, DayWaterView, ValveVisitView, WaterRunView, WhyView, day_water};
pub use rules::{RuleEdit, rule_add, rule_edit, rule_list, rule_read, rule_remove};
pub use sheet::sheet_csv;
pub use told::{RunTold, ToldView, run_told};
pub use used::{CourtUse, WaterUseView, water_used};
pub use valves::{
    ValveEdit, ValveView, valve_add, valve_edit, valve_list, valve_read, valve_remove,
};

use super::line::is_line;
use super::{Error, Result};
use crate::store::audit::{Change, Deed, audit_edit};
use crate::store::{Scope, Tx};

/// Longest name of a valve or rule, characters.
const NAME_CHARS: usize = 60;

/// A name in one line, without blanks around it.
fn one_line(field: &'static str, text: &str) -> Result<String> {
    let name = text.trim();
    if !is_line(name, NAME_CHARS) {
        let mend = format!("give a name in one line of 1 to {NAME_CHARS} characters");
        return Err(Error::refused(field, mend));
    }
    Ok(name.to_owned())
}

/// Notes in the audit chain that a thing was set up or changed.
fn noted(
    tx: &mut Tx<'_>,
    scope: &Scope,
    verb: &str,
    (subject, id): (&str, i64),
    change: Change,
) -> Result<()> {
    let deed = Deed {
        verb,
        subject,
        id,
        data: serde_json::json!({}),
    };
    Ok(audit_edit(tx, scope, deed, change, &[])?)
}
