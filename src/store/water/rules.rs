//! The rules that water runs by.

use diesel::prelude::*;
use serde::Serialize;

use crate::store::columns::{Json, json, words};
use crate::store::schema::water_rules;
use crate::store::{Conn, Error, Page, Paged, Result, Scope, Tx};

words! {
    /// What a rule of water says.
    RuleKind {
        /// Hours in which a bank's line is free.
        LineFree = "line_free",
        /// Hours in which local rules let water run.
        LocalHours = "local_hours",
        /// How much may be taken a day.
        Allowance = "allowance",
    }
}

/// A rule of water.
#[derive(Clone, Debug, Queryable, Selectable, Serialize, utoipa::ToSchema)]
#[diesel(table_name = water_rules)]
#[schema(as = WaterRule)]
pub struct RuleRow {
    /// Id.
    pub id: i64,
    /// The bank whose line it holds for; null where it holds for the whole site.
    pub bank_id: Option<i64>,
    /// What the site calls it.
    pub name: String,
    /// What it says.
    pub kind: RuleKind,
    /// On which weekdays it holds: 1 Monday to 7 Sunday. Hours past midnight belong to the day they start on.
    #[schema(value_type = Vec<i64>)]
    pub weekdays: Json<Vec<i64>>,
    /// From which local time, HH:MM.
    pub from_time: Option<String>,
    /// Until which local time, HH:MM; on the next day where it is not after the first.
    pub until_time: Option<String>,
    /// How much may be taken a day, ml.
    pub ml_a_day: Option<i64>,
    /// Version.
    pub version: i64,
}

/// A rule as it is told.
#[derive(Clone, Debug)]
pub struct NewRule {
    /// The bank, or the whole site.
    pub bank_id: Option<i64>,
    /// What the site calls it.
    pub name: String,
    /// What it says.
    pub kind: RuleKind,
    /// On which weekdays it holds.
    pub weekdays: Vec<i64>,
    /// From which local time.
    pub from_time: Option<String>,
    /// Until which local time.
    pub until_time: Option<String>,
    /// How much may be taken a day, ml.
    pub ml_a_day: Option<i64>,
}

/// The site's rules.
pub fn rule_list(conn: &mut Conn, scope: &Scope, page: Page) -> Result<Paged<RuleRow>> {
    let rows = water_rules::table
        .filter(
            water_rules::site_id
                .eq(scope.site_id())
                .and(water_rules::id.gt(page.after)),
        )
        .order(water_rules::id)
        .limit(page.fetch())
        .select(RuleRow::as_select())
        .load(conn)?;
    Ok(page.of(rows, |rule| rule.id))
}

/// All of the site's rules.
pub fn rule_list_all(conn: &mut Conn, scope: &Scope) -> Result<Vec<RuleRow>> {
    Ok(rule_list(conn, scope, Page::ALL)?.items)
}

/// One rule.
pub fn rule_read(conn: &mut Conn, scope: &Scope, id: i64) -> Result<RuleRow> {
    Ok(water_rules::table
        .filter(
            water_rules::site_id
                .eq(scope.site_id())
                .and(water_rules::id.eq(id)),
        )
        .select(RuleRow::as_select())
        .first(conn)?)
}

/// Adds a rule; gives its id.
pub fn rule_add(conn: &mut Conn, scope: &Scope, rule: &NewRule) -> Result<i64> {
    Ok(diesel::insert_into(water_rules::table)
        .values((
            water_rules::site_id.eq(scope.site_id()),
            water_rules::bank_id.eq(rule.bank_id),
            water_rules::name.eq(&rule.name),
            water_rules::kind.eq(rule.kind),
            water_rules::weekdays.eq(json(&rule.weekdays)?),
            water_rules::from_time.eq(&rule.from_time),
            water_rules::until_time.eq(&rule.until_time),
            water_rules::ml_a_day.eq(rule.ml_a_day),
            water_rules::version.eq(1),
        ))
        .returning(water_rules::id)
        .get_result(conn)?)
}

/// Changes a rule that still has `version`; else [`Error::Stale`].
pub fn rule_change(
    tx: &mut Tx<'_>,
    scope: &Scope,
    id: i64,
    version: i64,
    rule: &NewRule,
) -> Result<()> {
    let rows = diesel::update(
        water_rules::table.filter(
            water_rules::site_id
                .eq(scope.site_id())
                .and(water_rules::id.eq(id))
                .and(water_rules::version.eq(version)),
        ),
    )
    .set((
        water_rules::bank_id.eq(rule.bank_id),
        water_rules::name.eq(&rule.name),
        water_rules::kind.eq(rule.kind),
        water_rules::weekdays.eq(json(&rule.weekdays)?),
        water_rules::from_time.eq(&rule.from_time),
        water_rules::until_time.eq(&rule.until_time),
        water_rules::ml_a_day.eq(rule.ml_a_day),
        water_rules::version.eq(water_rules::version + 1),
    ))
    .execute(tx.conn())?;
    if rows == 0 { Err(Error::Stale) } else { Ok(()) }
}

/// Takes a rule away.
pub fn rule_remove(tx: &mut Tx<'_>, scope: &Scope, id: i64) -> Result<()> {
    diesel::delete(
        water_rules::table.filter(
            water_rules::site_id
                .eq(scope.site_id())
                .and(water_rules::id.eq(id)),
        ),
    )
    .execute(tx.conn())?;
    Ok(())
}
