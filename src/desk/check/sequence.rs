//! The site's numbers: each stands in one row, and none is left out. A row that was taken away leaves
//! a hole, also in books that no chain runs through.

use std::fmt::Write as _;

use super::{Anchor, Found, counted};
use crate::desk::Result;
use crate::store::proofs::{seq_last, seqs_between};
use crate::store::{Conn, Scope};

const AT_ONCE: i64 = 5_000;

pub(super) fn prove(conn: &mut Conn, scope: &Scope, _: &[Anchor]) -> Result<Found> {
    let mut found = Found::default();
    let last = seq_last(conn, scope)?;
    let (mut expected, mut from) = (1, 0);
    while from < last {
        let upto = (from + AT_ONCE).min(last);
        for row in seqs_between(conn, scope, from, upto)? {
            if row.seq < expected {
                found.note(format!(
                    "number {} stands twice, once in {}",
                    row.seq, row.place
                ));
                continue;
            }
            missing(&mut found, expected, row.seq - 1);
            expected = row.seq + 1;
        }
        from = upto;
    }
    missing(&mut found, expected, last);
    for row in seqs_between(conn, scope, last, i64::MAX)?.iter().take(1) {
        found.note(format!(
            "number {} of {} was never handed out: the site's head is at {last}",
            row.seq, row.place
        ));
    }
    found.looked_at = counted(last, "numbers");
    Ok(found)
}

/// Notes the numbers from `first` to `last`, if there are any.
fn missing(found: &mut Found, first: i64, last: i64) {
    if first > last {
        return;
    }
    let mut what = format!("number {first}");
    if last > first {
        let _ = write!(what, " to {last}");
    }
    found.note(format!(
        "{what} stands nowhere: what was booked under it was taken away"
    ));
}
