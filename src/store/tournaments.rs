//! Tournament days: which courts are in it, and in which order they reopen between matches.

use chrono::NaiveDate;
use diesel::prelude::*;

use super::db::{Conn, Tx};
use super::dialect::each_backend;
use super::schema::tournament_courts;
use super::{Result, Scope};

/// A court of a tournament day.
#[derive(Clone, Debug, Queryable, Selectable)]
#[diesel(table_name = tournament_courts)]
pub struct TournamentCourt {
    /// The site's own date.
    pub work_date: NaiveDate,
    /// The court.
    pub court_id: i64,
    /// Its place in the order: 1 reopens first.
    pub reopens: i64,
}

/// The courts of the tournament days from `first` to `last`, by date and by the order in which they reopen.
pub fn tournament_courts_between(
    conn: &mut Conn,
    scope: &Scope,
    first: NaiveDate,
    last: NaiveDate,
) -> Result<Vec<TournamentCourt>> {
    Ok(tournament_courts::table
        .filter(
            tournament_courts::site_id
                .eq(scope.site_id())
                .and(tournament_courts::work_date.between(first, last)),
        )
        .order((tournament_courts::work_date, tournament_courts::reopens))
        .select(TournamentCourt::as_select())
        .load(conn)?)
}

/// Makes a date the tournament day of these courts, which reopen in this order; of none, an ordinary day.
pub fn tournament_set(
    tx: &mut Tx<'_>,
    scope: &Scope,
    date: NaiveDate,
    court_ids: &[i64],
) -> Result<()> {
    diesel::delete(
        tournament_courts::table.filter(
            tournament_courts::site_id
                .eq(scope.site_id())
                .and(tournament_courts::work_date.eq(date)),
        ),
    )
    .execute(tx.conn())?;
    if court_ids.is_empty() {
        return Ok(());
    }
    let rows: Vec<_> = (1_i64..)
        .zip(court_ids)
        .map(|(reopens, court)| {
            (
                tournament_courts::site_id.eq(scope.site_id()),
                tournament_courts::work_date.eq(date),
                tournament_courts::court_id.eq(*court),
                tournament_courts::reopens.eq(reopens),
            )
        })
        .collect();
    let insert = diesel::insert_into(tournament_courts::table).values(rows);
    each_backend!(tx.conn(), inner => insert.execute(inner))?;
    Ok(())
}
