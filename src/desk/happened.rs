//! When something happened that a tablet without signal tells late.

use chrono::TimeDelta;

use super::{Error, Result};
use crate::store::Instant;

/// How far a tablet's clock may be ahead of the office's.
const CLOCKS_DIFFER: TimeDelta = TimeDelta::minutes(5);
/// What is older is a clock that stands wrong, and no outbox.
const OLDEST: TimeDelta = TimeDelta::days(366);

/// When it happened; now, where it is not told. Not in the future, and not a year ago: `field` is at fault then.
pub(super) fn happened(now: Instant, told: Option<Instant>, field: &str) -> Result<Instant> {
    let at = told.unwrap_or(now);
    if at.utc() > now.utc() + CLOCKS_DIFFER {
        let mend = format!("this has not happened yet: it is {now} now; set the clock right");
        return Err(Error::refused_as("in_future", field, mend));
    }
    if at.utc() < now.utc() - OLDEST {
        let mend = "this is more than a year ago: set the clock right, or leave it out";
        return Err(Error::refused(field, mend));
    }
    Ok(at)
}
