//! The last weeks of a site that was just laid, told from a seed: what was planned, what the crews
//! gave back, and what it cost.
//!
//! What is booked follows the same rules as the closing of an order ([`booking`](crate::desk::booking)): the same event,
//! hours and cost lines, against the same running totals. Only the writing differs: the rows of
//! all weeks go in together, a few hundred a statement.

mod books;
mod checks;
mod crews;
mod day;
mod dice;
mod plans;
mod season;
mod stock;
mod visits;
mod water;
mod wear;

use chrono::Days;

use super::files::Files;
use super::unreadable;
use crate::desk::water::book_past;
use crate::desk::{Office, Result};
use crate::store::Scope;
use books::Books;
use checks::checks_past;
use day::pass;
pub(super) use dice::Dice;
use season::Season;
use visits::Memory;
use wear::wear_past;

/// Gives a site that [`lay_demo_site`](super::lay_demo_site) laid the `weeks` of work before its
/// today. What happened depends on the seed, the data files and the date alone; the same seed
/// tells the same days before any today.
///
/// Eight weeks are about 2,900 orders and 45,000 rows. With them the release build's `demo
/// --once` takes 1.1 to 1.4 s on SQLite, and 2.2 s on PostgreSQL (two shared cores, measured).
pub fn lay_demo_history(office: &Office, site_id: i64, weeks: u32, seed: u64) -> Result<()> {
    let scope = Scope::of_the_service(site_id);
    let files = Files::demo().map_err(|e| unreadable(&e))?;
    let now = office.now();
    let season = office.db.read(|conn| Season::read(conn, &scope, now))?;
    let (mut memory, mut days) = (Memory::default(), Vec::new());
    for ago in (1..=u64::from(weeks) * 7).rev() {
        let date = season.today.checked_sub_days(Days::new(ago));
        let date = date.ok_or_else(|| unreadable(&"the calendar ends"))?;
        days.push(pass(&season, &mut memory, date, &mut Dice::of(seed, ago)));
    }
    office.db.write(&scope, |tx| {
        Books::open(tx, &scope, &season, &days, seed)?.book_all()?;
        wear_past(tx, &scope, &season.rates, season.lead)?;
        checks_past(tx, &scope, &season, &files.shed)?;
        book_past(tx, &scope)
    })
}
