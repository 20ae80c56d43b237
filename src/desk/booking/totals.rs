//! The running totals an order is booked against, as the site keeps them.

use std::collections::BTreeMap;

use chrono::NaiveDate;
use trade::costing::{OrderUse, Totals};
use trade::money::{Cents, RunningTotal};

use super::Rates;
use crate::store::cost::{TotalKind, TotalRow};

/// The totals that `used` touches. Labour runs by person and pay week, water by bank for ever, wear
/// by tool for as long as its class spreads its cost over the same number of uses.
pub struct Kept(Vec<TotalRow>);

impl Kept {
    /// Which totals `used` touches on a date of the site: kind, subject and period.
    pub fn keys(rates: &Rates, on: NaiveDate, used: &OrderUse) -> Vec<(TotalKind, i64, String)> {
        let pay_week = rates.pay_week(on).to_string();
        let mut keys: Vec<(TotalKind, i64, String)> = Vec::new();
        let labour = used.labour.iter();
        keys.extend(labour.map(|l| (TotalKind::Labour, l.person, pay_week.clone())));
        let water = used.water.iter();
        keys.extend(water.map(|w| (TotalKind::Water, w.bank, String::new())));
        let wear = used.wear.iter();
        keys.extend(wear.map(|w| (TotalKind::ToolWear, w.tool, w.life.to_string())));
        keys.sort_unstable();
        keys.dedup();
        keys
    }

    /// The totals as they are kept.
    pub const fn of(rows: Vec<TotalRow>) -> Self {
        Self(rows)
    }

    /// The same for the trade's reckoning.
    pub fn totals(&self) -> Totals {
        let mut totals = Totals::default();
        for row in &self.0 {
            let total = RunningTotal {
                used: row.used,
                booked: Cents(row.booked_cents),
            };
            Self::of_kind(&mut totals, row.kind).insert(row.subject_id, total);
        }
        totals
    }

    /// The totals as they are to be kept after the booking, and by how much it moves each.
    pub fn after(self, mut after: Totals) -> (Vec<TotalRow>, Vec<TotalRow>) {
        let both = self.0.into_iter().map(move |row| {
            let of_kind = Self::of_kind(&mut after, row.kind);
            let total = of_kind.get(&row.subject_id).copied().unwrap_or_default();
            let moved = TotalRow {
                used: total.used - row.used,
                booked_cents: total.booked.0 - row.booked_cents,
                period: row.period.clone(),
                ..row
            };
            let kept = TotalRow {
                used: total.used,
                booked_cents: total.booked.0,
                ..row
            };
            (kept, moved)
        });
        both.unzip()
    }

    const fn of_kind(totals: &mut Totals, kind: TotalKind) -> &mut BTreeMap<i64, RunningTotal> {
        match kind {
            TotalKind::Labour => &mut totals.labour,
            TotalKind::Water => &mut totals.water,
            TotalKind::ToolWear => &mut totals.wear,
        }
    }
}
