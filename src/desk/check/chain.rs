//! The audit chain: every event is as it was written, none is missing, and it ends at the head.

use std::collections::HashSet;

use super::{Anchor, Found, counted};
use crate::desk::Result;
use crate::store::audit::{ChainFault, chain_walk};
use crate::store::{Conn, Scope};

pub(super) fn prove(conn: &mut Conn, scope: &Scope, anchors: &[Anchor]) -> Result<Found> {
    let mut met = HashSet::new();
    let chain = chain_walk(conn, scope, &mut |seq, hash| {
        let kept = anchors.iter().enumerate();
        met.extend(
            kept.filter(|(_, a)| a.seq == seq && a.hash == hash)
                .map(|(nth, _)| nth),
        );
    })?;
    let mut found = Found {
        looked_at: counted(chain.events, "events"),
        ..Found::default()
    };
    if let Some((seq, fault)) = chain.broken {
        found.note(match fault {
            ChainFault::Changed => format!(
                "event {seq} is the first broken link: it is not what it was when it was written"
            ),
            ChainFault::Unlinked => format!(
                "event {seq} is the first broken link: it does not follow on the event before it; \
                 one was taken away or put in between"
            ),
            ChainFault::CutOff => format!(
                "the chain ends at event {seq}, and the site's head names another end: events \
                 after it were taken away, or the head was changed"
            ),
            ChainFault::NoHead => "the site has no head row".into(),
        });
    }
    for (nth, anchor) in anchors.iter().enumerate() {
        if !met.contains(&nth) {
            found.note(format!(
                "event {} of the chain is not the one that was kept ({anchor}): the chain was \
                 written anew or cut off",
                anchor.seq
            ));
        }
    }
    if found.holds() {
        found.head = chain.last.map(|(seq, hash)| Anchor {
            site_id: scope.site_id(),
            seq,
            hash,
        });
    }
    Ok(found)
}
