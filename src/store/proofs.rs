//! What the proofs of `roundhand check` ask of the database: sums, states, keys and guards, read
//! only, each in little memory whatever the size of the site.

mod books;
mod guards;
mod keys;
mod orders;
mod seqs;
mod stock;
mod trail;
mod wear;

use diesel::QueryableByName;
use diesel::RunQueryDsl;
use diesel::sql_types::Text;

pub use books::{
    BookedHours, ClosingTold, Sum, WHOLE_SITE, booked_hours, closings_of, closings_told,
    lines_by_order, lines_by_plan, lines_by_subject, material_lines_untied, running_totals_all,
    uneven_splits,
};
pub use guards::{APPEND_ONLY, guards_missing};
pub use keys::{pages_broken, rows_astray, sources_astray};
pub use orders::{EventOf, OrderStanding, answers_odd, orders_with_events};
pub use seqs::{SeqOf, seq_last, seqs_between};
pub use stock::moves_of_material;
pub use trail::{WordsOf, touches_odd, words_with_events};
pub use wear::{part_uses_count, wear_untied};

use super::db::Conn;
use super::dialect::each_backend;
use super::{Error, Result};

/// Rows of a question in SQL that both engines read alike.
fn rows<T>(conn: &mut Conn, sql: &str) -> Result<Vec<T>>
where
    T: QueryableByName<diesel::sqlite::Sqlite> + QueryableByName<diesel::pg::Pg> + 'static,
{
    Ok(each_backend!(conn, inner => diesel::sql_query(sql).load(inner))?)
}

/// A line of text.
#[derive(QueryableByName)]
struct Told {
    #[diesel(sql_type = Text)]
    told: String,
}

/// The lines of a question whose one column is `told`.
fn told(conn: &mut Conn, sql: &str) -> Result<Vec<String>> {
    let lines: Vec<Told> = rows(conn, sql)?;
    Ok(lines.into_iter().map(|line| line.told).collect())
}

/// A stored word, where the list knows it.
fn word<T: std::str::FromStr>(text: &str, of: &str) -> Result<T> {
    text.parse()
        .map_err(|_| Error::Unreadable(format!("{of}: unknown word {text}")))
}
