//! How much water each court took over some dates, and what it cost.

use std::collections::HashMap;

use chrono::NaiveDate;
use serde::Serialize;
use utoipa::ToSchema;

use crate::desk::access::{Permit, SeeCost};
use crate::desk::cost::Dates;
use crate::desk::{Office, Result};
use crate::store::Page;
use crate::store::cost::{CostKind, cost_sums};
use crate::store::courts::court_list;
use crate::store::day_plans::WateringKind;
use crate::store::water::water_sums;

/// Water over some dates.
#[derive(Clone, Debug, Serialize, ToSchema)]
#[schema(as = WaterUsed)]
pub struct WaterUseView {
    /// The first date.
    pub from: NaiveDate,
    /// The last date, included.
    pub to: NaiveDate,
    /// Every court of the site, in order.
    pub courts: Vec<CourtUse>,
    /// All courts together, ml.
    pub used_ml: i64,
    /// All courts together, cents.
    pub cents: i64,
}

/// One court's water. A night counts to the date it begins on.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, ToSchema)]
#[schema(as = CourtWaterUsed)]
pub struct CourtUse {
    /// The court.
    pub court_id: i64,
    /// Its name.
    pub court: String,
    /// Midday soaks, ml as booked: what the meter said, else as planned.
    pub soak_ml: i64,
    /// Night cycles, ml as booked.
    pub night_ml: i64,
    /// Both as they were planned, ml.
    pub planned_ml: i64,
    /// What is booked of it, cents.
    pub cents: i64,
}

/// Litres and cost a court.
pub fn water_used(office: &Office, permit: &Permit<SeeCost>, dates: Dates) -> Result<WaterUseView> {
    let (from, to) = dates.ends();
    office.db.read(|conn| {
        let sums = water_sums(conn, permit, from, to)?;
        let cents: HashMap<i64, i64> = cost_sums(conn, permit, from, to)?
            .into_iter()
            .filter(|sum| sum.kind == CostKind::Water)
            .map(|sum| (sum.court_id, sum.cents))
            .collect();
        let mut courts = court_list(conn, permit, Page::ALL)?.items;
        courts.sort_by_key(|court| (court.position, court.id));
        let courts: Vec<CourtUse> = courts
            .into_iter()
            .map(|court| {
                let of_court = || sums.iter().filter(|sum| sum.court_id == court.id);
                let used = |kind: WateringKind| {
                    let of_kind = of_court().filter(|sum| sum.kind == kind);
                    of_kind.map(|sum| sum.used_ml).sum()
                };
                CourtUse {
                    court_id: court.id,
                    soak_ml: used(WateringKind::Soak),
                    night_ml: used(WateringKind::NightCycle),
                    planned_ml: of_court().map(|sum| sum.planned_ml).sum(),
                    cents: cents.get(&court.id).copied().unwrap_or(0),
                    court: court.name,
                }
            })
            .collect();
        Ok(WaterUseView {
            from,
            to,
            used_ml: courts
                .iter()
                .map(|court| court.soak_ml + court.night_ml)
                .sum(),
            cents: courts.iter().map(|court| court.cents).sum(),
            courts,
        })
    })
}
