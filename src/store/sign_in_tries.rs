//! Tries to sign in that failed, by account and by address.

use diesel::prelude::*;

use super::columns::words;
use super::db::Conn;
use super::dialect::each_backend;
use super::schema::sign_in_tries as table;
use super::{Instant, Result};

words! {
    /// What tries are counted by.
    TriedBy {
        /// The account that was tried, whether there is one or not.
        Account = "account",
        /// Where the try came from.
        Address = "address",
    }
}

/// The tries of one account or address.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Queryable)]
pub struct Tries {
    /// How many since `first_at`, this one included.
    pub tries: i64,
    /// When the first of them was.
    pub first_at: Instant,
    /// Until when none is looked at.
    pub blocked_until: Option<Instant>,
}

/// Counts a try in one statement, so that of many at once each is counted; gives the tries with it.
pub fn try_add(conn: &mut Conn, by: TriedBy, digest: &[u8], now: Instant) -> Result<Tries> {
    let row = (
        table::kind.eq(by),
        table::digest.eq(digest),
        table::tries.eq(1),
        table::first_at.eq(now),
    );
    Ok(
        each_backend!(conn, inner => diesel::insert_into(table::table)
        .values(row)
        .on_conflict((table::kind, table::digest))
        .do_update()
        .set(table::tries.eq(table::tries + 1))
        .returning((table::tries, table::first_at, table::blocked_until))
        .get_result::<Tries>(inner))?,
    )
}

/// Sets what is counted of an account or address.
pub fn tries_set(conn: &mut Conn, by: TriedBy, digest: &[u8], tries: &Tries) -> Result<()> {
    diesel::update(table::table.filter(table::kind.eq(by).and(table::digest.eq(digest))))
        .set((
            table::tries.eq(tries.tries),
            table::first_at.eq(tries.first_at),
            table::blocked_until.eq(tries.blocked_until),
        ))
        .execute(conn)?;
    Ok(())
}

/// Takes back one try: it succeeded, or was not looked at.
pub fn try_take_back(conn: &mut Conn, by: TriedBy, digest: &[u8]) -> Result<()> {
    let counted = table::kind
        .eq(by)
        .and(table::digest.eq(digest))
        .and(table::tries.gt(0));
    diesel::update(table::table.filter(counted))
        .set(table::tries.eq(table::tries - 1))
        .execute(conn)?;
    Ok(())
}

/// Forgets the tries of an account.
pub fn tries_forget(conn: &mut Conn, account: &[u8]) -> Result<()> {
    let of_account = table::kind
        .eq(TriedBy::Account)
        .and(table::digest.eq(account));
    diesel::delete(table::table.filter(of_account)).execute(conn)?;
    Ok(())
}

/// Forgets the tries that began before `old`.
pub fn tries_sweep(conn: &mut Conn, old: Instant) -> Result<()> {
    // Accounts before addresses, as where tries are counted: two that wait for each other would both be lost.
    for kind in TriedBy::ALL {
        let over = table::kind.eq(kind).and(table::first_at.lt(old));
        diesel::delete(table::table.filter(over)).execute(conn)?;
    }
    Ok(())
}
