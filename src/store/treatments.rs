//! Chemicals put on courts: append-only, for whoever asks later what was used, where and by whom.

use diesel::prelude::*;
use serde::{Deserialize, Serialize};

use super::columns::words;
use super::db::{Conn, Tx};
use super::schema::treatments;
use super::{Instant, Page, Paged, Result, Scope};

words! {
    /// What an amount is counted in.
    AmountUnit {
        /// Grams.
        Gram = "gram",
        /// Millilitres.
        Millilitre = "millilitre",
    }
}

/// A chemical that was put on.
#[derive(Clone, Debug, Queryable, Selectable, Serialize, Deserialize, utoipa::ToSchema)]
#[diesel(table_name = treatments)]
#[schema(as = Treatment)]
pub struct TreatmentRow {
    /// Id.
    pub id: i64,
    /// The work order it was part of.
    pub order_id: i64,
    /// Who put it on.
    pub person_id: i64,
    /// The product, as its label says.
    pub product: String,
    /// Its lot.
    pub lot: String,
    /// How much.
    pub amount: i64,
    /// What the amount is counted in.
    pub unit: AmountUnit,
    /// Where on the court.
    pub place: String,
    /// The wind, mm/s.
    pub wind_mmps: i64,
    /// When.
    pub applied_at: Instant,
    /// When it was told.
    pub booked_at: Instant,
    /// The most wind that the label or the standard allowed then, mm/s; null where neither said.
    pub wind_limit_mmps: Option<i64>,
    /// The row it takes back; null where it takes none back.
    pub reverses_id: Option<i64>,
}

/// A chemical that was put on, to be noted.
#[derive(Clone, Debug)]
pub struct NewTreatment {
    /// Who put it on.
    pub person_id: i64,
    /// The product, as its label says.
    pub product: String,
    /// Its lot.
    pub lot: String,
    /// How much.
    pub amount: i64,
    /// What the amount is counted in.
    pub unit: AmountUnit,
    /// Where on the court.
    pub place: String,
    /// The wind, mm/s.
    pub wind_mmps: i64,
    /// The most wind that the label or the standard allows, mm/s.
    pub wind_limit_mmps: Option<i64>,
}

/// Notes what was put on with an order.
pub fn treatment_add(
    tx: &mut Tx<'_>,
    scope: &Scope,
    order_id: i64,
    at: Instant,
    new: &NewTreatment,
) -> Result<()> {
    let (seq, now) = (tx.next_seq(), tx.now());
    diesel::insert_into(treatments::table)
        .values((
            treatments::site_id.eq(scope.site_id()),
            treatments::seq.eq(seq),
            treatments::order_id.eq(order_id),
            treatments::person_id.eq(new.person_id),
            treatments::product.eq(&new.product),
            treatments::lot.eq(&new.lot),
            treatments::amount.eq(new.amount),
            treatments::unit.eq(new.unit),
            treatments::place.eq(&new.place),
            treatments::wind_mmps.eq(new.wind_mmps),
            treatments::applied_at.eq(at),
            treatments::booked_at.eq(now),
            treatments::wind_limit_mmps.eq(new.wind_limit_mmps),
        ))
        .execute(tx.conn())?;
    Ok(())
}

/// Takes back what was noted with an order: each row by a further one.
pub fn treatments_reverse(tx: &mut Tx<'_>, scope: &Scope, order_id: i64) -> Result<()> {
    for row in treatments_of(tx.conn(), scope, &[order_id])? {
        let (seq, now) = (tx.next_seq(), tx.now());
        diesel::insert_into(treatments::table)
            .values((
                treatments::site_id.eq(scope.site_id()),
                treatments::seq.eq(seq),
                treatments::order_id.eq(row.order_id),
                treatments::person_id.eq(row.person_id),
                treatments::product.eq(&row.product),
                treatments::lot.eq(&row.lot),
                treatments::amount.eq(row.amount),
                treatments::unit.eq(row.unit),
                treatments::place.eq(&row.place),
                treatments::wind_mmps.eq(row.wind_mmps),
                treatments::applied_at.eq(row.applied_at),
                treatments::booked_at.eq(now),
                treatments::wind_limit_mmps.eq(row.wind_limit_mmps),
                treatments::reverses_id.eq(row.id),
            ))
            .execute(tx.conn())?;
    }
    Ok(())
}

/// What was put on with these orders and not taken back.
pub fn treatments_of(conn: &mut Conn, scope: &Scope, orders: &[i64]) -> Result<Vec<TreatmentRow>> {
    let back = diesel::alias!(treatments as back);
    let taken_back = back
        .filter(back.field(treatments::site_id).eq(scope.site_id()))
        .filter(
            back.field(treatments::reverses_id)
                .eq(treatments::id.nullable()),
        );
    Ok(treatments::table
        .filter(
            treatments::site_id
                .eq(scope.site_id())
                .and(treatments::order_id.eq_any(orders))
                .and(treatments::reverses_id.is_null()),
        )
        .filter(diesel::dsl::not(diesel::dsl::exists(taken_back)))
        .order(treatments::id)
        .select(TreatmentRow::as_select())
        .load(conn)?)
}

/// What was put on the site's courts, with the rows that take others back.
pub fn treatment_list(conn: &mut Conn, scope: &Scope, page: Page) -> Result<Paged<TreatmentRow>> {
    let rows = treatments::table
        .filter(
            treatments::site_id
                .eq(scope.site_id())
                .and(treatments::id.gt(page.after)),
        )
        .order(treatments::id)
        .limit(page.fetch())
        .select(TreatmentRow::as_select())
        .load(conn)?;
    Ok(page.of(rows, |one| one.id))
}
