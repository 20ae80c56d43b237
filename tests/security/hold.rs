//! A site that somebody else writes to: whatever else would write to it waits.

use std::sync::mpsc::{Sender, channel};
use std::thread::JoinHandle;

use diesel::connection::SimpleConnection;
use roundhand::store;

use crate::support::House;

/// A write that is under way until this goes.
pub struct Hold {
    release: Option<Sender<()>>,
    thread: Option<JoinHandle<()>>,
}

impl Hold {
    /// Begins a write to the house's site, and holds it open.
    pub fn site(house: &House) -> Self {
        let (office, site_id) = (house.office.clone(), house.set_up.site_id);
        let (begun, waits) = channel();
        let (release, released) = channel::<()>();
        let thread = std::thread::spawn(move || {
            let held = office.db.write_shared(|conn| -> store::Result<()> {
                conn.batch_execute(&format!(
                    "UPDATE site_head SET seq = seq WHERE site_id = {site_id}"
                ))?;
                begun.send(()).expect("the test waits");
                // Ends when the other end goes.
                let _ = released.recv();
                Ok(())
            });
            held.expect("the write ends in order");
        });
        waits.recv().expect("the write begins");
        Self {
            release: Some(release),
            thread: Some(thread),
        }
    }
}

impl Drop for Hold {
    fn drop(&mut self) {
        self.release.take();
        if let Some(thread) = self.thread.take() {
            thread.join().ok();
        }
    }
}
