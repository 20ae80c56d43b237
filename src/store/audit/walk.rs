//! The chain walked from its first event to its head, page by page, so that one of any length is
//! proved in little memory.

use diesel::prelude::*;

use super::Event;
use crate::store::db::Conn;
use crate::store::schema::{audit_events, site_head};
use crate::store::{Result, Scope};

/// Events read at once.
const AT_ONCE: i64 = 2_000;

/// What a walk found.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Chain {
    /// How many events hold, from the first on.
    pub events: i64,
    /// Number and hash of the last of them.
    pub last: Option<(i64, Vec<u8>)>,
    /// The first event that does not hold, and why. Where the head is at fault, the last event.
    pub broken: Option<(i64, ChainFault)>,
}

/// Why a chain does not hold.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ChainFault {
    /// The event is not what it was when its hash was made.
    Changed,
    /// The event does not follow on the one before it: one was taken away or put in between.
    Unlinked,
    /// The site's head names another end than the last event: events at the end were taken away.
    CutOff,
    /// The site has no head.
    NoHead,
}

/// An event, the hash it follows on, and its own.
type ChainRow = (Event, Vec<u8>, Vec<u8>);

/// Walks a site's chain up to its first break, and shows each event that holds: its number and hash.
pub fn chain_walk(
    conn: &mut Conn,
    scope: &Scope,
    each: &mut dyn FnMut(i64, &[u8]),
) -> Result<Chain> {
    let mut chain = Chain::default();
    let mut before = Vec::new();
    loop {
        let after = chain.last.as_ref().map(|(seq, _)| *seq);
        let rows = page(conn, scope, after)?;
        if rows.is_empty() {
            break;
        }
        for (event, prev, hash) in rows {
            let seq = event.seq;
            let fault = if prev != before {
                Some(ChainFault::Unlinked)
            } else if hash != event.hash_after(&before) {
                Some(ChainFault::Changed)
            } else {
                None
            };
            if let Some(fault) = fault {
                chain.broken = Some((seq, fault));
                return Ok(chain);
            }
            each(seq, &hash);
            chain.events += 1;
            before.clone_from(&hash);
            chain.last = Some((seq, hash));
        }
    }
    let last = chain.last.as_ref().map_or(0, |(seq, _)| *seq);
    let head: Option<(i64, Vec<u8>)> = site_head::table
        .find(scope.site_id())
        .select((site_head::seq, site_head::hash))
        .first(conn)
        .optional()?;
    chain.broken = match head {
        None => Some((last, ChainFault::NoHead)),
        Some((seq, hash)) if hash != before || seq < last => Some((last, ChainFault::CutOff)),
        Some(_) => None,
    };
    Ok(chain)
}

fn page(conn: &mut Conn, scope: &Scope, after: Option<i64>) -> Result<Vec<ChainRow>> {
    Ok(audit_events::table
        .filter(
            audit_events::site_id
                .eq(scope.site_id())
                // Whoever writes rows by hand may number them as they like: the first page has no bound.
                .and(audit_events::seq.gt(after.unwrap_or(i64::MIN))),
        )
        .order(audit_events::seq)
        .limit(AT_ONCE)
        .select((
            (
                audit_events::seq,
                audit_events::at,
                audit_events::actor_user_id,
                audit_events::verb,
                audit_events::subject_kind,
                audit_events::subject_id,
                audit_events::data,
                audit_events::form,
                audit_events::from_digest,
            ),
            audit_events::prev_hash,
            audit_events::hash,
        ))
        .load(conn)?)
}
