//! Money in whole cents: exact sums, exact splits, and running totals for what is spread over use or time.

mod running;
mod split;

use std::fmt;

pub use running::{RunningError, RunningTotal, Spread, due};
pub use split::{SplitError, split};

pub use crate::whole::Overflow;

whole_number! {
    /// Cents of the site's currency; also a price in cents for one of something.
    Cents
}

impl fmt::Display for Cents {
    /// Units and hundredths without a currency: `12.34`, `-0.05`.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let cents = self.0.unsigned_abs();
        let sign = if self.0 < 0 { "-" } else { "" };
        f.pad(&format!("{sign}{}.{:02}", cents / 100, cents % 100))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn cents_are_shown_as_units_and_hundredths() {
        let shown = [1234, 5, -5, -1234, 0, i64::MIN].map(|c| Cents(c).to_string());
        assert_eq!(
            shown,
            [
                "12.34",
                "0.05",
                "-0.05",
                "-12.34",
                "0.00",
                "-92233720368547758.08"
            ]
        );
    }

    #[test]
    fn a_sum_too_large_is_an_error_and_an_order_of_adding_is_not() {
        assert_eq!(Cents(i64::MAX).checked_add(Cents(1)), Err(Overflow));
        assert_eq!(Cents(i64::MIN).checked_sub(Cents(1)), Err(Overflow));
        assert_eq!(
            Cents::sum([Cents(i64::MAX), Cents(1), Cents(-2)]),
            Ok(Cents(i64::MAX - 1))
        );
    }
}
