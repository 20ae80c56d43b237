//! Parts with the length that was measured on each last.

use chrono::NaiveDate;
use diesel::prelude::*;

use super::ReadingState;
use crate::store::db::Conn;
use crate::store::schema::{readings, wear_parts};
use crate::store::tools::WearPartRow;
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

/// The parts that are fitted on a day, in order of id, each with its newest length that counts: of the last day, and of those
/// the last booked. One query.
pub fn parts_and_lengths(
    conn: &mut Conn,
    scope: &Scope,
    on: NaiveDate,
) -> Result<Vec<PartAndLength>> {
    let other = diesel::alias!(readings as other);
    let newest = other
        .filter(
            other
                .field(readings::site_id)
                .eq(scope.site_id())
                .and(other.field(readings::wear_part_id).eq(wear_parts::id))
                .and(other.field(readings::taken_back_at).is_null())
                .and(other.field(readings::state).eq(ReadingState::Standing)),
        )
        .order((
            other.field(readings::measured_on).desc(),
            other.field(readings::id).desc(),
        ))
        .select(other.field(readings::id))
        .limit(1)
        .single_value();
    Ok(wear_parts::table
        .left_join(readings::table.on(readings::id.nullable().eq(newest)))
        .filter(
            wear_parts::site_id
                .eq(scope.site_id())
                .and(wear_parts::fitted_on.le(on))
                .and(
                    wear_parts::retired_on
                        .is_null()
                        .or(wear_parts::retired_on.ge(on)),
                ),
        )
        .order(wear_parts::id)
        .select((
            WearPartRow::as_select(),
            readings::length_um.nullable(),
            readings::measured_on.nullable(),
        ))
        .load(conn)?)
}
