//! The day's water: the valves and what they wet, the rules, how much each court wants and why.

mod by_hand;
mod needs;
mod rules;
mod soaks;
mod valve_visits;
mod valve_work;
mod valves;

use std::collections::HashMap;

use chrono::TimeDelta;

use crate::store::water::{
    CourtWaterRow, Finding, Opened, RuleRow, ValveRow, court_water_list, findings_since,
    rule_list_all, valve_court_list, valve_list,
};
use crate::store::{Conn, Instant, Page, Result, Scope};

pub use by_hand::{Choosing, HandRun, HandRuns, Stage, by_hand_alone};
pub use needs::{Need, night_need, soak_run_s};
pub use rules::{Allowances, closed, taken_of_others};
pub use soaks::{CourtSoak, Soaks, drain_after_night_s, drain_after_soak_s};
pub use valve_visits::{
    NOBODY_THERE, VALVE_WORK, of_bank as valve_visits, short_reason, valve_title,
};
pub use valve_work::{VALVE, ValveWork, valve_of_key};
pub use valves::{DayValve, valves};

/// How far back findings of the mornings are looked at.
const FINDINGS: TimeDelta = TimeDelta::days(14);

/// What a site's water rests on.
#[derive(Clone, Default)]
pub struct Water {
    /// The valves in use.
    valves: Vec<ValveRow>,
    /// Pairs of valve and court.
    wets: Vec<(i64, i64)>,
    /// The rules.
    rules: Vec<RuleRow>,
    /// What is a court's own, by court.
    courts: HashMap<i64, CourtWaterRow>,
    /// How the courts were found lately.
    findings: Vec<Finding>,
}

impl Water {
    /// What a valve is called.
    pub fn name_of(&self, valve: i64) -> Option<&str> {
        let valve = self.valves.iter().find(|known| known.id == valve)?;
        Some(&valve.name)
    }

    /// Whether somebody opens one of the valves by hand.
    pub fn has_by_hand(&self) -> bool {
        let mut valves = self.valves.iter();
        valves.any(|valve| valve.opened == Opened::ByHand)
    }

    /// Reads it for dates whose play lies between the two instants. Five queries.
    pub fn read(conn: &mut Conn, scope: &Scope, from: Instant, to: Instant) -> Result<Self> {
        let since = (from.utc() - FINDINGS).into();
        let courts = court_water_list(conn, scope)?;
        Ok(Self {
            valves: valve_list(conn, scope, Page::ALL)?.items,
            wets: valve_court_list(conn, scope)?,
            rules: rule_list_all(conn, scope)?,
            courts: courts.into_iter().map(|row| (row.court_id, row)).collect(),
            findings: findings_since(conn, scope, since, to)?,
        })
    }
}
