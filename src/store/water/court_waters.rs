//! What is a court's own of its water: draining time, level, and how it was found of a morning.

use chrono::NaiveDate;
use diesel::prelude::*;
use serde::Serialize;
use trade::grooming::Condition;

use crate::store::columns::Word;
use crate::store::dialect::each_backend;
use crate::store::schema::{condition_observations, court_waters, level_readings};
use crate::store::{Conn, Error, Instant, Page, Paged, Result, Scope, Tx};

/// What is a court's own of its water.
#[derive(Clone, Debug, PartialEq, Eq, Queryable, Selectable)]
#[diesel(table_name = court_waters)]
pub struct CourtWaterRow {
    /// The court.
    pub court_id: i64,
    /// How long it drains after water before it is played on, s; null where the site's usual holds.
    pub drain_s: Option<i64>,
    /// The level it is kept at from below, mm.
    pub level_target_mm: Option<i64>,
    /// Version.
    pub version: i64,
}

/// What was set of the site's courts.
pub fn court_water_list(conn: &mut Conn, scope: &Scope) -> Result<Vec<CourtWaterRow>> {
    Ok(court_waters::table
        .filter(court_waters::site_id.eq(scope.site_id()))
        .order(court_waters::court_id)
        .select(CourtWaterRow::as_select())
        .load(conn)?)
}

/// Sets what is a court's own where `version` is still the court's (0 where nothing was set); else
/// [`Error::Stale`].
pub fn court_water_put(
    conn: &mut Conn,
    scope: &Scope,
    version: i64,
    water: &CourtWaterRow,
) -> Result<()> {
    let rows = diesel::update(
        court_waters::table.filter(
            court_waters::site_id
                .eq(scope.site_id())
                .and(court_waters::court_id.eq(water.court_id))
                .and(court_waters::version.eq(version)),
        ),
    )
    .set((
        court_waters::drain_s.eq(water.drain_s),
        court_waters::level_target_mm.eq(water.level_target_mm),
        court_waters::version.eq(court_waters::version + 1),
    ))
    .execute(conn)?;
    if rows > 0 {
        return Ok(());
    }
    if version != 0 {
        return Err(Error::Stale);
    }
    let values = (
        court_waters::site_id.eq(scope.site_id()),
        court_waters::court_id.eq(water.court_id),
        court_waters::drain_s.eq(water.drain_s),
        court_waters::level_target_mm.eq(water.level_target_mm),
        court_waters::version.eq(1),
    );
    let added = each_backend!(conn, inner => {
        diesel::insert_into(court_waters::table)
            .values(values)
            .on_conflict_do_nothing()
            .execute(inner)
    })?;
    if added == 0 {
        Err(Error::Stale)
    } else {
        Ok(())
    }
}

/// A level that was read.
#[derive(Clone, Debug, Queryable, Selectable, Serialize, utoipa::ToSchema)]
#[diesel(table_name = level_readings)]
#[schema(as = LevelReading)]
pub struct LevelRow {
    /// Id.
    pub id: i64,
    /// The court.
    pub court_id: i64,
    /// On which of the site's dates.
    pub read_on: NaiveDate,
    /// What was read, mm.
    pub level_mm: i64,
    /// By how much it was changed then, mm: raised above nothing, lowered below.
    pub changed_mm: i64,
    /// In the reader's own words.
    pub note: Option<String>,
    /// When it was booked.
    pub booked_at: Instant,
}

/// A level as it is told.
#[derive(Clone, Debug)]
pub struct NewLevel {
    /// The court.
    pub court_id: i64,
    /// On which of the site's dates.
    pub read_on: NaiveDate,
    /// What was read, mm.
    pub level_mm: i64,
    /// By how much it was changed, mm.
    pub changed_mm: i64,
    /// In the reader's own words.
    pub note: Option<String>,
}

/// The site's level readings, of one court or of all.
pub fn level_list(
    conn: &mut Conn,
    scope: &Scope,
    court: Option<i64>,
    page: Page,
) -> Result<Paged<LevelRow>> {
    let mut query = level_readings::table
        .filter(
            level_readings::site_id
                .eq(scope.site_id())
                .and(level_readings::id.gt(page.after)),
        )
        .into_boxed();
    if let Some(court) = court {
        query = query.filter(level_readings::court_id.eq(court));
    }
    let rows = query
        .order(level_readings::id)
        .limit(page.fetch())
        .select(LevelRow::as_select())
        .load(conn)?;
    Ok(page.of(rows, |row| row.id))
}

/// One reading.
pub fn level_read(conn: &mut Conn, scope: &Scope, id: i64) -> Result<LevelRow> {
    Ok(level_readings::table
        .filter(
            level_readings::site_id
                .eq(scope.site_id())
                .and(level_readings::id.eq(id)),
        )
        .select(LevelRow::as_select())
        .first(conn)?)
}

/// Keeps a reading; gives its id.
pub fn level_add(tx: &mut Tx<'_>, scope: &Scope, user_id: i64, level: &NewLevel) -> Result<i64> {
    let now = tx.now();
    Ok(diesel::insert_into(level_readings::table)
        .values((
            level_readings::site_id.eq(scope.site_id()),
            level_readings::court_id.eq(level.court_id),
            level_readings::read_on.eq(level.read_on),
            level_readings::level_mm.eq(level.level_mm),
            level_readings::changed_mm.eq(level.changed_mm),
            level_readings::note.eq(&level.note),
            level_readings::user_id.eq(user_id),
            level_readings::booked_at.eq(now),
        ))
        .returning(level_readings::id)
        .get_result(tx.conn())?)
}

/// How a court was found.
#[derive(Clone, Copy, Debug, Queryable)]
pub struct Finding {
    /// The court.
    pub court_id: i64,
    /// When.
    pub at: Instant,
    /// How.
    pub condition: Word<Condition>,
}

/// How the courts were found between the two instants, in order of time.
pub fn findings_since(
    conn: &mut Conn,
    scope: &Scope,
    from: Instant,
    to: Instant,
) -> Result<Vec<Finding>> {
    Ok(condition_observations::table
        .filter(
            condition_observations::site_id
                .eq(scope.site_id())
                .and(condition_observations::observed_at.ge(from))
                .and(condition_observations::observed_at.lt(to)),
        )
        .order((
            condition_observations::observed_at,
            condition_observations::id,
        ))
        .select((
            condition_observations::court_id,
            condition_observations::observed_at,
            condition_observations::condition,
        ))
        .load(conn)?)
}
