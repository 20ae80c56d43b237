//! How much parts were used: each use, and what it comes to on the part and on its readings.

use std::collections::BTreeMap;

use chrono::NaiveDate;
use diesel::prelude::*;
use serde::{Deserialize, Serialize};

use crate::store::db::{Conn, Tx};
use crate::store::dialect::each_backend;
use crate::store::orders::{Direction, OrderState};
use crate::store::schema::{order_tools, part_uses, readings, tools, wear_parts, work_orders};
use crate::store::tools::{WearPartKind, WearPartRow};
use crate::store::{Instant, Page, Paged, Result, Scope};

/// What is tightened each time the net goes up.
pub const TIGHTENED: [WearPartKind; 2] = [WearPartKind::CentreStrap, WearPartKind::Cable];

/// Use of a part, to be added.
#[derive(Clone, Debug, Insertable)]
#[diesel(table_name = part_uses, treat_none_as_default_value = false)]
pub struct NewPartUse {
    /// The site.
    pub site_id: i64,
    /// Its number in the site's sequence.
    pub seq: i64,
    /// The part.
    pub wear_part_id: i64,
    /// The court it was used on, where that is known.
    pub court_id: Option<i64>,
    /// The order, or none where it was told by hand.
    pub order_id: Option<i64>,
    /// The site's own date.
    pub work_date: NaiveDate,
    /// How far, mm; below nothing where it is taken back.
    pub use_mm: i64,
    /// The same by what it was used on, mm.
    pub weighed_mm: i64,
    /// How often it was tightened.
    pub tightenings: i64,
    /// What is said with it.
    pub note: Option<String>,
    /// Who told it.
    pub user_id: Option<i64>,
    /// When it is booked.
    pub booked_at: Instant,
    /// The use it takes back.
    pub reverses_id: Option<i64>,
    /// The client's own key of it.
    pub client_key: Option<String>,
}

/// Use of a part.
#[derive(Clone, Debug, Queryable, Selectable, Serialize, Deserialize, utoipa::ToSchema)]
#[diesel(table_name = part_uses)]
#[schema(as = PartUse)]
pub struct PartUseRow {
    /// Id.
    pub id: i64,
    /// The part.
    pub wear_part_id: i64,
    /// The court it was used on, where that is known.
    pub court_id: Option<i64>,
    /// The order; null where it was told by hand.
    pub order_id: Option<i64>,
    /// The site's own date.
    pub work_date: NaiveDate,
    /// How far, mm; below nothing where it is taken back.
    pub use_mm: i64,
    /// The same by what it was used on, mm.
    pub weighed_mm: i64,
    /// How often it was tightened.
    pub tightenings: i64,
    /// What was said with it.
    pub note: Option<String>,
    /// The use it takes back.
    pub reverses_id: Option<i64>,
}

/// Adds use of parts. What the parts had been used when they were measured on that day or later follows.
pub fn part_uses_add(tx: &mut Tx<'_>, scope: &Scope, uses: &[NewPartUse]) -> Result<()> {
    if uses.is_empty() {
        return Ok(());
    }
    each_backend!(tx.conn(), conn => {
        diesel::insert_into(part_uses::table).values(uses).execute(conn)
    })?;
    // An order on a whole bank uses a part on each of its courts: the part is told once.
    let mut sums: BTreeMap<(i64, NaiveDate), i64> = BTreeMap::new();
    for one in uses {
        *sums.entry((one.wear_part_id, one.work_date)).or_default() += one.weighed_mm;
    }
    for ((part, from), more) in sums {
        diesel::update(
            wear_parts::table.filter(
                wear_parts::site_id
                    .eq(scope.site_id())
                    .and(wear_parts::id.eq(part)),
            ),
        )
        .set(wear_parts::used_mm.eq(wear_parts::used_mm + more))
        .execute(tx.conn())?;
        diesel::update(
            readings::table.filter(
                readings::site_id
                    .eq(scope.site_id())
                    .and(readings::wear_part_id.eq(part))
                    .and(readings::measured_on.ge(from)),
            ),
        )
        .set(readings::used_mm.eq(readings::used_mm + more))
        .execute(tx.conn())?;
    }
    Ok(())
}

/// Adds use of many parts at once, as when a site's past is laid; what was used until when is summed up anew.
pub fn part_uses_lay(tx: &mut Tx<'_>, scope: &Scope, uses: &[NewPartUse]) -> Result<()> {
    for some in uses.chunks(1_000) {
        each_backend!(tx.conn(), conn => {
            diesel::insert_into(part_uses::table).values(some).execute(conn)
        })?;
    }
    let site = scope.site_id();
    for statement in [
        format!(
            "UPDATE wear_parts SET used_mm = (SELECT COALESCE(CAST(SUM(weighed_mm) AS BIGINT), 0) FROM part_uses
                WHERE part_uses.site_id = {site} AND part_uses.wear_part_id = wear_parts.id) WHERE site_id = {site}"
        ),
        format!(
            "UPDATE readings SET used_mm = (SELECT COALESCE(CAST(SUM(weighed_mm) AS BIGINT), 0) FROM part_uses
                WHERE part_uses.site_id = {site} AND part_uses.wear_part_id = readings.wear_part_id
                AND part_uses.work_date <= readings.measured_on) WHERE site_id = {site}"
        ),
    ] {
        diesel::sql_query(statement).execute(tx.conn())?;
    }
    Ok(())
}

/// Takes the use of an order back: each row by a further one.
pub fn part_uses_reverse(tx: &mut Tx<'_>, scope: &Scope, order_id: i64) -> Result<()> {
    let back = diesel::alias!(part_uses as back);
    let taken_back = back
        .filter(back.field(part_uses::site_id).eq(scope.site_id()))
        .filter(
            back.field(part_uses::reverses_id)
                .eq(part_uses::id.nullable()),
        );
    let standing: Vec<PartUseRow> = part_uses::table
        .filter(
            part_uses::site_id
                .eq(scope.site_id())
                .and(part_uses::order_id.eq(order_id))
                .and(part_uses::reverses_id.is_null()),
        )
        .filter(diesel::dsl::not(diesel::dsl::exists(taken_back)))
        .order(part_uses::id)
        .select(PartUseRow::as_select())
        .load(tx.conn())?;
    let booked_at = tx.now();
    let back: Vec<NewPartUse> = standing
        .into_iter()
        .map(|one| NewPartUse {
            site_id: scope.site_id(),
            seq: tx.next_seq(),
            wear_part_id: one.wear_part_id,
            court_id: one.court_id,
            order_id: one.order_id,
            work_date: one.work_date,
            use_mm: -one.use_mm,
            weighed_mm: -one.weighed_mm,
            tightenings: -one.tightenings,
            note: None,
            user_id: None,
            booked_at,
            reverses_id: Some(one.id),
            client_key: None,
        })
        .collect();
    part_uses_add(tx, scope, &back)
}

/// The use of a part, in the order in which it was booked.
pub fn part_use_list(
    conn: &mut Conn,
    scope: &Scope,
    wear_part_id: i64,
    page: Page,
) -> Result<Paged<PartUseRow>> {
    let rows = part_uses::table
        .filter(
            part_uses::site_id
                .eq(scope.site_id())
                .and(part_uses::wear_part_id.eq(wear_part_id))
                .and(part_uses::id.gt(page.after)),
        )
        .order(part_uses::id)
        .limit(page.fetch())
        .select(PartUseRow::as_select())
        .load(conn)?;
    Ok(page.of(rows, |one: &PartUseRow| one.id))
}

/// The use of a part that was booked last.
pub fn part_use_newest(conn: &mut Conn, scope: &Scope, wear_part_id: i64) -> Result<PartUseRow> {
    Ok(part_uses::table
        .filter(
            part_uses::site_id
                .eq(scope.site_id())
                .and(part_uses::wear_part_id.eq(wear_part_id)),
        )
        .order(part_uses::id.desc())
        .select(PartUseRow::as_select())
        .first(conn)?)
}

/// A tool that was used on an order that is given back.
#[derive(Clone, Debug, Queryable)]
pub struct ToolTaken {
    /// The order.
    pub order_id: i64,
    /// The tool.
    pub tool_id: i64,
    /// How often it was used.
    pub uses: i64,
    /// The order's court.
    pub court_id: Option<i64>,
    /// Or its bank.
    pub bank_id: Option<i64>,
    /// The site's own date.
    pub work_date: NaiveDate,
    /// Which way the court was groomed, where it was.
    pub direction: Option<Direction>,
    /// Code of the class it was groomed with.
    pub groom_class: Option<String>,
}

/// Every tool that was used on an order, in the order of their dates.
pub fn tools_taken(conn: &mut Conn, scope: &Scope) -> Result<Vec<ToolTaken>> {
    Ok(order_tools::table
        .inner_join(work_orders::table)
        .filter(
            order_tools::site_id
                .eq(scope.site_id())
                .and(order_tools::uses.gt(0)),
        )
        .order((
            work_orders::work_date,
            work_orders::id,
            order_tools::tool_id,
        ))
        .select((
            work_orders::id,
            order_tools::tool_id,
            order_tools::uses.assume_not_null(),
            work_orders::court_id,
            work_orders::bank_id,
            work_orders::work_date,
            work_orders::direction,
            work_orders::groom_class,
        ))
        .load(conn)?)
}

/// How much each part of the site was used from a date on, weighed, mm.
pub fn part_uses_since(
    conn: &mut Conn,
    scope: &Scope,
    from: NaiveDate,
) -> Result<Vec<(i64, Option<i64>)>> {
    let sum = diesel::dsl::sql::<diesel::sql_types::Nullable<diesel::sql_types::BigInt>>(
        "CAST(SUM(part_uses.weighed_mm) AS BIGINT)",
    );
    Ok(part_uses::table
        .filter(
            part_uses::site_id
                .eq(scope.site_id())
                .and(part_uses::work_date.ge(from)),
        )
        .group_by(part_uses::wear_part_id)
        .select((part_uses::wear_part_id, sum))
        .load(conn)?)
}

/// A part whose use is counted.
#[derive(Clone, Copy, Debug, Queryable)]
pub struct Counted {
    /// The part.
    pub id: i64,
    /// The tool it is on; none where it is on a court.
    pub tool_id: Option<i64>,
    /// The court it is on.
    pub court_id: Option<i64>,
}

/// The measured parts that these tools have on a date, and the straps and cables of these courts: of that day a part was
/// changed on, the new one.
pub fn parts_counted(
    conn: &mut Conn,
    scope: &Scope,
    (of_tools, of_courts): (&[i64], &[i64]),
    on: NaiveDate,
) -> Result<Vec<Counted>> {
    let measured = wear_parts::tool_id
        .eq_any(of_tools)
        .and(wear_parts::start_um.is_not_null());
    let tightened = wear_parts::court_id
        .eq_any(of_courts)
        .and(wear_parts::kind.eq_any(TIGHTENED));
    Ok(fitted_on!(scope, on)
        .filter(measured.assume_not_null().or(tightened.assume_not_null()))
        .order(wear_parts::id)
        .select((wear_parts::id, wear_parts::tool_id, wear_parts::court_id))
        .load(conn)?)
}

/// A measured part that is fitted to a tool.
#[derive(Clone, Debug, Queryable)]
pub struct MeasuredPart {
    /// The part.
    pub part: WearPartRow,
    /// How much it was used so far, weighed, mm.
    pub used_mm: i64,
    /// The number on its tool.
    pub number: String,
}

/// The measured parts of the site's tools that are fitted now, or one of them.
pub fn measured_parts(
    conn: &mut Conn,
    scope: &Scope,
    one: Option<i64>,
) -> Result<Vec<MeasuredPart>> {
    let mut query = wear_parts::table
        .inner_join(tools::table)
        .filter(
            wear_parts::site_id
                .eq(scope.site_id())
                .and(wear_parts::start_um.is_not_null()),
        )
        .into_boxed();
    query = match one {
        Some(id) => query.filter(wear_parts::id.eq(id)),
        None => query.filter(wear_parts::retired_on.is_null()),
    };
    Ok(query
        .order(wear_parts::id)
        .select((WearPartRow::as_select(), wear_parts::used_mm, tools::number))
        .load(conn)?)
}

/// How much a part was used until the end of a day, weighed, mm.
pub fn used_until(conn: &mut Conn, scope: &Scope, part: i64, day: NaiveDate) -> Result<i64> {
    let sum = diesel::dsl::sql::<diesel::sql_types::Nullable<diesel::sql_types::BigInt>>(
        "CAST(SUM(part_uses.weighed_mm) AS BIGINT)",
    );
    let used: Option<i64> = part_uses::table
        .filter(
            part_uses::site_id
                .eq(scope.site_id())
                .and(part_uses::wear_part_id.eq(part))
                .and(part_uses::work_date.le(day)),
        )
        .select(sum)
        .first(conn)?;
    Ok(used.unwrap_or(0))
}

/// How often a part was tightened so far.
pub fn tightenings_of(conn: &mut Conn, scope: &Scope, part: i64) -> Result<i64> {
    tightenings(conn, scope, part, None)
}

/// How often a part was tightened until the end of a day.
pub fn tightenings_until(conn: &mut Conn, scope: &Scope, part: i64, day: NaiveDate) -> Result<i64> {
    tightenings(conn, scope, part, Some(day))
}

fn tightenings(conn: &mut Conn, scope: &Scope, part: i64, until: Option<NaiveDate>) -> Result<i64> {
    let sum = diesel::dsl::sql::<diesel::sql_types::Nullable<diesel::sql_types::BigInt>>(
        "CAST(SUM(part_uses.tightenings) AS BIGINT)",
    );
    let mut of_part = part_uses::table
        .filter(
            part_uses::site_id
                .eq(scope.site_id())
                .and(part_uses::wear_part_id.eq(part)),
        )
        .into_boxed();
    if let Some(day) = until {
        of_part = of_part.filter(part_uses::work_date.le(day));
    }
    let times: Option<i64> = of_part.select(sum).first(conn)?;
    Ok(times.unwrap_or(0))
}

/// How much a part was used so far, weighed, mm.
pub fn part_used(conn: &mut Conn, scope: &Scope, part: i64) -> Result<i64> {
    Ok(wear_parts::table
        .filter(
            wear_parts::site_id
                .eq(scope.site_id())
                .and(wear_parts::id.eq(part)),
        )
        .select(wear_parts::used_mm)
        .first(conn)?)
}

/// How much the site's parts were used on each day from one on, weighed, mm.
pub fn used_by_day(
    conn: &mut Conn,
    scope: &Scope,
    from: NaiveDate,
) -> Result<Vec<(NaiveDate, Option<i64>)>> {
    let sum = diesel::dsl::sql::<diesel::sql_types::Nullable<diesel::sql_types::BigInt>>(
        "CAST(SUM(part_uses.weighed_mm) AS BIGINT)",
    );
    Ok(part_uses::table
        .filter(
            part_uses::site_id
                .eq(scope.site_id())
                .and(part_uses::work_date.ge(from)),
        )
        .group_by(part_uses::work_date)
        .order(part_uses::work_date)
        .select((part_uses::work_date, sum))
        .load(conn)?)
}

/// A tool on an order that is planned or handed out.
#[derive(Clone, Copy, Debug, Queryable)]
pub struct ToolPlanned {
    /// The tool.
    pub tool_id: i64,
    /// The date.
    pub work_date: NaiveDate,
    /// The court.
    pub court_id: Option<i64>,
    /// Or the bank.
    pub bank_id: Option<i64>,
}

/// The tools of the orders of a date and later that are not begun.
pub fn tools_planned(conn: &mut Conn, scope: &Scope, from: NaiveDate) -> Result<Vec<ToolPlanned>> {
    Ok(order_tools::table
        .inner_join(work_orders::table)
        .filter(
            order_tools::site_id
                .eq(scope.site_id())
                .and(work_orders::work_date.ge(from))
                .and(work_orders::state.eq_any([OrderState::Planned, OrderState::Issued])),
        )
        .select((
            order_tools::tool_id,
            work_orders::work_date,
            work_orders::court_id,
            work_orders::bank_id,
        ))
        .load(conn)?)
}
