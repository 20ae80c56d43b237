//! Whoever watches a site hears that something of it changed, whichever instance wrote it.
//!
//! A write tells the watchers of its own process when it is committed. On PostgreSQL it also notifies the others, in its own
//! transaction (`NOTIFY` is delivered on commit), and each process that has watchers listens on a connection of its own. What is
//! told is the site and its sequence number; a watcher reads what it wants to know.

use std::collections::HashMap;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError, Weak};
use std::time::Duration;

use diesel::connection::SimpleConnection;
use diesel::prelude::*;
use tokio::sync::watch;

use super::Conn;
use crate::store::Result;

const CHANNEL: &str = "roundhand_changes";
/// How often the connection is asked whether something was notified: a small part of the two seconds in which a tablet
/// is to know.
const ASK_EVERY: Duration = Duration::from_millis(200);
/// How long to wait before a lost connection is tried again.
const AGAIN_AFTER: Duration = Duration::from_secs(2);

/// The watchers of this process.
#[derive(Clone, Debug, Default)]
pub(super) struct Watchers(Arc<Mutex<State>>);

#[derive(Debug, Default)]
struct State {
    by_site: HashMap<i64, watch::Sender<i64>>,
    is_listening: bool,
}

impl State {
    /// Forgets the sites that nobody watches any more.
    fn sweep(&mut self) {
        self.by_site.retain(|_, sender| sender.receiver_count() > 0);
    }
}

impl Watchers {
    /// Watches a site: what comes is its newest number, whenever it changes.
    pub fn watch(&self, site_id: i64) -> watch::Receiver<i64> {
        let mut state = lock(&self.0);
        let sender = state.by_site.entry(site_id);
        sender.or_insert_with(|| watch::channel(0).0).subscribe()
    }

    /// How many watch a site.
    pub fn count(&self, site_id: i64) -> usize {
        let state = lock(&self.0);
        state
            .by_site
            .get(&site_id)
            .map_or(0, watch::Sender::receiver_count)
    }

    /// Tells the watchers of a site that it has come to `seq`.
    pub fn tell(&self, site_id: i64, seq: i64) {
        let mut state = lock(&self.0);
        if let Some(sender) = state.by_site.get(&site_id) {
            sender.send_if_modified(|newest| {
                let is_news = seq > *newest;
                *newest = seq.max(*newest);
                is_news
            });
        }
        state.sweep();
    }

    /// Hears what other instances notify, as long as anybody watches. One thread a process.
    pub fn listen(&self, url: &str) {
        let mut state = lock(&self.0);
        if state.is_listening {
            return;
        }
        state.is_listening = true;
        drop(state);
        let (watchers, url) = (Arc::downgrade(&self.0), url.to_owned());
        let begun = std::thread::Builder::new()
            .name("changes".into())
            .spawn(move || hear(&watchers, &url));
        if let Err(why) = begun {
            tracing::error!(error = %why, "nobody hears what other instances change");
            lock(&self.0).is_listening = false;
        }
    }
}

fn lock(state: &Mutex<State>) -> MutexGuard<'_, State> {
    // What a thread that broke off left is whole: each change of it is one step.
    state.lock().unwrap_or_else(PoisonError::into_inner)
}

/// Listens until nobody watches.
fn hear(watchers: &Weak<Mutex<State>>, url: &str) {
    loop {
        match hear_on_one_connection(watchers, url) {
            Ok(()) => return,
            Err(why) => {
                tracing::warn!(error = %why, "the connection that hears of changes is lost: it is tried again");
            }
        }
        std::thread::sleep(AGAIN_AFTER);
        // What was notified meanwhile is lost: everybody looks again.
        if let Some(state) = watchers.upgrade() {
            for sender in lock(&state).by_site.values() {
                sender.send_modify(|_| {});
            }
        }
    }
}

fn hear_on_one_connection(watchers: &Weak<Mutex<State>>, url: &str) -> Result<()> {
    let mut conn = PgConnection::establish(url)
        .map_err(|e| crate::store::Error::Unreachable(e.to_string()))?;
    conn.batch_execute(&format!("LISTEN {CHANNEL}"))?;
    loop {
        let Some(state) = watchers.upgrade() else {
            return Ok(());
        };
        let here = Watchers(state);
        for heard in conn.notifications_iter() {
            if let Some((site, seq)) = read(&heard?.payload) {
                here.tell(site, seq);
            }
        }
        let mut state = lock(&here.0);
        state.sweep();
        if state.by_site.is_empty() {
            state.is_listening = false;
            return Ok(());
        }
        drop(state);
        drop(here);
        std::thread::sleep(ASK_EVERY);
    }
}

fn read(payload: &str) -> Option<(i64, i64)> {
    let (site, seq) = payload.split_once(':')?;
    Some((site.parse().ok()?, seq.parse().ok()?))
}

/// Notifies the other instances, in the transaction at hand.
pub(super) fn notify(conn: &mut Conn, site_id: i64, seq: i64) -> Result<()> {
    if let Conn::Pg(conn) = conn {
        diesel::sql_query("SELECT pg_notify($1, $2)")
            .bind::<diesel::sql_types::Text, _>(CHANNEL)
            .bind::<diesel::sql_types::Text, _>(format!("{site_id}:{seq}"))
            .execute(conn)?;
    }
    Ok(())
}
