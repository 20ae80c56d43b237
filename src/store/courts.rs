//! Banks and courts.

use chrono::NaiveDate;
use diesel::prelude::*;
use serde::Serialize;

use super::columns::words;
use super::db::{Conn, Tx};
use super::schema::{banks, courts};
use super::{Error, Page, Paged, Result, Scope};

words! {
    /// How a court gets its water.
    Watering {
        /// Sprinkler heads around the court.
        Sprinkler = "sprinkler",
        /// From below, all the time.
        Subsurface = "subsurface",
        /// By hose.
        Hand = "hand",
    }
}

words! {
    /// What the lines are.
    Lines {
        /// Nailed tape.
        Tape = "tape",
        /// Paint.
        Painted = "painted",
    }
}

/// Courts side by side that share a fence and a supply line.
#[derive(Clone, Debug, Queryable, Selectable, Serialize, utoipa::ToSchema)]
#[diesel(table_name = banks)]
#[schema(as = Bank)]
pub struct BankRow {
    /// Id.
    pub id: i64,
    /// Name.
    pub name: String,
    /// Place in lists.
    pub position: i64,
    /// Its supply line.
    pub line_name: String,
    /// What the line carries at once, ml/s.
    pub line_capacity_mlps: i64,
    /// Where its gate stands on the site's plan, mm east.
    pub x_mm: i64,
    /// Where its gate stands on the site's plan, mm north.
    pub y_mm: i64,
    /// Version.
    pub version: i64,
}

/// A court.
#[derive(Clone, Debug, Queryable, Selectable, Serialize, utoipa::ToSchema)]
#[diesel(table_name = courts)]
#[schema(as = Court)]
pub struct CourtRow {
    /// Id.
    pub id: i64,
    /// Its bank.
    pub bank_id: i64,
    /// Name or number.
    pub name: String,
    /// Place in lists.
    pub position: i64,
    /// Length of the surface with its run-offs, mm.
    pub length_mm: i64,
    /// Width of the surface with its run-offs, mm.
    pub width_mm: i64,
    /// How it gets its water.
    pub watering: Watering,
    /// What its lines are.
    pub lines: Lines,
    /// When it was last resurfaced.
    pub resurfaced_on: Option<NaiveDate>,
    /// Flow of its sprinklers, ml/s.
    pub sprinkler_flow_mlps: i64,
    /// Length of a full soak, s.
    pub soak_s: i64,
    /// Spaced cycles of water a night.
    pub night_cycles: i64,
    /// Length of one of them, s.
    pub night_cycle_s: i64,
    /// Where its gate stands on the site's plan, mm east.
    pub x_mm: i64,
    /// Where its gate stands on the site's plan, mm north.
    pub y_mm: i64,
    /// Version.
    pub version: i64,
    /// Where its first-aid kit is; null where the site's setting `first_aid` says it.
    pub first_aid: Option<String>,
    /// How an ambulance is led to it; null where the site's setting `ambulance_way` says it.
    pub ambulance_way: Option<String>,
}

/// What of a court may be changed.
#[derive(Clone, Debug, AsChangeset)]
#[diesel(table_name = courts, treat_none_as_null = true)]
pub struct CourtSet {
    /// Name or number.
    pub name: String,
    /// Length of the surface with its run-offs, mm.
    pub length_mm: i64,
    /// Width of the surface with its run-offs, mm.
    pub width_mm: i64,
    /// How it gets its water.
    pub watering: Watering,
    /// What its lines are.
    pub lines: Lines,
    /// When it was last resurfaced.
    pub resurfaced_on: Option<NaiveDate>,
    /// Flow of its sprinklers, ml/s.
    pub sprinkler_flow_mlps: i64,
    /// Length of a full soak, s.
    pub soak_s: i64,
    /// Spaced cycles of water a night.
    pub night_cycles: i64,
    /// Length of one of them, s.
    pub night_cycle_s: i64,
    /// Where its first-aid kit is.
    pub first_aid: Option<String>,
    /// How an ambulance is led to it.
    pub ambulance_way: Option<String>,
}

/// Changes a court that still has `version`; else [`Error::Stale`].
pub fn court_edit(
    tx: &mut Tx<'_>,
    scope: &Scope,
    id: i64,
    version: i64,
    set: &CourtSet,
) -> Result<()> {
    let rows = diesel::update(
        courts::table.filter(
            courts::site_id
                .eq(scope.site_id())
                .and(courts::id.eq(id))
                .and(courts::version.eq(version)),
        ),
    )
    .set((set, courts::version.eq(courts::version + 1)))
    .execute(tx.conn())?;
    if rows == 0 {
        return Err(Error::Stale);
    }
    Ok(())
}

/// The site's banks.
pub fn bank_list(conn: &mut Conn, scope: &Scope, page: Page) -> Result<Paged<BankRow>> {
    let rows = banks::table
        .filter(
            banks::site_id
                .eq(scope.site_id())
                .and(banks::id.gt(page.after)),
        )
        .order(banks::id)
        .limit(page.fetch())
        .select(BankRow::as_select())
        .load(conn)?;
    Ok(page.of(rows, |bank| bank.id))
}

/// The site's courts.
pub fn court_list(conn: &mut Conn, scope: &Scope, page: Page) -> Result<Paged<CourtRow>> {
    let rows = courts::table
        .filter(
            courts::site_id
                .eq(scope.site_id())
                .and(courts::id.gt(page.after)),
        )
        .order(courts::id)
        .limit(page.fetch())
        .select(CourtRow::as_select())
        .load(conn)?;
    Ok(page.of(rows, |court| court.id))
}

/// One court of the site.
pub fn court_read(conn: &mut Conn, scope: &Scope, id: i64) -> Result<CourtRow> {
    Ok(courts::table
        .filter(courts::site_id.eq(scope.site_id()).and(courts::id.eq(id)))
        .select(CourtRow::as_select())
        .first(conn)?)
}
