//! What was seen of courts by whoever looked them over.

use diesel::prelude::*;
use serde::{Deserialize, Serialize};
use trade::care::Moisture;
use trade::court::{Firmness, Inspection};

use super::columns::{Json, Word, json, words};
use super::db::{Conn, Tx};
use super::schema::inspections;
use super::{Instant, Page, Paged, Result, Scope};

words! {
    /// Where on a court, seen from the net.
    CourtPlace {
        /// The northern baseline.
        BaselineNorth = "baseline_north",
        /// The southern baseline.
        BaselineSouth = "baseline_south",
        /// At the net.
        Net = "net",
        /// The northern service line.
        ServiceNorth = "service_north",
        /// The southern service line.
        ServiceSouth = "service_south",
        /// The eastern side.
        SideEast = "side_east",
        /// The western side.
        SideWest = "side_west",
    }
}

/// One look at a court. What was not looked at is null.
#[derive(Clone, Debug, Queryable, Selectable, Serialize, Deserialize, utoipa::ToSchema)]
#[diesel(table_name = inspections)]
#[schema(as = Inspection)]
pub struct InspectionRow {
    /// Id.
    pub id: i64,
    /// The court.
    pub court_id: i64,
    /// When it was looked over.
    pub seen_at: Instant,
    /// How firm: `soft`, `firm` or `hard`.
    #[schema(value_type = Option<String>)]
    pub firmness: Option<Word<Firmness>>,
    /// How moist: `dry`, `damp` or `wet`.
    #[schema(value_type = Option<String>)]
    pub moisture: Option<Word<Moisture>>,
    /// Whether water stands.
    pub standing_water: Option<bool>,
    /// Whether it is frozen, or thawing and not drained.
    pub frozen: Option<bool>,
    /// Where the low spots are; empty where there are none.
    #[schema(value_type = Option<Vec<CourtPlace>>)]
    pub low_spots: Option<Json<Vec<CourtPlace>>>,
    /// Whether algae grow on it.
    pub algae: Option<bool>,
    /// Whether it is hard throughout, or material has built up.
    pub hardpan: Option<bool>,
    /// Whether the baselines are packed.
    pub baselines_packed: Option<bool>,
    /// Whether it was top-dressed and has not bound.
    pub newly_dressed: Option<bool>,
    /// Whether leaves lie on it.
    pub leaves: Option<bool>,
    /// Anything else.
    pub note: Option<String>,
}

impl InspectionRow {
    /// What the look tells of how the court is.
    pub fn look(&self) -> Inspection {
        Inspection {
            firmness: self.firmness.map(|word| word.0),
            moisture: self.moisture.map(|word| word.0),
            standing_water: self.standing_water,
            frozen: self.frozen,
            low_spots: self.low_spots.as_ref().map(|spots| !spots.0.is_empty()),
            hardpan: self.hardpan,
            baselines_packed: self.baselines_packed,
            newly_dressed: self.newly_dressed,
        }
    }
}

/// Keeps a look at a court by a user; `row`'s id is not used.
pub fn inspection_add(
    tx: &mut Tx<'_>,
    scope: &Scope,
    user_id: i64,
    row: &InspectionRow,
) -> Result<InspectionRow> {
    let spots = row
        .low_spots
        .as_ref()
        .map(|spots| json(&spots.0))
        .transpose()?;
    let id = diesel::insert_into(inspections::table)
        .values((
            inspections::site_id.eq(scope.site_id()),
            inspections::court_id.eq(row.court_id),
            inspections::seen_at.eq(row.seen_at),
            inspections::firmness.eq(row.firmness.map(|word| word.0.as_str())),
            inspections::moisture.eq(row.moisture.map(|word| word.0.as_str())),
            inspections::standing_water.eq(row.standing_water),
            inspections::frozen.eq(row.frozen),
            inspections::low_spots.eq(spots),
            inspections::algae.eq(row.algae),
            inspections::hardpan.eq(row.hardpan),
            inspections::baselines_packed.eq(row.baselines_packed),
            inspections::newly_dressed.eq(row.newly_dressed),
            inspections::leaves.eq(row.leaves),
            inspections::note.eq(&row.note),
            inspections::user_id.eq(user_id),
        ))
        .returning(inspections::id)
        .get_result(tx.conn())?;
    Ok(InspectionRow { id, ..row.clone() })
}

/// The looks at a court, in the order in which they were told.
pub fn inspection_list(
    conn: &mut Conn,
    scope: &Scope,
    court_id: i64,
    page: Page,
) -> Result<Paged<InspectionRow>> {
    let rows = inspections::table
        .filter(
            inspections::site_id
                .eq(scope.site_id())
                .and(inspections::court_id.eq(court_id))
                .and(inspections::id.gt(page.after)),
        )
        .order(inspections::id)
        .limit(page.fetch())
        .select(InspectionRow::as_select())
        .load(conn)?;
    Ok(page.of(rows, |row| row.id))
}

/// The newest looks at a court, newest first.
pub fn inspections_newest(
    conn: &mut Conn,
    scope: &Scope,
    court_id: i64,
    most: i64,
) -> Result<Vec<InspectionRow>> {
    Ok(inspections::table
        .filter(
            inspections::site_id
                .eq(scope.site_id())
                .and(inspections::court_id.eq(court_id)),
        )
        .order((inspections::seen_at.desc(), inspections::id.desc()))
        .limit(most)
        .select(InspectionRow::as_select())
        .load(conn)?)
}

/// The looks at all courts from `from` until before `to`, by court and time.
pub fn inspections_between(
    conn: &mut Conn,
    scope: &Scope,
    from: Instant,
    to: Instant,
) -> Result<Vec<InspectionRow>> {
    Ok(inspections::table
        .filter(
            inspections::site_id
                .eq(scope.site_id())
                .and(inspections::seen_at.ge(from))
                .and(inspections::seen_at.lt(to)),
        )
        .order((inspections::court_id, inspections::seen_at, inspections::id))
        .select(InspectionRow::as_select())
        .load(conn)?)
}
