//! Parts that a cost is carried for: what is booked of each, and which courts it served.

use std::collections::BTreeMap;

use chrono::NaiveDate;
use diesel::prelude::*;
use diesel::sql_types::{BigInt, Nullable};

use crate::store::db::{Conn, Tx};
use crate::store::schema::{
    cost_lines, courts, order_tools, part_uses, readings, tools, wear_parts,
};
use crate::store::tools::{TakenOff, ToolState, WearPartKind, WearPartRow};
use crate::store::{Error, Result, Scope};

/// A part that a cost is carried for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Queryable)]
pub struct CarriedPart {
    /// The part.
    pub id: i64,
    /// Its tool.
    pub tool_id: Option<i64>,
    /// Or its court.
    pub court_id: Option<i64>,
    /// Its first day.
    pub fitted_on: NaiveDate,
    /// The day it was taken off.
    pub retired_on: Option<NaiveDate>,
    /// What it cost, cents.
    pub cost_cents: i64,
    /// What is booked of it.
    pub booked: PartBooked,
}

/// How far the cost of a part is booked.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Queryable)]
pub struct PartBooked {
    /// What is booked of it, cents.
    pub booked_cents: i64,
    /// What was still to be booked when its life was last reckoned, cents.
    pub spread_cents: i64,
    /// Over how much use, from then on.
    pub spread_over: i64,
    /// The use since then.
    pub spread_used: i64,
}

/// The columns of a [`CarriedPart`], in order.
macro_rules! carried {
    () => {
        (
            wear_parts::id,
            wear_parts::tool_id,
            wear_parts::court_id,
            wear_parts::fitted_on,
            wear_parts::retired_on,
            wear_parts::cost_cents.assume_not_null(),
            (
                wear_parts::booked_cents,
                wear_parts::spread_cents,
                wear_parts::spread_over,
                wear_parts::spread_used,
            ),
        )
    };
}

/// The parts with a cost that these tools have on a date, or these courts; of the day a part was changed on, the new one.
pub fn carried_on(
    conn: &mut Conn,
    scope: &Scope,
    (tools, courts): (&[i64], &[i64]),
    on: NaiveDate,
) -> Result<Vec<CarriedPart>> {
    Ok(fitted_on!(scope, on)
        .filter(wear_parts::cost_cents.is_not_null())
        .filter(
            wear_parts::tool_id
                .eq_any(tools)
                .or(wear_parts::court_id.eq_any(courts)),
        )
        .order(wear_parts::id)
        .select(carried!())
        .load(conn)?)
}

/// A part that a cost is carried for; none where it runs at its tool class's flat rate.
pub fn carried_read(conn: &mut Conn, scope: &Scope, id: i64) -> Result<Option<CarriedPart>> {
    Ok(wear_parts::table
        .filter(
            wear_parts::site_id
                .eq(scope.site_id())
                .and(wear_parts::id.eq(id))
                .and(wear_parts::cost_cents.is_not_null()),
        )
        .select(carried!())
        .first(conn)
        .optional()?)
}

/// Keeps how far the cost of a part is booked.
pub fn carried_keep(tx: &mut Tx<'_>, scope: &Scope, id: i64, booked: &PartBooked) -> Result<()> {
    let part = wear_parts::table.filter(
        wear_parts::site_id
            .eq(scope.site_id())
            .and(wear_parts::id.eq(id)),
    );
    let changed = diesel::update(part)
        .set((
            wear_parts::booked_cents.eq(booked.booked_cents),
            wear_parts::spread_cents.eq(booked.spread_cents),
            wear_parts::spread_over.eq(booked.spread_over),
            wear_parts::spread_used.eq(booked.spread_used),
        ))
        .execute(tx.conn())?;
    if changed == 0 {
        return Err(Error::NotFound);
    }
    Ok(())
}

/// What a part did for a court.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Served {
    /// How far it was pulled there, weighed, mm.
    pub used_mm: i64,
    /// What the court bears of it, cents.
    pub cents: i64,
}

/// The courts that a part served, in order of their id.
pub fn served_by(conn: &mut Conn, scope: &Scope, part: i64) -> Result<BTreeMap<i64, Served>> {
    let used = diesel::dsl::sql::<Nullable<BigInt>>("CAST(SUM(part_uses.weighed_mm) AS BIGINT)");
    let used: Vec<(i64, Option<i64>)> = part_uses::table
        .filter(
            part_uses::site_id
                .eq(scope.site_id())
                .and(part_uses::wear_part_id.eq(part))
                .and(part_uses::court_id.is_not_null()),
        )
        .group_by(part_uses::court_id)
        .select((part_uses::court_id.assume_not_null(), used))
        .load(conn)?;
    let cents = diesel::dsl::sql::<Nullable<BigInt>>("CAST(SUM(cost_lines.cents) AS BIGINT)");
    let cents: Vec<(i64, Option<i64>)> = cost_lines::table
        .filter(
            cost_lines::site_id
                .eq(scope.site_id())
                .and(cost_lines::wear_part_id.eq(part)),
        )
        .group_by(cost_lines::court_id)
        .select((cost_lines::court_id, cents))
        .load(conn)?;
    let mut by_court: BTreeMap<i64, Served> = BTreeMap::new();
    for (court, used_mm) in used {
        by_court.entry(court).or_default().used_mm = used_mm.unwrap_or(0);
    }
    for (court, cents) in cents {
        by_court.entry(court).or_default().cents = cents.unwrap_or(0);
    }
    Ok(by_court)
}

/// How far parts were pulled on an order, weighed, mm: what stands of it.
pub fn used_on_order(conn: &mut Conn, scope: &Scope, order: i64) -> Result<Vec<(i64, i64)>> {
    let used = diesel::dsl::sql::<Nullable<BigInt>>("CAST(SUM(part_uses.weighed_mm) AS BIGINT)");
    let sums: Vec<(i64, Option<i64>)> = part_uses::table
        .filter(
            part_uses::site_id
                .eq(scope.site_id())
                .and(part_uses::order_id.eq(order)),
        )
        .group_by(part_uses::wear_part_id)
        .select((part_uses::wear_part_id, used))
        .load(conn)?;
    Ok(sums
        .into_iter()
        .map(|(part, used)| (part, used.unwrap_or(0)))
        .collect())
}

/// A part that is fitted in the place of another.
#[derive(Clone, Debug)]
pub struct NewPart {
    /// The tool it is on.
    pub tool_id: Option<i64>,
    /// Or the court.
    pub court_id: Option<i64>,
    /// What it is.
    pub kind: WearPartKind,
    /// Its length when new, µm; none where it is judged by eye.
    pub start_um: Option<i64>,
    /// The length at which it is worn out, µm.
    pub limit_um: Option<i64>,
    /// Its first day.
    pub fitted_on: NaiveDate,
    /// The part it takes the place of.
    pub follows_id: i64,
    /// What it cost, cents.
    pub cost_cents: i64,
    /// Over how much use that is spread.
    pub spread_over: i64,
}

/// Fits a part; gives its id.
pub fn part_add(tx: &mut Tx<'_>, scope: &Scope, new: &NewPart) -> Result<i64> {
    Ok(diesel::insert_into(wear_parts::table)
        .values((
            wear_parts::site_id.eq(scope.site_id()),
            wear_parts::tool_id.eq(new.tool_id),
            wear_parts::court_id.eq(new.court_id),
            wear_parts::kind.eq(new.kind),
            wear_parts::start_um.eq(new.start_um),
            wear_parts::limit_um.eq(new.limit_um),
            wear_parts::fitted_on.eq(new.fitted_on),
            wear_parts::follows_id.eq(new.follows_id),
            wear_parts::cost_cents.eq(new.cost_cents),
            wear_parts::spread_cents.eq(new.cost_cents),
            wear_parts::spread_over.eq(new.spread_over),
        ))
        .returning(wear_parts::id)
        .get_result(tx.conn())?)
}

/// Takes a part off; false where it was off already.
pub fn part_take_off(
    tx: &mut Tx<'_>,
    scope: &Scope,
    id: i64,
    (on, why): (NaiveDate, TakenOff),
) -> Result<bool> {
    let part = wear_parts::table.filter(
        wear_parts::site_id
            .eq(scope.site_id())
            .and(wear_parts::id.eq(id))
            .and(wear_parts::retired_on.is_null()),
    );
    let changed = diesel::update(part)
        .set((
            wear_parts::retired_on.eq(on),
            wear_parts::retired_why.eq(why),
        ))
        .execute(tx.conn())?;
    Ok(changed > 0)
}

/// The parts that a tool has now.
pub fn parts_of_tool(conn: &mut Conn, scope: &Scope, tool: i64) -> Result<Vec<WearPartRow>> {
    Ok(wear_parts::table
        .filter(
            wear_parts::site_id
                .eq(scope.site_id())
                .and(wear_parts::tool_id.eq(tool))
                .and(wear_parts::retired_on.is_null()),
        )
        .order(wear_parts::id)
        .select(WearPartRow::as_select())
        .load(conn)?)
}

/// How often each tool was used on an order that was given back.
pub fn tool_uses_of(conn: &mut Conn, scope: &Scope, order: i64) -> Result<Vec<(i64, i64)>> {
    Ok(order_tools::table
        .filter(
            order_tools::site_id
                .eq(scope.site_id())
                .and(order_tools::order_id.eq(order))
                .and(order_tools::uses.is_not_null()),
        )
        .select((order_tools::tool_id, order_tools::uses.assume_not_null()))
        .load(conn)?)
}

/// The last day on which a part was used or measured, by what stands.
pub fn part_last_told(conn: &mut Conn, scope: &Scope, part: i64) -> Result<Option<NaiveDate>> {
    let used: Option<NaiveDate> = part_uses::table
        .filter(
            part_uses::site_id
                .eq(scope.site_id())
                .and(part_uses::wear_part_id.eq(part)),
        )
        .select(diesel::dsl::max(part_uses::work_date))
        .first(conn)?;
    let measured: Option<NaiveDate> = readings::table
        .filter(
            readings::site_id
                .eq(scope.site_id())
                .and(readings::wear_part_id.eq(part))
                .and(readings::taken_back_at.is_null()),
        )
        .select(diesel::dsl::max(readings::measured_on))
        .first(conn)?;
    Ok(used.max(measured))
}

/// Retires a tool; false where it was retired before.
pub fn tool_retire(tx: &mut Tx<'_>, scope: &Scope, id: i64, on: NaiveDate) -> Result<bool> {
    let tool = tools::table.filter(
        tools::site_id
            .eq(scope.site_id())
            .and(tools::id.eq(id))
            .and(tools::retired_on.is_null()),
    );
    let changed = diesel::update(tool)
        .set((
            tools::retired_on.eq(on),
            tools::state.eq(ToolState::OutOfService),
            tools::version.eq(tools::version + 1),
        ))
        .execute(tx.conn())?;
    Ok(changed > 0)
}

/// The part that took the place of another.
pub fn part_after(conn: &mut Conn, scope: &Scope, id: i64) -> Result<Option<i64>> {
    Ok(wear_parts::table
        .filter(
            wear_parts::site_id
                .eq(scope.site_id())
                .and(wear_parts::follows_id.eq(id)),
        )
        .select(wear_parts::id)
        .first(conn)
        .optional()?)
}

/// A part with what it is on, fitted or taken off.
#[derive(Clone, Debug, Queryable)]
pub struct PartLife {
    /// The part.
    pub part: WearPartRow,
    /// How far it was pulled, weighed, mm.
    pub used_mm: i64,
    /// The class and number of its tool, where it is on one that is kept.
    pub tool: Option<(i64, String)>,
    /// The name of its court.
    pub court: Option<String>,
}

/// All parts the site ever had, in order of their id.
pub fn part_lives(conn: &mut Conn, scope: &Scope) -> Result<Vec<PartLife>> {
    Ok(wear_parts::table
        .left_join(tools::table)
        .left_join(courts::table)
        .filter(wear_parts::site_id.eq(scope.site_id()))
        .order(wear_parts::id)
        .select((
            WearPartRow::as_select(),
            wear_parts::used_mm,
            (tools::tool_class_id, tools::number).nullable(),
            courts::name.nullable(),
        ))
        .load(conn)?)
}
