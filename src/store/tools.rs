//! Tools, their classes, the parts of tools and courts that wear, and the readings of those.

use chrono::NaiveDate;
use diesel::prelude::*;
use serde::{Deserialize, Serialize};
use trade::grooming::{Pulled, Strength, ToolAction};
use trade::wear::Doubt;

use super::columns::{Word, words};
use super::db::Conn;
use super::schema::{order_tools, readings, tool_classes, tools, wear_parts, work_orders};
use super::wear::ReadingState;
use super::{Instant, Page, Paged, Result, Scope};

words! {
    /// Whether a tool can be taken along.
    ToolState {
        /// It can.
        InService = "in_service",
        /// It cannot: broken, lent, laid up.
        OutOfService = "out_of_service",
    }
}

words! {
    /// What wears. Brushes have readings, a limit and a life; the others are judged by eye.
    WearPartKind {
        /// The brush of a drag or broom.
        Brush = "brush",
        /// The brush of a line sweeper.
        SweeperBrush = "sweeper_brush",
        /// The strap that holds the net down in the middle.
        CentreStrap = "centre_strap",
        /// The net.
        Net = "net",
        /// The band along the top of the net.
        Headband = "headband",
        /// The cable the net hangs on.
        Cable = "cable",
        /// The tape of the lines.
        LineTape = "line_tape",
        /// The screen on the fence.
        Windscreen = "windscreen",
    }
}

words! {
    /// Why a part was taken off.
    TakenOff {
        /// It was at its limit, or the eye said so.
        WornOut = "worn_out",
        /// It gave out in the round.
        Broke = "broke",
        /// Before either.
        InTime = "in_time",
        /// Its tool was retired.
        ToolRetired = "tool_retired",
    }
}

/// A kind of tool, from the site's own list.
#[derive(Clone, Debug, Queryable, Selectable, Serialize, utoipa::ToSchema)]
#[diesel(table_name = tool_classes)]
#[schema(as = ToolClass)]
pub struct ToolClassRow {
    /// Id.
    pub id: i64,
    /// The site's own code.
    pub code: String,
    /// Name.
    pub name: String,
    /// What it does.
    #[schema(value_type = String, example = "smooths")]
    pub action: Word<ToolAction>,
    /// How strongly: light, medium or strong; null where that says nothing.
    #[schema(value_type = Option<String>, example = "medium")]
    pub strength: Option<Word<Strength>>,
    /// How wide it works, mm.
    pub width_mm: Option<i64>,
    /// Rows of its brush.
    pub brush_rows: Option<i64>,
    /// Length of its bristles when new, µm.
    pub bristle_um: Option<i64>,
    /// What its wearing part costs, cents.
    pub wear_cents: i64,
    /// Over how many uses that cost is spread.
    pub wear_uses: i64,
    /// How it is pulled: on foot or towed.
    #[schema(value_type = String, example = "on_foot")]
    pub pulled: Word<Pulled>,
}

/// One numbered tool.
#[derive(Clone, Debug, Queryable, Selectable, Serialize, Deserialize, utoipa::ToSchema)]
#[diesel(table_name = tools)]
#[schema(as = Tool)]
pub struct ToolRow {
    /// Id.
    pub id: i64,
    /// Its class.
    pub tool_class_id: i64,
    /// The number on it.
    pub number: String,
    /// Whether it can be taken along.
    pub state: ToolState,
    /// Its first day.
    pub in_service_from: NaiveDate,
    /// When it was retired; null while it is kept.
    pub retired_on: Option<NaiveDate>,
    /// Version.
    pub version: i64,
}

/// A part of a tool or court that wears and is changed.
#[derive(Clone, Debug, Queryable, Selectable, Serialize, Deserialize, utoipa::ToSchema)]
#[diesel(table_name = wear_parts)]
#[schema(as = WearPart)]
pub struct WearPartRow {
    /// Id.
    pub id: i64,
    /// The tool it is on, or null.
    pub tool_id: Option<i64>,
    /// The court it is on, or null.
    pub court_id: Option<i64>,
    /// What it is.
    pub kind: WearPartKind,
    /// Its length when new, µm; null where it is judged by eye.
    pub start_um: Option<i64>,
    /// The length at which it is worn out, µm.
    pub limit_um: Option<i64>,
    /// When it was fitted.
    pub fitted_on: NaiveDate,
    /// When it was taken off; null while it is on.
    pub retired_on: Option<NaiveDate>,
    /// Why it was taken off.
    pub retired_why: Option<TakenOff>,
    /// The part it took the place of.
    pub follows_id: Option<i64>,
    /// What it cost, cents; null where it runs at its tool class's flat rate.
    pub cost_cents: Option<i64>,
    /// What was booked of that so far, cents.
    pub booked_cents: i64,
}

/// One measured length of a wear part on a day.
#[derive(Clone, Debug, Queryable, Selectable, Serialize, Deserialize, utoipa::ToSchema)]
#[diesel(table_name = readings)]
#[schema(as = Reading)]
pub struct ReadingRow {
    /// Id.
    pub id: i64,
    /// The part.
    pub wear_part_id: i64,
    /// The day it was measured.
    pub measured_on: NaiveDate,
    /// How long it was, µm.
    pub length_um: i64,
    /// The order it was measured on, or null.
    pub order_id: Option<i64>,
    /// The user who sent it.
    pub user_id: Option<i64>,
    /// When it was booked.
    pub booked_at: Instant,
    /// How much the part had been used then, by what it was used on, mm.
    pub used_mm: i64,
    /// Whether it counts.
    pub state: ReadingState,
    /// What speaks against it, or spoke against it.
    #[schema(value_type = Option<String>, example = "too_long")]
    pub doubt: Option<Word<Doubt>>,
}

/// The site's tool classes.
pub fn tool_class_list(conn: &mut Conn, scope: &Scope, page: Page) -> Result<Paged<ToolClassRow>> {
    let rows = tool_classes::table
        .filter(
            tool_classes::site_id
                .eq(scope.site_id())
                .and(tool_classes::id.gt(page.after)),
        )
        .order(tool_classes::id)
        .limit(page.fetch())
        .select(ToolClassRow::as_select())
        .load(conn)?;
    Ok(page.of(rows, |class| class.id))
}

/// One of them.
pub fn tool_class_read(conn: &mut Conn, scope: &Scope, id: i64) -> Result<ToolClassRow> {
    Ok(tool_classes::table
        .filter(
            tool_classes::site_id
                .eq(scope.site_id())
                .and(tool_classes::id.eq(id)),
        )
        .select(ToolClassRow::as_select())
        .first(conn)?)
}

/// The site's tools.
pub fn tool_list(conn: &mut Conn, scope: &Scope, page: Page) -> Result<Paged<ToolRow>> {
    let rows = tools::table
        .filter(
            tools::site_id
                .eq(scope.site_id())
                .and(tools::id.gt(page.after)),
        )
        .order(tools::id)
        .limit(page.fetch())
        .select(ToolRow::as_select())
        .load(conn)?;
    Ok(page.of(rows, |tool| tool.id))
}

/// One tool of the site.
pub fn tool_read(conn: &mut Conn, scope: &Scope, id: i64) -> Result<ToolRow> {
    Ok(tools::table
        .filter(tools::site_id.eq(scope.site_id()).and(tools::id.eq(id)))
        .select(ToolRow::as_select())
        .first(conn)?)
}

/// The site's wear parts, those that were taken off among them.
pub fn wear_part_list(conn: &mut Conn, scope: &Scope, page: Page) -> Result<Paged<WearPartRow>> {
    let rows = wear_parts::table
        .filter(
            wear_parts::site_id
                .eq(scope.site_id())
                .and(wear_parts::id.gt(page.after)),
        )
        .order(wear_parts::id)
        .limit(page.fetch())
        .select(WearPartRow::as_select())
        .load(conn)?;
    Ok(page.of(rows, |part| part.id))
}

/// One wear part of the site.
pub fn wear_part_read(conn: &mut Conn, scope: &Scope, id: i64) -> Result<WearPartRow> {
    Ok(wear_parts::table
        .filter(
            wear_parts::site_id
                .eq(scope.site_id())
                .and(wear_parts::id.eq(id)),
        )
        .select(WearPartRow::as_select())
        .first(conn)?)
}

/// The site's readings that were not taken back, of one part where it is given, in the order in which they were booked.
pub fn reading_list(
    conn: &mut Conn,
    scope: &Scope,
    wear_part_id: Option<i64>,
    page: Page,
) -> Result<Paged<ReadingRow>> {
    let mut query = readings::table
        .filter(
            readings::site_id
                .eq(scope.site_id())
                .and(readings::taken_back_at.is_null())
                .and(readings::id.gt(page.after)),
        )
        .into_boxed();
    if let Some(part) = wear_part_id {
        query = query.filter(readings::wear_part_id.eq(part));
    }
    let rows = query
        .order(readings::id)
        .limit(page.fetch())
        .select(ReadingRow::as_select())
        .load(conn)?;
    Ok(page.of(rows, |reading| reading.id))
}

/// One reading of the site.
pub fn reading_read(conn: &mut Conn, scope: &Scope, id: i64) -> Result<ReadingRow> {
    Ok(readings::table
        .filter(
            readings::site_id
                .eq(scope.site_id())
                .and(readings::id.eq(id)),
        )
        .select(ReadingRow::as_select())
        .first(conn)?)
}

/// Which reading of a part is its newest that counts: of the last day, and of those the last booked.
macro_rules! newest_reading {
    ($scope:expr, $part:expr) => {{
        let other = diesel::alias!(readings as other);
        other
            .filter(
                other
                    .field(readings::site_id)
                    .eq($scope.site_id())
                    .and(other.field(readings::wear_part_id).eq($part))
                    .and(other.field(readings::taken_back_at).is_null())
                    .and(other.field(readings::state).eq(ReadingState::Standing)),
            )
            .order((
                other.field(readings::measured_on).desc(),
                other.field(readings::id).desc(),
            ))
            .select(other.field(readings::id))
            .limit(1)
            .single_value()
    }};
}
pub(super) use newest_reading;

/// A brush of a tool that was last measured at its limit or below.
#[derive(Clone, Debug, Queryable)]
pub struct BrushAtLimit {
    /// The tool.
    pub tool_id: i64,
    /// The number on it.
    pub number: String,
    /// Its class.
    pub tool_class_id: i64,
    /// What the site calls the class.
    pub class_name: String,
    /// The day of the last reading.
    pub measured_on: NaiveDate,
    /// How long the brush was then, µm.
    pub length_um: i64,
    /// The length at which it is worn out, µm.
    pub limit_um: Option<i64>,
}

/// The brushes of the site's tools that are worn out by their last reading, by the tool's number.
pub fn brushes_at_limit(conn: &mut Conn, scope: &Scope) -> Result<Vec<BrushAtLimit>> {
    let newest = newest_reading!(scope, readings::wear_part_id);
    let brushes = [WearPartKind::Brush, WearPartKind::SweeperBrush];
    Ok(readings::table
        .inner_join(wear_parts::table.inner_join(tools::table.inner_join(tool_classes::table)))
        .filter(
            readings::site_id
                .eq(scope.site_id())
                .and(wear_parts::kind.eq_any(brushes))
                .and(wear_parts::retired_on.is_null())
                .and(readings::length_um.nullable().le(wear_parts::limit_um))
                .and(readings::id.nullable().eq(newest)),
        )
        .order((tools::number, tools::id))
        .select((
            tools::id,
            tools::number,
            tools::tool_class_id,
            tool_classes::name,
            readings::measured_on,
            readings::length_um,
            wear_parts::limit_um,
        ))
        .load(conn)?)
}

/// How often each tool was used on the orders of `from` and later.
pub fn tool_uses_since(
    conn: &mut Conn,
    scope: &Scope,
    from: NaiveDate,
) -> Result<Vec<(i64, Option<i64>)>> {
    let sum = diesel::dsl::sql::<diesel::sql_types::Nullable<diesel::sql_types::BigInt>>(
        "CAST(SUM(order_tools.uses) AS BIGINT)",
    );
    Ok(order_tools::table
        .inner_join(work_orders::table)
        .filter(
            order_tools::site_id
                .eq(scope.site_id())
                .and(order_tools::uses.is_not_null())
                .and(work_orders::work_date.ge(from)),
        )
        .group_by(order_tools::tool_id)
        .select((order_tools::tool_id, sum))
        .load(conn)?)
}

/// The newest reading of each of these parts that has one: of the last day, and of those the last
/// booked.
pub fn newest_readings(conn: &mut Conn, scope: &Scope, parts: &[i64]) -> Result<Vec<ReadingRow>> {
    let newest = newest_reading!(scope, readings::wear_part_id);
    Ok(readings::table
        .filter(
            readings::site_id
                .eq(scope.site_id())
                .and(readings::wear_part_id.eq_any(parts))
                .and(readings::id.nullable().eq(newest)),
        )
        .select(ReadingRow::as_select())
        .load(conn)?)
}
