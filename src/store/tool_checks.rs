//! Checks of a tool or a court in the shed: lengths measured at several points, and what the eye says of what is not measured.

use diesel::prelude::*;

use super::columns::{Json, json, words};
use super::db::{Conn, Tx};
use super::schema::{courts, eye_checks, tool_check_readings, tool_checks, tools, wear_parts};
use super::tools::WearPartKind;
use super::{Instant, Result, Scope};

words! {
    /// What the eye says of a part.
    EyeVerdict {
        /// It will do.
        Sound = "sound",
        /// It wears, and does still.
        Worn = "worn",
        /// It is to be changed before the next use.
        ChangeNow = "change_now",
    }
}

words! {
    /// The unit in which a length was read off.
    ReadIn {
        /// Millimetres.
        Millimetres = "mm",
        /// Inches and parts of them.
        Inches = "in",
    }
}

/// A check to be added.
#[derive(Clone, Debug)]
pub struct NewToolCheck<'a> {
    /// The tool, or none.
    pub tool_id: Option<i64>,
    /// The court, or none.
    pub court_id: Option<i64>,
    /// Who looked.
    pub person_id: Option<i64>,
    /// When.
    pub happened_at: Instant,
    /// Who tells it.
    pub user_id: i64,
    /// The client's own key of it.
    pub client_key: &'a str,
}

/// The newest word of the eye on a part.
#[derive(Clone, Debug, Queryable)]
pub struct EyeCheckRow {
    /// Id.
    pub id: i64,
    /// The part.
    pub wear_part_id: i64,
    /// What the eye says.
    pub verdict: EyeVerdict,
    /// When.
    pub happened_at: Instant,
}

/// A part that is to be changed now.
#[derive(Clone, Debug, Queryable)]
pub struct PartToChange {
    /// The part.
    pub wear_part_id: i64,
    /// What it is.
    pub kind: WearPartKind,
    /// The number on its tool, where it is on one.
    pub tool: Option<String>,
    /// The name of its court, where it is on one.
    pub court: Option<String>,
    /// When that was seen.
    pub happened_at: Instant,
}

/// Adds a check; gives its id.
pub fn tool_check_add(tx: &mut Tx<'_>, scope: &Scope, new: &NewToolCheck<'_>) -> Result<i64> {
    let now = tx.now();
    Ok(diesel::insert_into(tool_checks::table)
        .values((
            tool_checks::site_id.eq(scope.site_id()),
            tool_checks::tool_id.eq(new.tool_id),
            tool_checks::court_id.eq(new.court_id),
            tool_checks::person_id.eq(new.person_id),
            tool_checks::happened_at.eq(new.happened_at),
            tool_checks::learned_at.eq(now),
            tool_checks::user_id.eq(new.user_id),
            tool_checks::client_key.eq(new.client_key),
        ))
        .returning(tool_checks::id)
        .get_result(tx.conn())?)
}

/// Keeps the points that a reading of a check is the mean of.
pub fn points_add(
    tx: &mut Tx<'_>,
    scope: &Scope,
    tool_check_id: i64,
    reading_id: i64,
    (points_um, read_in): (&[i64], ReadIn),
) -> Result<()> {
    diesel::insert_into(tool_check_readings::table)
        .values((
            tool_check_readings::site_id.eq(scope.site_id()),
            tool_check_readings::tool_check_id.eq(tool_check_id),
            tool_check_readings::reading_id.eq(reading_id),
            tool_check_readings::points.eq(json(&points_um)?),
            tool_check_readings::read_in.eq(read_in),
        ))
        .execute(tx.conn())?;
    Ok(())
}

/// The points that these readings are the mean of, from one end of the brush to the other.
pub fn points_of(
    conn: &mut Conn,
    scope: &Scope,
    readings: &[i64],
) -> Result<Vec<(i64, Json<Vec<i64>>)>> {
    Ok(tool_check_readings::table
        .filter(
            tool_check_readings::site_id
                .eq(scope.site_id())
                .and(tool_check_readings::reading_id.eq_any(readings)),
        )
        .select((tool_check_readings::reading_id, tool_check_readings::points))
        .load(conn)?)
}

/// Keeps what the eye says of a part; gives the id.
pub fn eye_check_add(
    tx: &mut Tx<'_>,
    scope: &Scope,
    tool_check_id: i64,
    (wear_part_id, verdict): (i64, EyeVerdict),
    happened_at: Instant,
) -> Result<i64> {
    let seq = tx.next_seq();
    Ok(diesel::insert_into(eye_checks::table)
        .values((
            eye_checks::site_id.eq(scope.site_id()),
            eye_checks::seq.eq(seq),
            eye_checks::tool_check_id.eq(tool_check_id),
            eye_checks::wear_part_id.eq(wear_part_id),
            eye_checks::verdict.eq(verdict),
            eye_checks::happened_at.eq(happened_at),
        ))
        .returning(eye_checks::id)
        .get_result(tx.conn())?)
}

/// Which check of a part is its newest: what happened last, and of that what was told last.
macro_rules! newest {
    ($scope:expr) => {{
        let other = diesel::alias!(eye_checks as other);
        other
            .filter(
                other.field(eye_checks::site_id).eq($scope.site_id()).and(
                    other
                        .field(eye_checks::wear_part_id)
                        .eq(eye_checks::wear_part_id),
                ),
            )
            .order((
                other.field(eye_checks::happened_at).desc(),
                other.field(eye_checks::seq).desc(),
            ))
            .select(other.field(eye_checks::id))
            .limit(1)
            .single_value()
    }};
}

/// The newest word of the eye on each of these parts that has one.
pub fn newest_eye_checks(
    conn: &mut Conn,
    scope: &Scope,
    parts: &[i64],
) -> Result<Vec<EyeCheckRow>> {
    Ok(eye_checks::table
        .filter(
            eye_checks::site_id
                .eq(scope.site_id())
                .and(eye_checks::wear_part_id.eq_any(parts))
                .and(eye_checks::id.nullable().eq(newest!(scope))),
        )
        .select((
            eye_checks::id,
            eye_checks::wear_part_id,
            eye_checks::verdict,
            eye_checks::happened_at,
        ))
        .load(conn)?)
}

/// What the eye said of a part, the newest first, at most twenty.
pub fn eye_checks_of(conn: &mut Conn, scope: &Scope, part: i64) -> Result<Vec<EyeCheckRow>> {
    Ok(eye_checks::table
        .filter(
            eye_checks::site_id
                .eq(scope.site_id())
                .and(eye_checks::wear_part_id.eq(part)),
        )
        .order((eye_checks::happened_at.desc(), eye_checks::id.desc()))
        .limit(20)
        .select((
            eye_checks::id,
            eye_checks::wear_part_id,
            eye_checks::verdict,
            eye_checks::happened_at,
        ))
        .load(conn)?)
}

/// The parts that are on and of which the eye said last that they are to be changed now.
pub fn parts_to_change(conn: &mut Conn, scope: &Scope) -> Result<Vec<PartToChange>> {
    Ok(eye_checks::table
        .inner_join(
            wear_parts::table
                .left_join(tools::table)
                .left_join(courts::table),
        )
        .filter(
            eye_checks::site_id
                .eq(scope.site_id())
                .and(eye_checks::verdict.eq(EyeVerdict::ChangeNow))
                .and(wear_parts::retired_on.is_null())
                .and(eye_checks::id.nullable().eq(newest!(scope))),
        )
        .order((eye_checks::happened_at, eye_checks::id))
        .select((
            wear_parts::id,
            wear_parts::kind,
            tools::number.nullable(),
            courts::name.nullable(),
            eye_checks::happened_at,
        ))
        .load(conn)?)
}
