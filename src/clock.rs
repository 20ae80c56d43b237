//! The clock as part of the service's state: the one place that reads the machine's time.

use chrono::{DateTime, TimeDelta, Utc};

/// Tells the time. A demo or a test sets it to an instant of its own, from which it runs on.
#[derive(Clone, Copy, Debug)]
pub struct Clock {
    ahead: TimeDelta,
    stands_at: Option<DateTime<Utc>>,
}

impl Clock {
    /// The machine's own time.
    pub const fn system() -> Self {
        Self {
            ahead: TimeDelta::zero(),
            stands_at: None,
        }
    }

    /// A clock that shows `now` at this moment and runs on from there.
    pub fn set_to(now: DateTime<Utc>) -> Self {
        Self {
            ahead: now - machine_now(),
            stands_at: None,
        }
    }

    /// A clock that stands still, for what must come out the same twice.
    pub const fn standing_at(now: DateTime<Utc>) -> Self {
        Self {
            ahead: TimeDelta::zero(),
            stands_at: Some(now),
        }
    }

    /// The time now, in UTC.
    pub fn now(&self) -> DateTime<Utc> {
        self.stands_at.unwrap_or_else(|| machine_now() + self.ahead)
    }
}

#[expect(
    clippy::disallowed_methods,
    reason = "the one place where the machine's time is read"
)]
fn machine_now() -> DateTime<Utc> {
    Utc::now()
}
