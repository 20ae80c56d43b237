//! The running totals an order is booked against, as the site keeps them.

use std::collections::BTreeMap;

use trade::costing::{OrderUse, Totals};
use trade::money::{Cents, RunningTotal};

use crate::store::cost::{TotalKind, TotalRow, running_total, running_total_keep};
use crate::store::{self, Scope, Tx};

/// The totals that `used` touches. Labour runs by person and pay week, water by bank for ever, wear
/// by tool for as long as its class spreads its cost over the same number of uses.
pub(super) struct Kept(Vec<TotalRow>);

impl Kept {
    pub(super) fn read(
        tx: &mut Tx<'_>,
        scope: &Scope,
        pay_week: &str,
        used: &OrderUse,
    ) -> store::Result<Self> {
        let mut keys: Vec<(TotalKind, i64, String)> = Vec::new();
        let labour = used.labour.iter();
        keys.extend(labour.map(|l| (TotalKind::Labour, l.person, pay_week.to_owned())));
        let water = used.water.iter();
        keys.extend(water.map(|w| (TotalKind::Water, w.bank, String::new())));
        let wear = used.wear.iter();
        keys.extend(wear.map(|w| (TotalKind::ToolWear, w.tool, w.life.to_string())));
        keys.sort_unstable();
        keys.dedup();
        keys.into_iter()
            .map(|(kind, subject, period)| running_total(tx.conn(), scope, kind, subject, &period))
            .collect::<store::Result<_>>()
            .map(Self)
    }

    pub(super) fn totals(&self) -> Totals {
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

    /// Keeps the totals as they are after the booking.
    pub(super) fn keep(
        self,
        tx: &mut Tx<'_>,
        scope: &Scope,
        mut after: Totals,
    ) -> store::Result<()> {
        for row in self.0 {
            let of_kind = Self::of_kind(&mut after, row.kind);
            let total = of_kind.get(&row.subject_id).copied().unwrap_or_default();
            let row = TotalRow {
                used: total.used,
                booked_cents: total.booked.0,
                ..row
            };
            running_total_keep(tx, scope, &row)?;
        }
        Ok(())
    }

    const fn of_kind(totals: &mut Totals, kind: TotalKind) -> &mut BTreeMap<i64, RunningTotal> {
        match kind {
            TotalKind::Labour => &mut totals.labour,
            TotalKind::Water => &mut totals.water,
            TotalKind::ToolWear => &mut totals.wear,
        }
    }
}
