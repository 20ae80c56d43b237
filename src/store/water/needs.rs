//! How much night water a plan gives each court, and why.

use diesel::prelude::*;

use crate::store::columns::{Json, json};
use crate::store::dialect::each_backend;
use crate::store::schema::{courts, water_needs};
use crate::store::{Conn, Result, Scope, Tx};

/// What a plan gives a court.
#[derive(Clone, Debug)]
pub struct NewNeed {
    /// The plan.
    pub day_plan_id: i64,
    /// The court.
    pub court_id: i64,
    /// Its ordinary run, s.
    pub base_s: i64,
    /// Its run that night, s.
    pub run_s: i64,
    /// Thousandths of the ordinary run.
    pub permille: i64,
    /// The reasons, as JSON.
    pub why: serde_json::Value,
    /// What all its cycles come to, ml.
    pub wanted_ml: i64,
    /// What it stays short of, ml.
    pub short_ml: i64,
    /// Why it stays short.
    pub short_why: Option<String>,
}

/// The same as it is read back.
#[derive(Clone, Debug, Queryable)]
pub struct NeedRow {
    /// The court.
    pub court_id: i64,
    /// Its name.
    pub court: String,
    /// Its ordinary run, s.
    pub base_s: i64,
    /// Its run that night, s.
    pub run_s: i64,
    /// Thousandths of the ordinary run.
    pub permille: i64,
    /// The reasons.
    pub why: Json<serde_json::Value>,
    /// What all its cycles come to, ml.
    pub wanted_ml: i64,
    /// What it stays short of, ml.
    pub short_ml: i64,
    /// Why it stays short.
    pub short_why: Option<String>,
}

/// Keeps what a plan gives the courts.
pub fn needs_add(tx: &mut Tx<'_>, scope: &Scope, needs: &[NewNeed]) -> Result<()> {
    let rows = needs
        .iter()
        .map(|need| {
            Ok((
                water_needs::site_id.eq(scope.site_id()),
                water_needs::day_plan_id.eq(need.day_plan_id),
                water_needs::court_id.eq(need.court_id),
                water_needs::base_s.eq(need.base_s),
                water_needs::run_s.eq(need.run_s),
                water_needs::permille.eq(need.permille),
                water_needs::why.eq(json(&need.why)?),
                water_needs::wanted_ml.eq(need.wanted_ml),
                water_needs::short_ml.eq(need.short_ml),
                water_needs::short_why.eq(&need.short_why),
            ))
        })
        .collect::<Result<Vec<_>>>()?;
    let insert = diesel::insert_into(water_needs::table).values(rows);
    each_backend!(tx.conn(), inner => insert.execute(inner))?;
    Ok(())
}

/// What a plan gives the courts, in their order.
pub fn needs_of(conn: &mut Conn, scope: &Scope, plan: i64) -> Result<Vec<NeedRow>> {
    Ok(water_needs::table
        .inner_join(courts::table)
        .filter(
            water_needs::site_id
                .eq(scope.site_id())
                .and(water_needs::day_plan_id.eq(plan)),
        )
        .order((courts::position, courts::id))
        .select((
            water_needs::court_id,
            courts::name,
            water_needs::base_s,
            water_needs::run_s,
            water_needs::permille,
            water_needs::why,
            water_needs::wanted_ml,
            water_needs::short_ml,
            water_needs::short_why,
        ))
        .load(conn)?)
}
