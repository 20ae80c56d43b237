//! What went into the stores in the past and out of them.

use trade::costing::MaterialUse;
use trade::money::Cents;
use trade::stock::{Position, Quantity};

use super::books::Books;
use super::day::PastDay;
use super::plans::morning;
use super::season::impossible;
use crate::desk::Result;
use crate::desk::booking::{Closing, SOURCE, unbookable};
use crate::store::history::PastMove;
use crate::store::stores::StockMoveKind;

impl Books<'_, '_> {
    /// Issues what an order took at the moving average.
    pub(super) fn issue(&mut self, closing: &Closing<'_>) -> Result<Vec<MaterialUse>> {
        let mut found = Vec::new();
        for taken in &closing.materials {
            let before = self
                .stock
                .get(&taken.material_id)
                .copied()
                .unwrap_or_default();
            let issue = before.issue(Quantity(taken.quantity)).map_err(unbookable)?;
            self.stock.insert(taken.material_id, issue.after);
            self.rows.moves.push(PastMove {
                seq: self.tx.next_seq(),
                material_id: taken.material_id,
                order_id: Some(closing.order.id),
                kind: StockMoveKind::Issue,
                quantity: -taken.quantity,
                value_cents: -issue.value.0,
                beyond_stock: issue.beyond.0 > 0,
                work_date: closing.order.work_date,
                booked_at: closing.learned_at,
                source_kind: SOURCE,
                source_id: closing.order.id,
            });
            found.push(MaterialUse {
                material: taken.material_id,
                value: issue.value,
            });
        }
        Ok(found)
    }

    /// A month ago each material of which there are more than four packs was delivered once, a day after the other, at a little
    /// more than before; three weeks ago the store was counted.
    pub(super) fn delivered(&mut self, day: &PastDay<'_>) -> Result<()> {
        let ago = (self.season.today - day.date).num_days();
        for (nth, material) in (0..).zip(&self.season.materials) {
            let before = self.stock.get(&material.id).copied().unwrap_or_default();
            let (kind, quantity, value, after) =
                if ago == 30 - nth && before.quantity.0 / material.pack_quantity.max(1) > 4 {
                    let packs = (before.quantity.0 / material.pack_quantity.max(1) / 8).max(1);
                    let quantity = packs * material.pack_quantity;
                    let worth = i128::from(before.value.0) * i128::from(quantity) * 103
                        / (i128::from(before.quantity.0.max(1)) * 100);
                    let value = i64::try_from(worth).map_err(|_| impossible("a price"))?;
                    let receipt = before
                        .receive(Quantity(quantity), Cents(value))
                        .map_err(unbookable)?;
                    (StockMoveKind::Receipt, quantity, value, receipt.after)
                } else if ago == 21 && material.code == "line_nails" {
                    let counted = Quantity((before.quantity.0 - 7).max(0));
                    let count = before.count(counted).map_err(unbookable)?;
                    (
                        StockMoveKind::Count,
                        count.quantity.0,
                        count.value.0,
                        count.after,
                    )
                } else {
                    continue;
                };
            self.stock.insert(material.id, after);
            self.rows.moves.push(PastMove {
                seq: self.tx.next_seq(),
                material_id: material.id,
                order_id: None,
                kind,
                quantity,
                value_cents: value,
                beyond_stock: false,
                work_date: day.date,
                booked_at: morning(self.season, day.date),
                source_kind: if kind == StockMoveKind::Count {
                    "count"
                } else {
                    "delivery"
                },
                source_id: material.id,
            });
        }
        Ok(())
    }
}

/// A stock and its value.
pub const fn position(on_hand: i64, value_cents: i64) -> Position {
    Position {
        quantity: Quantity(on_hand),
        value: Cents(value_cents),
    }
}
