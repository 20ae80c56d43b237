//! Where work is done: on one court, or on a whole bank.

use serde::Serialize;

/// Where work is done, by id.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize)]
pub enum Place {
    /// On one court.
    Court(i64),
    /// On a whole bank.
    Bank(i64),
}

impl Place {
    /// The court, where it is one.
    pub const fn court(self) -> Option<i64> {
        match self {
            Self::Court(id) => Some(id),
            Self::Bank(_) => None,
        }
    }

    /// The bank, where it is one.
    pub const fn bank(self) -> Option<i64> {
        match self {
            Self::Bank(id) => Some(id),
            Self::Court(_) => None,
        }
    }
}
