//! Play and what shuts it out: sessions, closures, and how the courts were last found.

use diesel::prelude::*;
use serde::{Deserialize, Serialize};
use trade::grooming::Condition;

use super::columns::Word;
use super::db::Conn;
use super::schema::{closures, condition_observations, courts, play_sessions};
use super::{Instant, Result, Scope};

/// A time when a court is in play.
#[derive(Clone, Debug, Queryable, Selectable, Serialize, Deserialize, utoipa::ToSchema)]
#[diesel(table_name = play_sessions)]
#[schema(as = PlaySession)]
#[expect(
    clippy::struct_excessive_bools,
    reason = "each says its own thing of play"
)]
pub struct SessionRow {
    /// Id.
    pub id: i64,
    /// The court.
    pub court_id: i64,
    /// What the site calls it.
    pub name: String,
    /// When it begins.
    pub starts_at: Instant,
    /// When it is over; of an open-ended one, when it is expected to be.
    pub ends_at: Instant,
    /// Whether the turnaround after it may be the short one.
    pub short_turnaround: bool,
    /// The players brush and sweep the court themselves after it.
    pub players_brush: bool,
    /// Nobody knows yet when it ends: it is over when somebody says so.
    pub open_ended: bool,
    /// When it was over, as somebody on the spot said.
    pub over_at: Option<Instant>,
    /// The short turnaround will do also where the one before it on the court was short.
    pub short_ok: bool,
    /// When it was called off.
    pub cancelled_at: Option<Instant>,
    /// Version, for `If-Match`.
    pub version: i64,
}

impl SessionRow {
    /// When it was over, else when it is to be.
    pub fn end(&self) -> Instant {
        self.over_at.unwrap_or(self.ends_at)
    }
}

/// A time when a court is shut.
#[derive(Clone, Debug, Queryable, Selectable, Serialize, Deserialize, utoipa::ToSchema)]
#[diesel(table_name = closures)]
#[schema(as = Closure)]
pub struct ClosureRow {
    /// Id.
    pub id: i64,
    /// The court.
    pub court_id: i64,
    /// From when.
    pub starts_at: Instant,
    /// Until when.
    pub ends_at: Instant,
    /// Why.
    pub reason: String,
    /// When it was called off.
    pub cancelled_at: Option<Instant>,
    /// Version.
    pub version: i64,
}

/// How a court was found.
#[derive(Clone, Copy, Debug)]
pub struct ConditionRow {
    /// The court.
    pub court_id: i64,
    /// When it was looked at.
    pub observed_at: Instant,
    /// How it was.
    pub condition: Condition,
}

/// The sessions that are not called off and lie, at least in part, between the two instants: by court, then by start.
pub fn sessions_between(
    conn: &mut Conn,
    scope: &Scope,
    from: Instant,
    to: Instant,
) -> Result<Vec<SessionRow>> {
    Ok(play_sessions::table
        .filter(
            play_sessions::site_id
                .eq(scope.site_id())
                .and(play_sessions::cancelled_at.is_null())
                .and(play_sessions::starts_at.lt(to))
                .and(
                    play_sessions::ends_at
                        .gt(from)
                        .or(play_sessions::over_at.gt(from)),
                ),
        )
        .order((
            play_sessions::court_id,
            play_sessions::starts_at,
            play_sessions::id,
        ))
        .select(SessionRow::as_select())
        .load(conn)?)
}

/// The closures that are not called off and lie, at least in part, between the two instants: by court, then by start.
pub fn closures_between(
    conn: &mut Conn,
    scope: &Scope,
    from: Instant,
    to: Instant,
) -> Result<Vec<ClosureRow>> {
    Ok(closures::table
        .filter(
            closures::site_id
                .eq(scope.site_id())
                .and(closures::cancelled_at.is_null())
                .and(closures::starts_at.lt(to))
                .and(closures::ends_at.gt(from)),
        )
        .order((closures::court_id, closures::starts_at, closures::id))
        .select(ClosureRow::as_select())
        .load(conn)?)
}

/// The newest observation of each court, or of each of these, that was looked at before `before`.
pub fn conditions_newest(
    conn: &mut Conn,
    scope: &Scope,
    of: Option<&[i64]>,
    before: Instant,
) -> Result<Vec<ConditionRow>> {
    let newest = || {
        condition_observations::table
            .filter(
                condition_observations::site_id
                    .eq(scope.site_id())
                    .and(condition_observations::court_id.eq(courts::id))
                    .and(condition_observations::observed_at.lt(before)),
            )
            .order((
                condition_observations::observed_at.desc(),
                condition_observations::id.desc(),
            ))
            .limit(1)
    };
    let mut query = courts::table
        .filter(courts::site_id.eq(scope.site_id()))
        .into_boxed();
    if let Some(of) = of {
        query = query.filter(courts::id.eq_any(of));
    }
    let rows: Vec<(i64, Option<Instant>, Option<Word<Condition>>)> = query
        .order(courts::id)
        .select((
            courts::id,
            newest()
                .select(condition_observations::observed_at)
                .single_value(),
            newest()
                .select(condition_observations::condition)
                .single_value(),
        ))
        .load(conn)?;
    let row = |(court_id, observed_at, condition): (_, Option<_>, Option<Word<_>>)| {
        Some(ConditionRow {
            court_id,
            observed_at: observed_at?,
            condition: condition?.0,
        })
    };
    Ok(rows.into_iter().filter_map(row).collect())
}
