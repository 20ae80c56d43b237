//! Parts with the length that was measured on each last.

use chrono::NaiveDate;
use diesel::prelude::*;

use super::ReadingState;
use crate::store::db::Conn;
use crate::store::schema::{readings, wear_parts};
use crate::store::tools::{WearPartRow, newest_reading};
use crate::store::{Result, Scope};

/// A part, and what was measured on it last.
#[derive(Clone, Debug, Queryable)]
pub struct PartAndLength {
    /// The part.
    pub part: WearPartRow,
    /// The newest length that counts, µm; none where none does.
    pub last_um: Option<i64>,
    /// The day on which that was measured.
    pub last_on: Option<NaiveDate>,
}

/// The parts that are fitted on a day, of one that was changed on it the new one, in order of id, each with its newest length
/// that counts: of the last day, and of those the last booked. One query.
pub fn parts_and_lengths(
    conn: &mut Conn,
    scope: &Scope,
    on: NaiveDate,
) -> Result<Vec<PartAndLength>> {
    let newest = newest_reading!(scope, wear_parts::id);
    Ok(fitted_on!(scope, on)
        .left_join(readings::table.on(readings::id.nullable().eq(newest)))
        .order(wear_parts::id)
        .select((
            WearPartRow::as_select(),
            readings::length_um.nullable(),
            readings::measured_on.nullable(),
        ))
        .load(conn)?)
}
