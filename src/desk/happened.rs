//! When something happened that a tablet without signal tells late.

use chrono::TimeDelta;
use serde_json::json;

use super::{Error, FieldFault, Result};
use crate::store::Instant;

/// How far a tablet's clock may be ahead of the office's.
const CLOCKS_DIFFER: TimeDelta = TimeDelta::minutes(5);
/// What is older is a clock that stands wrong, and no outbox.
const OLDEST: TimeDelta = TimeDelta::days(366);

/// Whether a time lies ahead of now, further than clocks differ.
pub(super) fn is_ahead(now: Instant, at: Instant) -> bool {
    at.utc() > now.utc() + CLOCKS_DIFFER
}

/// That something at `field` has not happened yet, where it lies ahead.
pub(super) fn ahead(now: Instant, at: Instant, field: &str) -> Option<FieldFault> {
    let mend = || format!("this has not happened yet: it is {now} now; set the clock right");
    let code = || ("in_future", [("now", json!(now))]);
    is_ahead(now, at).then(|| FieldFault::new(field, mend()).coded(code()))
}

/// What is wrong with when something happened: it lies ahead, or is older than `oldest`, of which `mend` says what to do.
pub(super) fn time_fault(
    now: Instant,
    at: Instant,
    field: &str,
    (oldest, mend): (TimeDelta, &str),
) -> Option<FieldFault> {
    let is_old = at.utc() < now.utc() - oldest;
    let old = || FieldFault::new(field, mend).coded("too_long_ago");
    ahead(now, at, field).or_else(|| is_old.then(old))
}

/// When it happened; now, where it is not told. Not in the future, and not a year ago: `field` is at fault then.
pub(super) fn happened(now: Instant, told: Option<Instant>, field: &str) -> Result<Instant> {
    let at = told.unwrap_or(now);
    let mend = "this is more than a year ago: set the clock right, or leave it out";
    match time_fault(now, at, field, (OLDEST, mend)) {
        Some(fault) => Err(Error::Refused(vec![fault])),
        None => Ok(at),
    }
}
