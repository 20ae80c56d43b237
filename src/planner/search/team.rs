//! Legs gone by several threads, with the same outcome on any number of them.

use std::thread;
use std::time::Duration;

use crate::search::anneal::Leg;
use crate::search::recreate::Ranks;
use crate::search::walk::Seen;
use crate::search::watch::Shared;
use crate::{Control, Progress};

/// While the others still work, the first thread asks the caller so often.
const PAUSE: Duration = Duration::from_millis(1);

/// The threads of a search; the first is the caller's own.
pub(super) struct Team<'a, 'r> {
    pub threads: usize,
    pub shared: &'a Shared,
    pub ranks: &'a Ranks,
    pub near: &'a [Vec<usize>],
    pub report: &'r mut dyn FnMut(&Progress) -> Control,
}

impl Team<'_, '_> {
    /// Goes the legs, each with its own chance; what each found, in their order.
    pub fn go<'m>(&mut self, legs: Vec<Leg<'m>>) -> Vec<Seen<'m>> {
        let threads = self.threads.clamp(1, legs.len().max(1));
        let mut shares: Vec<Vec<(usize, Leg<'m>)>> = (0..threads).map(|_| Vec::new()).collect();
        for (i, leg) in legs.into_iter().enumerate() {
            shares[i % threads].push((i, leg));
        }
        let own = shares.swap_remove(0);
        let (shared, ranks, near) = (self.shared, self.ranks, self.near);
        let mut found = thread::scope(|scope| {
            let others: Vec<_> = shares
                .into_iter()
                .map(|share| {
                    scope.spawn(move || {
                        let go = |(i, leg): (usize, Leg<'m>)| {
                            (i, leg.go(i, ranks, near, shared, &mut || {}))
                        };
                        share.into_iter().map(go).collect::<Vec<_>>()
                    })
                })
                .collect();
            let mut tick = || shared.report(self.report);
            let mut found: Vec<(usize, Seen<'m>)> = Vec::new();
            for (i, leg) in own {
                found.push((i, leg.go(i, ranks, near, shared, &mut tick)));
            }
            while others.iter().any(|o| !o.is_finished()) {
                tick();
                thread::sleep(PAUSE);
            }
            for other in others {
                match other.join() {
                    Ok(more) => found.extend(more),
                    Err(panic) => std::panic::resume_unwind(panic),
                }
            }
            found
        });
        found.sort_by_key(|(i, _)| *i);
        // On one thread the legs behind the one that was good enough would not have been gone.
        let gone = shared.done().map_or(usize::MAX, |first| first + 1);
        found.truncate(gone);
        found.into_iter().map(|(_, seen)| seen).collect()
    }
}
