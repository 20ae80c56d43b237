//! Counts what is asked of each database.

use std::collections::HashMap;
use std::sync::{LazyLock, Mutex, Once};

use diesel::connection::{Instrumentation, InstrumentationEvent};

/// Questions by database URL.
static ASKED: LazyLock<Mutex<HashMap<String, usize>>> = LazyLock::new(Mutex::default);

/// Counts every question of connections made from now on, of every house.
pub fn count_queries() {
    static ONCE: Once = Once::new();
    ONCE.call_once(|| {
        diesel::connection::set_default_instrumentation(|| Some(Box::new(Counter::default())))
            .expect("connections can be watched");
    });
}

/// How many questions were asked of the database at this URL.
pub fn queries_of(url: &str) -> usize {
    let asked = ASKED.lock().expect("nobody panics while counting");
    asked.get(url).copied().unwrap_or_default()
}

/// Watches one connection.
#[derive(Default)]
struct Counter {
    url: String,
}

impl Instrumentation for Counter {
    fn on_connection_event(&mut self, event: InstrumentationEvent<'_>) {
        match event {
            InstrumentationEvent::StartEstablishConnection { url, .. } => {
                url.clone_into(&mut self.url);
            }
            InstrumentationEvent::StartQuery { query, .. } => {
                let text = query.to_string();
                // The pool's own question whether the connection still stands is none of the house.
                if text.starts_with("SELECT") && text.trim() != "SELECT 1" {
                    let mut asked = ASKED.lock().expect("nobody panics while counting");
                    *asked.entry(self.url.clone()).or_default() += 1;
                }
            }
            _ => {}
        }
    }
}
