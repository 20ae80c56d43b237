//! Valves, and the courts each of them wets.

use diesel::prelude::*;
use serde::Serialize;

use crate::store::columns::words;
use crate::store::dialect::each_backend;
use crate::store::schema::{valve_courts, valves};
use crate::store::{Conn, Error, Page, Paged, Result, Scope, Tx};

words! {
    /// How a valve is opened.
    Opened {
        /// By the controller, at the minute.
        Controller = "controller",
        /// By somebody who opens it and comes back to close it.
        ByHand = "by_hand",
        /// By somebody who stands there with the hose throughout.
        Hose = "hose",
    }
}

/// What lets water onto one court or several.
#[derive(Clone, Debug, PartialEq, Eq, Queryable, Selectable, Serialize)]
#[diesel(table_name = valves)]
pub struct ValveRow {
    /// Id.
    pub id: i64,
    /// The bank whose line feeds it.
    pub bank_id: i64,
    /// Its name, as it stands at the controller.
    pub name: String,
    /// How it is opened.
    pub opened: Opened,
    /// What it takes while it runs, ml/s.
    pub flow_mlps: i64,
    /// Version.
    pub version: i64,
}

/// A valve as it is told.
#[derive(Clone, Debug)]
pub struct NewValve {
    /// The bank whose line feeds it.
    pub bank_id: i64,
    /// Its name.
    pub name: String,
    /// How it is opened.
    pub opened: Opened,
    /// What it takes while it runs, ml/s.
    pub flow_mlps: i64,
}

/// The site's valves in use.
pub fn valve_list(conn: &mut Conn, scope: &Scope, page: Page) -> Result<Paged<ValveRow>> {
    let rows = valves::table
        .filter(
            valves::site_id
                .eq(scope.site_id())
                .and(valves::in_use.eq(true))
                .and(valves::id.gt(page.after)),
        )
        .order(valves::id)
        .limit(page.fetch())
        .select(ValveRow::as_select())
        .load(conn)?;
    Ok(page.of(rows, |valve| valve.id))
}

/// All of the site's valves, those out of use too, for names of past runs.
pub fn valve_list_all(conn: &mut Conn, scope: &Scope) -> Result<Vec<ValveRow>> {
    Ok(valves::table
        .filter(valves::site_id.eq(scope.site_id()))
        .order(valves::id)
        .select(ValveRow::as_select())
        .load(conn)?)
}

/// One valve in use.
pub fn valve_read(conn: &mut Conn, scope: &Scope, id: i64) -> Result<ValveRow> {
    Ok(valves::table
        .filter(
            valves::site_id
                .eq(scope.site_id())
                .and(valves::id.eq(id))
                .and(valves::in_use.eq(true)),
        )
        .select(ValveRow::as_select())
        .first(conn)?)
}

/// Which courts the site's valves wet, as pairs of valve and court, in order.
pub fn valve_court_list(conn: &mut Conn, scope: &Scope) -> Result<Vec<(i64, i64)>> {
    Ok(valve_courts::table
        .filter(valve_courts::site_id.eq(scope.site_id()))
        .order((valve_courts::valve_id, valve_courts::court_id))
        .select((valve_courts::valve_id, valve_courts::court_id))
        .load(conn)?)
}

/// Adds a valve; gives its id.
pub fn valve_add(conn: &mut Conn, scope: &Scope, valve: &NewValve) -> Result<i64> {
    Ok(diesel::insert_into(valves::table)
        .values((
            valves::site_id.eq(scope.site_id()),
            valves::bank_id.eq(valve.bank_id),
            valves::name.eq(&valve.name),
            valves::opened.eq(valve.opened),
            valves::flow_mlps.eq(valve.flow_mlps),
            valves::in_use.eq(true),
            valves::version.eq(1),
        ))
        .returning(valves::id)
        .get_result(conn)?)
}

/// Changes a valve that still has `version`; else [`Error::Stale`].
pub fn valve_change(
    tx: &mut Tx<'_>,
    scope: &Scope,
    id: i64,
    version: i64,
    valve: &NewValve,
) -> Result<()> {
    let rows = diesel::update(
        valves::table.filter(
            valves::site_id
                .eq(scope.site_id())
                .and(valves::id.eq(id))
                .and(valves::version.eq(version)),
        ),
    )
    .set((
        valves::bank_id.eq(valve.bank_id),
        valves::name.eq(&valve.name),
        valves::opened.eq(valve.opened),
        valves::flow_mlps.eq(valve.flow_mlps),
        valves::version.eq(valves::version + 1),
    ))
    .execute(tx.conn())?;
    if rows == 0 { Err(Error::Stale) } else { Ok(()) }
}

/// Says which courts a valve wets.
pub fn valve_courts_set(conn: &mut Conn, scope: &Scope, valve: i64, courts: &[i64]) -> Result<()> {
    diesel::delete(
        valve_courts::table.filter(
            valve_courts::site_id
                .eq(scope.site_id())
                .and(valve_courts::valve_id.eq(valve)),
        ),
    )
    .execute(conn)?;
    let rows: Vec<_> = courts
        .iter()
        .map(|court| {
            (
                valve_courts::site_id.eq(scope.site_id()),
                valve_courts::valve_id.eq(valve),
                valve_courts::court_id.eq(*court),
            )
        })
        .collect();
    let insert = diesel::insert_into(valve_courts::table).values(rows);
    each_backend!(conn, inner => insert.execute(inner))?;
    Ok(())
}

/// Takes a valve out of use: its past runs keep its name.
pub fn valve_retire(tx: &mut Tx<'_>, scope: &Scope, id: i64) -> Result<()> {
    valve_courts_set(tx.conn(), scope, id, &[])?;
    diesel::update(
        valves::table.filter(valves::site_id.eq(scope.site_id()).and(valves::id.eq(id))),
    )
    .set((
        valves::in_use.eq(false),
        valves::version.eq(valves::version + 1),
    ))
    .execute(tx.conn())?;
    Ok(())
}
