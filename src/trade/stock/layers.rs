//! One material in store by what came in first: each delivery keeps its own price until it is used up.

use std::collections::VecDeque;

use serde::{Deserialize, Serialize};

use super::{Position, Quantity, StockError};
use crate::money::Cents;

/// The deliveries that are not used up, the oldest first; each takes its share of its own value as a
/// [`Position`] does. An issue beyond them costs nothing until the next delivery, which it is taken from first.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Layers {
    layers: VecDeque<Position>,
    /// What was issued beyond stock and waits for a delivery.
    owed: Quantity,
}

impl Layers {
    /// Takes in `quantity` that cost `value`; gives the part of its value that pays for what was issued beyond stock.
    pub fn receive(&mut self, quantity: Quantity, value: Cents) -> Result<Cents, StockError> {
        let receipt = Position::default().receive(quantity, value)?.after;
        let caught_up = self.owed.0.min(quantity.0);
        let mut layer = receipt;
        let mut cost = Cents::ZERO;
        if caught_up > 0 {
            let issue = layer.issue(Quantity(caught_up))?;
            (layer, cost) = (issue.after, issue.value);
        }
        self.owed = Quantity(self.owed.0 - caught_up);
        if layer.quantity.0 > 0 {
            self.layers.push_back(layer);
        }
        Ok(cost)
    }

    /// Gives out `quantity`, the oldest first; gives what it cost and how much of it was not in store.
    pub fn issue(&mut self, quantity: Quantity) -> Result<(Cents, Quantity), StockError> {
        if quantity.0 <= 0 {
            return Err(StockError::NoQuantity);
        }
        let mut after = self.clone();
        let (mut wanted, mut cost) = (quantity.0, Cents::ZERO);
        while wanted > 0 {
            let Some(first) = after.layers.front_mut() else {
                break;
            };
            let taken = wanted.min(first.quantity.0);
            let issue = first.issue(Quantity(taken))?;
            *first = issue.after;
            cost = cost.checked_add(issue.value)?;
            wanted -= taken;
            if first.quantity.0 == 0 {
                after.layers.pop_front();
            }
        }
        after.owed = after.owed.checked_add(Quantity(wanted))?;
        *self = after;
        Ok((cost, Quantity(wanted)))
    }

    /// What is in store and what it cost; below nothing where more was issued than there was.
    pub fn position(&self) -> Result<Position, StockError> {
        let mut all = Position {
            quantity: Quantity(-self.owed.0),
            value: Cents::ZERO,
        };
        for layer in &self.layers {
            all.quantity = all.quantity.checked_add(layer.quantity)?;
            all.value = all.value.checked_add(layer.value)?;
        }
        Ok(all)
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    /// OpenStax, Principles of Accounting, volume 1, chapter 10, first in first out, perpetual: 150 at $21; 120 sold; 225 bought
    /// at $27; 180 sold; 210 bought at $33. Sold for $2,520 and $4,680 of cost; 285 are left at $8,955.
    #[test]
    fn the_textbook_first_in_first_out_closes_at_16_155_dollars() {
        let mut stock = Layers::default();
        stock.receive(Quantity(150), Cents(315_000)).unwrap();
        assert_eq!(
            stock.issue(Quantity(120)),
            Ok((Cents(252_000), Quantity(0)))
        );
        stock.receive(Quantity(225), Cents(607_500)).unwrap();
        assert_eq!(
            stock.issue(Quantity(180)),
            Ok((Cents(468_000), Quantity(0)))
        );
        stock.receive(Quantity(210), Cents(693_000)).unwrap();
        let left = stock.position().unwrap();
        assert_eq!((left.quantity, left.value), (Quantity(285), Cents(895_500)));
        assert_eq!(252_000 + 468_000 + left.value.0, 1_615_500);
    }

    #[test]
    fn an_issue_beyond_stock_is_paid_by_the_next_delivery() {
        let mut stock = Layers::default();
        stock.receive(Quantity(4), Cents(1_000)).unwrap();
        assert_eq!(stock.issue(Quantity(10)), Ok((Cents(1_000), Quantity(6))));
        assert_eq!(stock.position().unwrap().quantity, Quantity(-6));
        assert_eq!(stock.receive(Quantity(8), Cents(1_600)), Ok(Cents(1_200)));
        let left = stock.position().unwrap();
        assert_eq!((left.quantity, left.value), (Quantity(2), Cents(400)));
        assert_eq!(stock.issue(Quantity(0)), Err(StockError::NoQuantity));
    }

    proptest! {
        #[test]
        fn what_is_left_and_what_went_out_is_what_came_in(
            moves in prop::collection::vec((any::<bool>(), 1_i64..500, 0_i64..1_000_000), 1..60)
        ) {
            let (mut stock, mut came, mut went) = (Layers::default(), 0, 0);
            for (comes, quantity, value) in moves {
                if comes {
                    came += value;
                    went += stock.receive(Quantity(quantity), Cents(value)).unwrap().0;
                } else {
                    went += stock.issue(Quantity(quantity)).unwrap().0.0;
                }
                let now = stock.position().unwrap();
                prop_assert_eq!(now.value.0 + went, came);
                prop_assert!(now.quantity.0 > 0 || now.value.0 == 0);
            }
        }
    }
}
