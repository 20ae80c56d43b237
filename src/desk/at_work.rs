//! The planning that this process is at: how much of it there may be at once, and its end when the service stops.
//!
//! A planning run is also counted in the database, one a site at a time over all instances (`plan_runs`): there a run whose
//! process died counts until its time is over. Here is counted what lives in this process and dies with it.

use std::collections::HashMap;
use std::sync::{Arc, Condvar, Mutex, MutexGuard, PoisonError};
use std::time::Instant;

use super::{Error, Result};

/// Most searches of one site at once: a run, and two that try what the rest of a day could be. Our own figure.
const MOST_OF_A_SITE: usize = 3;
/// How long whoever finds no place is told to wait, s: a trial takes a second, a run five.
const WAIT_S: u64 = 5;

/// The planning under way.
#[derive(Clone, Debug, Default)]
pub struct AtWork(Arc<Inner>);

#[derive(Debug, Default)]
struct Inner {
    state: Mutex<State>,
    ended: Condvar,
}

#[derive(Debug, Default)]
struct State {
    by_site: HashMap<i64, usize>,
    stopping: bool,
}

impl State {
    fn all(&self) -> usize {
        self.by_site.values().sum()
    }
}

/// A place among the searches; it is free again when this goes.
#[derive(Debug)]
pub struct Place {
    among: AtWork,
    site_id: i64,
}

impl AtWork {
    /// A place for a search of this site; [`Error::Busy`] where there is none now.
    pub fn place(&self, site_id: i64) -> Result<Place> {
        let mut state = self.state();
        let of_site = state.by_site.get(&site_id).copied().unwrap_or(0);
        let busy = |why: &str| Err(Error::Busy(why.into(), WAIT_S));
        if state.stopping {
            return busy("the service is stopping: ask again in a moment");
        }
        if of_site >= MOST_OF_A_SITE {
            return busy(
                "this site is planning as much at once as it may: ask again when some of it is ready",
            );
        }
        if state.all() >= most_of_all() {
            return busy(
                "this service is planning as much at once as its machine bears: ask again in a moment",
            );
        }
        *state.by_site.entry(site_id).or_default() += 1;
        Ok(Place {
            among: self.clone(),
            site_id,
        })
    }

    /// How many searches are under way.
    pub fn searches(&self) -> usize {
        self.state().all()
    }

    /// Whether the service is stopping: a search ends with the best it has.
    pub fn stopping(&self) -> bool {
        self.state().stopping
    }

    /// Ends every search in order and lets none begin.
    pub fn stop(&self) {
        self.state().stopping = true;
    }

    /// Waits until no search is under way, but no longer than until then; says whether none is.
    pub fn wait(&self, until: Instant) -> bool {
        let mut state = self.state();
        while state.all() > 0 {
            let left = until.saturating_duration_since(Instant::now());
            if left.is_zero() {
                return false;
            }
            let woken = self.0.ended.wait_timeout(state, left);
            state = woken.unwrap_or_else(PoisonError::into_inner).0;
        }
        true
    }

    /// What a thread that broke off left is whole: each change of it is one step.
    fn state(&self) -> MutexGuard<'_, State> {
        self.0.state.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

impl Drop for Place {
    fn drop(&mut self) {
        let mut state = self.among.state();
        if let Some(count) = state.by_site.get_mut(&self.site_id) {
            *count -= 1;
            if *count == 0 {
                state.by_site.remove(&self.site_id);
            }
        }
        drop(state);
        self.among.0.ended.notify_all();
    }
}

/// As many as the machine has threads, and never fewer than one site may have.
fn most_of_all() -> usize {
    let threads = std::thread::available_parallelism().map_or(1, std::num::NonZero::get);
    threads.max(MOST_OF_A_SITE)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_site_has_three_places_and_gets_one_back_when_a_search_ends() {
        let at_work = AtWork::default();
        let mut held: Vec<Place> = (0..3).map(|_| at_work.place(1).unwrap()).collect();
        assert!(matches!(at_work.place(1), Err(Error::Busy(_, _))));
        held.pop();
        held.push(at_work.place(1).unwrap());
        assert_eq!(at_work.searches(), 3);
        drop(held);
        assert_eq!(at_work.searches(), 0);
    }

    #[test]
    fn all_sites_together_have_no_more_places_than_the_machine_bears() {
        let at_work = AtWork::default();
        let held: Vec<Place> = (0..).map_while(|site| at_work.place(site).ok()).collect();
        assert_eq!(held.len(), most_of_all());
    }

    #[test]
    fn while_the_service_stops_no_search_begins_and_the_last_to_end_is_waited_for() {
        let at_work = AtWork::default();
        let place = at_work.place(1).unwrap();
        at_work.stop();
        assert!(at_work.stopping() && at_work.place(2).is_err());
        assert!(!at_work.wait(Instant::now()));
        let ends = std::thread::spawn(move || drop(place));
        assert!(at_work.wait(Instant::now() + std::time::Duration::from_mins(1)));
        ends.join().unwrap();
    }
}
