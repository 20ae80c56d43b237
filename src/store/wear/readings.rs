//! What was measured on parts, and which readings count.

use chrono::NaiveDate;
use diesel::prelude::*;
use serde::Serialize;
use trade::wear::Doubt;

use crate::store::columns::{Word, words};
use crate::store::db::{Conn, Tx};
use crate::store::schema::{reading_verdicts, readings, tools, wear_parts};
use crate::store::tools::WearPartKind;
use crate::store::{Error, Instant, Result, Scope};

words! {
    /// Whether a reading counts.
    ReadingState {
        /// It moves the forecast.
        Standing = "standing",
        /// Something speaks against it: it counts once somebody confirms it.
        Doubted = "doubted",
        /// It was found wrong.
        Struck = "struck",
    }
}

words! {
    /// What was decided of a reading.
    ReadingVerdict {
        /// It is so, whatever speaks against it.
        Confirmed = "confirmed",
        /// It is wrong.
        Struck = "struck",
    }
}

/// A length that counts, at the use the part had then.
#[derive(Clone, Copy, Debug, Queryable)]
pub struct Measured {
    /// The reading.
    pub id: i64,
    /// The part.
    pub wear_part_id: i64,
    /// The use it had, weighed, mm.
    pub used_mm: i64,
    /// Its length, µm.
    pub length_um: i64,
}

/// What was measured on the parts that are fitted now, or on one part, as far as it counts, in order of use.
pub fn measured(conn: &mut Conn, scope: &Scope, one: Option<i64>) -> Result<Vec<Measured>> {
    let mut query = readings::table
        .filter(
            readings::site_id
                .eq(scope.site_id())
                .and(readings::taken_back_at.is_null())
                .and(readings::state.eq(ReadingState::Standing)),
        )
        .into_boxed();
    let fitted = wear_parts::table
        .filter(
            wear_parts::site_id
                .eq(scope.site_id())
                .and(wear_parts::start_um.is_not_null())
                .and(wear_parts::retired_on.is_null()),
        )
        .select(wear_parts::id);
    query = match one {
        Some(id) => query.filter(readings::wear_part_id.eq(id)),
        None => query.filter(readings::wear_part_id.eq_any(fitted)),
    };
    Ok(query
        .order((
            readings::wear_part_id,
            readings::used_mm,
            readings::measured_on,
            readings::id,
        ))
        .select((
            readings::id,
            readings::wear_part_id,
            readings::used_mm,
            readings::length_um,
        ))
        .load(conn)?)
}

/// A reading, to be kept.
#[derive(Clone, Copy, Debug)]
pub struct NewReading {
    /// The part.
    pub wear_part_id: i64,
    /// The day it was measured.
    pub measured_on: NaiveDate,
    /// How long it was, µm.
    pub length_um: i64,
    /// The order it was measured on.
    pub order_id: Option<i64>,
    /// Who told it.
    pub user_id: i64,
    /// When it is booked.
    pub booked_at: Instant,
    /// The use that the part had by the end of that day, weighed, mm: [`used_until`](super::used_until).
    pub used_mm: i64,
    /// What speaks against it.
    pub doubt: Option<Doubt>,
}

/// Keeps a reading; gives its id.
pub fn reading_add(tx: &mut Tx<'_>, scope: &Scope, new: &NewReading) -> Result<i64> {
    let state = match new.doubt {
        Some(_) => ReadingState::Doubted,
        None => ReadingState::Standing,
    };
    Ok(diesel::insert_into(readings::table)
        .values((
            readings::site_id.eq(scope.site_id()),
            readings::wear_part_id.eq(new.wear_part_id),
            readings::measured_on.eq(new.measured_on),
            readings::length_um.eq(new.length_um),
            readings::order_id.eq(new.order_id),
            readings::user_id.eq(new.user_id),
            readings::booked_at.eq(new.booked_at),
            readings::used_mm.eq(new.used_mm),
            readings::state.eq(state),
            readings::doubt.eq(new.doubt.map(Doubt::as_str)),
        ))
        .returning(readings::id)
        .get_result(tx.conn())?)
}

/// What is decided of a reading, to be kept.
#[derive(Clone, Debug)]
pub struct NewVerdict<'a> {
    /// The reading.
    pub reading_id: i64,
    /// What is decided.
    pub verdict: ReadingVerdict,
    /// Why.
    pub why: Option<&'a str>,
    /// Who decides; none where a further reading says the same.
    pub user_id: Option<i64>,
    /// The client's own key of it.
    pub client_key: Option<&'a str>,
}

/// Keeps what is decided of a reading; from now on it counts, or no more.
pub fn reading_decide(tx: &mut Tx<'_>, scope: &Scope, new: &NewVerdict<'_>) -> Result<()> {
    let (seq, now) = (tx.next_seq(), tx.now());
    diesel::insert_into(reading_verdicts::table)
        .values((
            reading_verdicts::site_id.eq(scope.site_id()),
            reading_verdicts::seq.eq(seq),
            reading_verdicts::reading_id.eq(new.reading_id),
            reading_verdicts::verdict.eq(new.verdict),
            reading_verdicts::why.eq(new.why),
            reading_verdicts::user_id.eq(new.user_id),
            reading_verdicts::decided_at.eq(now),
            reading_verdicts::client_key.eq(new.client_key),
        ))
        .execute(tx.conn())?;
    let state = match new.verdict {
        ReadingVerdict::Confirmed => ReadingState::Standing,
        ReadingVerdict::Struck => ReadingState::Struck,
    };
    let rows = diesel::update(
        readings::table.filter(
            readings::site_id
                .eq(scope.site_id())
                .and(readings::id.eq(new.reading_id)),
        ),
    )
    .set(readings::state.eq(state))
    .execute(tx.conn())?;
    if rows == 1 {
        Ok(())
    } else {
        Err(Error::NotFound)
    }
}

/// The doubted readings of a part, in order of use.
pub fn doubted_of(conn: &mut Conn, scope: &Scope, wear_part_id: i64) -> Result<Vec<Doubted>> {
    Ok(readings::table
        .filter(
            readings::site_id
                .eq(scope.site_id())
                .and(readings::wear_part_id.eq(wear_part_id))
                .and(readings::taken_back_at.is_null())
                .and(readings::state.eq(ReadingState::Doubted)),
        )
        .order((readings::used_mm, readings::id))
        .select((readings::id, readings::used_mm, readings::length_um))
        .load(conn)?)
}

/// A doubted reading of a part.
#[derive(Clone, Copy, Debug, Queryable)]
pub struct Doubted {
    /// Id.
    pub id: i64,
    /// The use that the part had then, weighed, mm.
    pub used_mm: i64,
    /// How long it was, µm.
    pub length_um: i64,
}

/// A reading that waits to be confirmed or struck.
#[derive(Clone, Debug, Queryable, Serialize, utoipa::ToSchema)]
pub struct DoubtedReading {
    /// Id.
    pub id: i64,
    /// The part.
    pub wear_part_id: i64,
    /// What it is.
    pub kind: WearPartKind,
    /// The number on its tool.
    pub tool: String,
    /// The day it was measured.
    pub measured_on: NaiveDate,
    /// How long it was, µm.
    pub length_um: i64,
    /// The use that the part had then, weighed, mm.
    pub used_mm: i64,
    /// What speaks against it.
    #[schema(value_type = Option<String>, example = "too_long")]
    pub doubt: Option<Word<Doubt>>,
}

/// The readings that wait to be confirmed or struck, oldest first.
pub fn doubted_readings(conn: &mut Conn, scope: &Scope) -> Result<Vec<DoubtedReading>> {
    Ok(readings::table
        .inner_join(wear_parts::table.inner_join(tools::table))
        .filter(
            readings::site_id
                .eq(scope.site_id())
                .and(readings::taken_back_at.is_null())
                .and(readings::state.eq(ReadingState::Doubted)),
        )
        .order((readings::measured_on, readings::id))
        .select((
            readings::id,
            readings::wear_part_id,
            wear_parts::kind,
            tools::number,
            readings::measured_on,
            readings::length_um,
            readings::used_mm,
            readings::doubt,
        ))
        .load(conn)?)
}
