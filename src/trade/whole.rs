//! Whole numbers of one kind each, and the one rounding they all use.

use thiserror::Error;

/// A result too large for 64 bits. Nothing was changed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Error)]
#[error("the number does not fit 64 bits")]
pub struct Overflow;

/// `n / d`, rounded to the nearest whole number, a half to the even one. `d` must be positive and below 2^126.
pub(crate) fn half_even(n: i128, d: i128) -> i128 {
    let (floor, rest) = (n.div_euclid(d), n.rem_euclid(d));
    match (2 * rest).cmp(&d) {
        std::cmp::Ordering::Less => floor,
        std::cmp::Ordering::Greater => floor + 1,
        std::cmp::Ordering::Equal => floor + floor.rem_euclid(2),
    }
}

/// A wide result brought back to 64 bits.
pub(crate) fn narrow(n: i128) -> Result<i64, Overflow> {
    i64::try_from(n).map_err(|_| Overflow)
}

/// `n × times / per` as the nearest whole number, a half to the even one. `per` must be positive.
pub(crate) fn scaled(n: i64, times: i64, per: i64) -> Result<i64, Overflow> {
    narrow(half_even(
        i128::from(n) * i128::from(times),
        i128::from(per),
    ))
}

/// Declares a newtype over `i64` that adds up only with its own kind.
macro_rules! whole_number {
    ($(#[$meta:meta])* $name:ident) => {
        $(#[$meta])*
        #[derive(
            Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Serialize, serde::Deserialize,
        )]
        #[serde(transparent)]
        pub struct $name(pub i64);

        impl $name {
            /// Nothing of it.
            pub const ZERO: Self = Self(0);

            /// `self + other`.
            pub fn checked_add(self, other: Self) -> Result<Self, $crate::Overflow> {
                self.0.checked_add(other.0).map(Self).ok_or($crate::Overflow)
            }

            /// `self - other`.
            pub fn checked_sub(self, other: Self) -> Result<Self, $crate::Overflow> {
                self.0.checked_sub(other.0).map(Self).ok_or($crate::Overflow)
            }

            /// `self` taken `times` times.
            pub fn checked_mul(self, times: i64) -> Result<Self, $crate::Overflow> {
                self.0.checked_mul(times).map(Self).ok_or($crate::Overflow)
            }

            /// The sum of all; only the end result has to fit.
            pub fn sum(all: impl IntoIterator<Item = Self>) -> Result<Self, $crate::Overflow> {
                $crate::whole::narrow(all.into_iter().map(|one| i128::from(one.0)).sum()).map(Self)
            }
        }

        impl From<i64> for $name {
            fn from(number: i64) -> Self {
                Self(number)
            }
        }

        impl From<$name> for i64 {
            fn from(number: $name) -> Self {
                number.0
            }
        }
    };
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_half_goes_to_the_even_neighbour_on_both_sides_of_zero() {
        let halves: Vec<i128> = [-5, -3, -1, 1, 3, 5].map(|n| half_even(n, 2)).to_vec();
        assert_eq!(halves, [-2, -2, 0, 0, 2, 2]);
        assert_eq!(
            [half_even(-7, 3), half_even(7, 3), half_even(8, 3)],
            [-2, 2, 3]
        );
    }

    #[test]
    fn what_does_not_fit_is_an_error() {
        assert_eq!(scaled(i64::MAX, 2, 1), Err(Overflow));
        assert_eq!(scaled(i64::MAX, 2, 2), Ok(i64::MAX));
    }
}
