//! One material in store at its moving average, kept as quantity and value so that no cent is lost; by what came in first
//! ([`Layers`]); and when it is ordered again ([`reorder`]).
//!
//! An issue takes its share of the value, `value × issued / quantity`, a half cent to the even cent; the last of it
//! takes the rest. Stock below nothing has no value: what was issued beyond stock is paid for by the next receipt.

mod layers;
mod reorder;

use serde::{Deserialize, Serialize};
use thiserror::Error;

pub use layers::Layers;
pub use reorder::{Demand, Reorder, reorder};

use crate::money::Cents;
use crate::whole::{Overflow, scaled};

whole_number! {
    /// How much of a material, in the unit in which the site keeps it.
    Quantity
}

/// Why a stock move makes no sense.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Error)]
pub enum StockError {
    /// A move of nothing or less.
    #[error("a stock move is of more than nothing")]
    NoQuantity,
    /// A receipt worth less than nothing.
    #[error("a receipt is not worth less than nothing")]
    NegativeValue,
    /// A count of less than nothing.
    #[error("nobody counts less than nothing")]
    NegativeCount,
    /// A use or lead time that is no number, or less than nothing.
    #[error("use, lead time and their deviations are numbers of nothing or more")]
    NoDemand,
    /// A service level that no stock gives, or any.
    #[error("give a service level from 1 to 999 of 1,000")]
    NoService,
    /// A number does not fit 64 bits.
    #[error(transparent)]
    Overflow(#[from] Overflow),
}

/// What is in store and what it cost. Where `quantity` is zero or below, `value` is zero.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub struct Position {
    /// How much; below zero where more was issued than there was.
    pub quantity: Quantity,
    /// What it cost.
    pub value: Cents,
}

/// The outcome of a receipt.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub struct Receipt {
    /// The stock after it.
    pub after: Position,
    /// The part of its value that pays for what was issued beyond stock before; zero where nothing was.
    pub caught_up: Cents,
}

/// The outcome of an issue.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub struct Issue {
    /// The stock after it.
    pub after: Position,
    /// What the issue cost.
    pub value: Cents,
    /// How much of it was not in store: a flag for whoever keeps the store. It costs nothing until a receipt catches it up.
    pub beyond: Quantity,
}

/// The outcome of a count.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub struct Count {
    /// The stock after it.
    pub after: Position,
    /// Counted less booked: below zero where some is missing.
    pub quantity: Quantity,
    /// What the difference is worth, with the same sign. More found than there was is valued at the average; with no
    /// stock to take an average from, at nothing.
    pub value: Cents,
}

impl Position {
    /// Takes in `quantity` that cost `value`; also a return, at the value at which it was issued.
    pub fn receive(self, quantity: Quantity, value: Cents) -> Result<Receipt, StockError> {
        if quantity.0 <= 0 {
            return Err(StockError::NoQuantity);
        }
        if value.0 < 0 {
            return Err(StockError::NegativeValue);
        }
        let owed = self.quantity.0.min(0).saturating_neg().min(quantity.0);
        let caught_up = Cents(scaled(value.0, owed, quantity.0)?);
        let after = Self {
            quantity: self.quantity.checked_add(quantity)?,
            value: self.value.checked_add(value)?.checked_sub(caught_up)?,
        };
        Ok(Receipt { after, caught_up })
    }

    /// Gives out `quantity`, also where there is not so much.
    pub fn issue(self, quantity: Quantity) -> Result<Issue, StockError> {
        if quantity.0 <= 0 {
            return Err(StockError::NoQuantity);
        }
        let there = self.quantity.0.max(0);
        let value = self.share(quantity.0.min(there))?;
        let after = Self {
            quantity: self.quantity.checked_sub(quantity)?,
            value: self.value.checked_sub(value)?,
        };
        Ok(Issue {
            after,
            value,
            beyond: Quantity((quantity.0 - there).max(0)),
        })
    }

    /// Sets the stock to what was counted.
    pub fn count(self, counted: Quantity) -> Result<Count, StockError> {
        if counted.0 < 0 {
            return Err(StockError::NegativeCount);
        }
        let quantity = counted.checked_sub(self.quantity)?;
        let value = if quantity.0 < 0 {
            Cents(-self.share(-quantity.0)?.0)
        } else if self.quantity.0 > 0 {
            Cents(scaled(self.value.0, quantity.0, self.quantity.0)?)
        } else {
            Cents::ZERO
        };
        Ok(Count {
            after: Self {
                quantity: counted,
                value: self.value.checked_add(value)?,
            },
            quantity,
            value,
        })
    }

    /// The value of `part` of what is there; of all of it, all that is left.
    fn share(self, part: i64) -> Result<Cents, Overflow> {
        if part == 0 {
            return Ok(Cents::ZERO);
        }
        scaled(self.value.0, part, self.quantity.0).map(Cents)
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn stock(quantity: i64, cents: i64) -> Position {
        Position {
            quantity: Quantity(quantity),
            value: Cents(cents),
        }
    }

    // OpenStax, Principles of Accounting, volume 1, chapter 10, the perpetual moving average, to the exact cent:
    // 150 at $21; 120 sold; 225 bought at $27; 180 sold; 210 bought at $33.
    #[test]
    fn the_textbook_moving_average_closes_at_16_155_dollars() {
        let mut issued = Cents::ZERO;
        let mut now = Position::default()
            .receive(Quantity(150), Cents(150 * 2_100))
            .unwrap()
            .after;
        for (sold, bought, price, cost) in [(120, 225, 2_700, 252_000), (180, 210, 3_300, 473_294)]
        {
            let sale = now.issue(Quantity(sold)).unwrap();
            assert_eq!((sale.value, sale.beyond), (Cents(cost), Quantity(0)));
            issued = issued.checked_add(sale.value).unwrap();
            now = sale
                .after
                .receive(Quantity(bought), Cents(bought * price))
                .unwrap()
                .after;
        }
        assert_eq!(now, stock(285, 890_206));
        assert_eq!(issued.checked_add(now.value), Ok(Cents(1_615_500)));
    }

    #[test]
    fn the_last_bag_takes_the_rest() {
        let mut now = stock(3, 1_000);
        let lines: Vec<i64> = (0..3)
            .map(|_| {
                let issue = now.issue(Quantity(1)).unwrap();
                now = issue.after;
                issue.value.0
            })
            .collect();
        assert_eq!((lines, now), (vec![333, 334, 333], Position::default()));
    }

    #[test]
    fn an_issue_beyond_stock_is_taken_flagged_and_paid_by_the_next_receipt() {
        let issue = stock(4, 1_000).issue(Quantity(10)).unwrap();
        assert_eq!(
            issue,
            Issue {
                after: stock(-6, 0),
                value: Cents(1_000),
                beyond: Quantity(6)
            }
        );
        let more = issue.after.issue(Quantity(2)).unwrap();
        assert_eq!(
            more,
            Issue {
                after: stock(-8, 0),
                value: Cents(0),
                beyond: Quantity(2)
            }
        );
        let some = more.after.receive(Quantity(5), Cents(1_500)).unwrap();
        assert_eq!(
            some,
            Receipt {
                after: stock(-3, 0),
                caught_up: Cents(1_500)
            }
        );
        let rest = some.after.receive(Quantity(10), Cents(3_000)).unwrap();
        assert_eq!(
            rest,
            Receipt {
                after: stock(7, 2_100),
                caught_up: Cents(900)
            }
        );
    }

    #[test]
    fn a_count_books_the_difference_at_the_average() {
        let missing = stock(10, 1_000).count(Quantity(7)).unwrap();
        assert_eq!(
            missing,
            Count {
                after: stock(7, 700),
                quantity: Quantity(-3),
                value: Cents(-300)
            }
        );
        let found = stock(10, 1_000).count(Quantity(12)).unwrap();
        assert_eq!(
            found,
            Count {
                after: stock(12, 1_200),
                quantity: Quantity(2),
                value: Cents(200)
            }
        );
        let nothing = stock(10, 1_001).count(Quantity(0)).unwrap();
        assert_eq!(nothing.after, Position::default());
        let below = stock(-4, 0).count(Quantity(2)).unwrap();
        assert_eq!(
            below,
            Count {
                after: stock(2, 0),
                quantity: Quantity(6),
                value: Cents(0)
            }
        );
    }

    #[test]
    fn senseless_moves_are_refused() {
        assert_eq!(stock(1, 1).issue(Quantity(0)), Err(StockError::NoQuantity));
        assert_eq!(
            stock(1, 1).receive(Quantity(-1), Cents(1)),
            Err(StockError::NoQuantity)
        );
        assert_eq!(
            stock(1, 1).receive(Quantity(1), Cents(-1)),
            Err(StockError::NegativeValue)
        );
        assert_eq!(
            stock(1, 1).count(Quantity(-1)),
            Err(StockError::NegativeCount)
        );
        let full = stock(i64::MAX, 1).receive(Quantity(1), Cents(1));
        assert_eq!(full, Err(StockError::Overflow(Overflow)));
        assert_eq!(
            stock(i64::MIN, 0).issue(Quantity(1)),
            Err(StockError::Overflow(Overflow))
        );
        assert!(
            stock(i64::MIN, 0)
                .receive(Quantity(i64::MAX), Cents(1))
                .is_ok()
        );
        assert!(stock(i64::MIN, 0).count(Quantity(0)).is_err());
    }

    proptest! {
        #[test]
        fn stock_and_issued_are_what_was_received(
            moves in prop::collection::vec((0_u8..3, 1_i64..500, 0_i64..1_000_000), 1..60)
        ) {
            let (mut now, mut received, mut gone, mut found) = (Position::default(), 0, 0, 0);
            for (kind, quantity, value) in moves {
                match kind {
                    0 => {
                        let receipt = now.receive(Quantity(quantity), Cents(value)).unwrap();
                        received += value;
                        gone += receipt.caught_up.0;
                        now = receipt.after;
                    }
                    1 => {
                        let issue = now.issue(Quantity(quantity)).unwrap();
                        gone += issue.value.0;
                        now = issue.after;
                    }
                    _ => {
                        let count = now.count(Quantity(quantity)).unwrap();
                        found += count.value.0;
                        now = count.after;
                    }
                }
                prop_assert_eq!(now.value.0 + gone, received + found);
                prop_assert!(now.value.0 >= 0 && (now.quantity.0 > 0 || now.value.0 == 0));
            }
        }
    }
}
