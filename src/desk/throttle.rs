//! How often somebody may try to sign in: a few tries at once, then ever fewer, by account and by address.
//!
//! An account's tries are counted whether there is such an account or not, so that nobody learns which there are. The count
//! lies in the database: of several instances each knows what the others saw. NIST SP 800-63B section 5.2.2 asks for at
//! most 100 tries in a row on an account; the figures here are our own.

use std::net::IpAddr;

use chrono::TimeDelta;

use super::tokens::digest;
use super::{Error, Office, Result};
use crate::store::sign_in_tries::{
    TriedBy, Tries, tries_forget, tries_set, try_add, try_take_back,
};
use crate::store::{Conn, Instant};

/// Tries that do not succeed count together for so long.
const WINDOW: TimeDelta = TimeDelta::minutes(15);
/// So many are free on an account: who mistypes does not wait.
const FREE_ON_ACCOUNT: i64 = 8;
/// So many from an address: behind it may stand a whole resort.
const FREE_FROM_ADDRESS: i64 = 40;
/// What the first try too many waits; each further one twice as long as the one before.
const FIRST_WAIT_S: i64 = 15;
/// The longest wait: an account is never shut for good by somebody who only tries.
const LONGEST_WAIT_S: i64 = 900;

/// A try that was counted.
pub struct Try {
    account: Option<Vec<u8>>,
    address: Option<Vec<u8>>,
}

impl Try {
    /// Counts a try on an account from an address, before the password is looked at. [`Error::TooMany`] where it comes too
    /// soon after too many.
    pub fn count(office: &Office, account: &str, from: Option<IpAddr>) -> Result<Self> {
        let account = digest(&format!("account\0{}", account.trim().to_lowercase()));
        Self::counted(office, Some(account), from)
    }

    /// Counts a try that is on no account in particular, from an address.
    pub fn count_from(office: &Office, from: Option<IpAddr>) -> Result<Self> {
        Self::counted(office, None, from)
    }

    fn counted(office: &Office, account: Option<Vec<u8>>, from: Option<IpAddr>) -> Result<Self> {
        let now = office.now();
        let one = Self {
            account,
            address: from.map(|address| digest(&format!("address\0{}", network(address)))),
        };
        // What is refused is counted all the same.
        office.db.write_shared(|conn| -> Result<Result<()>> {
            let mut wait_s = 0;
            if let Some(account) = &one.account {
                wait_s = counted(conn, TriedBy::Account, account, FREE_ON_ACCOUNT, now)?;
            }
            if let Some(address) = &one.address {
                wait_s = wait_s.max(counted(
                    conn,
                    TriedBy::Address,
                    address,
                    FREE_FROM_ADDRESS,
                    now,
                )?);
            }
            Ok(match u64::try_from(wait_s) {
                Ok(wait_s) if wait_s > 0 => Err(Error::TooMany(wait_s)),
                _ => Ok(()),
            })
        })??;
        Ok(one)
    }

    /// It succeeded: the account begins anew, and the address has one try less against it.
    pub fn succeeded(&self, office: &Office) -> Result<()> {
        // The account first, as where a try is counted: two that wait for each other would both be lost.
        office.db.write_shared(|conn| {
            if let Some(account) = &self.account {
                tries_forget(conn, account)?;
            }
            if let Some(address) = &self.address {
                try_take_back(conn, TriedBy::Address, address)?;
            }
            Ok(())
        })
    }
}

/// Counts a try; gives how long it must wait, s, 0 where it need not. A try that waits does not make the wait longer.
fn counted(conn: &mut Conn, by: TriedBy, key: &[u8], free: i64, now: Instant) -> Result<i64> {
    let mut tries = try_add(conn, by, key, now)?;
    if let Some(until) = tries.blocked_until.filter(|until| *until > now) {
        try_take_back(conn, by, key)?;
        let left = (until.utc() - now.utc()).num_milliseconds();
        return Ok(left.div_euclid(1_000) + 1);
    }
    if tries.first_at.utc() + WINDOW <= now.utc() {
        tries = Tries {
            tries: 1,
            first_at: now,
            blocked_until: None,
        };
    }
    // This try is looked at; the next one waits.
    tries.blocked_until =
        wait_s(tries.tries, free).map(|s| (now.utc() + TimeDelta::seconds(s)).into());
    if tries.blocked_until.is_some() {
        // The count goes on while somebody goes on: the window ends only once they pause.
        tries.first_at = now;
    }
    tries_set(conn, by, key, &tries)?;
    Ok(0)
}

/// How long the next try waits after so many, s.
fn wait_s(tries: i64, free: i64) -> Option<i64> {
    let over = u32::try_from(tries - free).ok()?;
    Some((FIRST_WAIT_S << over.min(10)).min(LONGEST_WAIT_S))
}

/// What tries from an address are counted under: of the newer kind the network, for one machine has all its addresses.
fn network(address: IpAddr) -> String {
    match address.to_canonical() {
        IpAddr::V4(address) => address.to_string(),
        IpAddr::V6(address) => format!("{:x?}", &address.segments()[..4]),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_first_tries_are_free_and_each_one_after_them_makes_the_next_wait_twice_as_long() {
        let waits: Vec<_> = (6..=16).map(|tries| wait_s(tries, 8)).collect();
        let after = [15, 30, 60, 120, 240, 480, 900, 900, 900].map(Some);
        assert_eq!(waits[..2], [None, None]);
        assert_eq!(waits[2..], after);
        assert_eq!(wait_s(8 + 100, 8), Some(LONGEST_WAIT_S));
    }

    #[test]
    fn addresses_of_one_network_count_together() {
        let of = |text: &str| network(text.parse().unwrap());
        assert_eq!(of("2001:db8:1:2::1"), of("2001:db8:1:2:ffff::9"));
        assert_ne!(of("2001:db8:1:2::1"), of("2001:db8:1:3::1"));
        assert_eq!(of("::ffff:192.0.2.7"), of("192.0.2.7"));
        assert_ne!(of("192.0.2.7"), of("192.0.2.8"));
    }
}
