//! The worker: a thread that does what is due until it is stopped.

use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::mpsc::{Receiver, RecvTimeoutError, Sender, channel};
use std::thread::JoinHandle;
use std::time::Duration;

use super::run_until;
use crate::desk::Office;

/// How long it sleeps between two looks.
const PAUSE: Duration = Duration::from_secs(2);

/// A running worker. Dropping it stops it in order: the job under way is ended, no other is begun.
pub struct Worker {
    stopped: Arc<AtomicBool>,
    wake: Option<Sender<()>>,
    thread: Option<JoinHandle<()>>,
}

impl Worker {
    /// Starts the worker of this process.
    pub fn start(office: Arc<Office>) -> std::io::Result<Self> {
        if !office.mail.can_send() {
            tracing::warn!(
                "no mail server is named (ROUNDHAND_SMTP_URL): mail waits in the outbox until one is"
            );
        }
        let stopped = Arc::new(AtomicBool::new(false));
        let (wake, woken) = channel();
        let thread = {
            let stopped = stopped.clone();
            std::thread::Builder::new()
                .name("jobs".into())
                .spawn(move || work(&office, &stopped, &woken))?
        };
        Ok(Self {
            stopped,
            wake: Some(wake),
            thread: Some(thread),
        })
    }
}

impl Drop for Worker {
    fn drop(&mut self) {
        self.stopped.store(true, Ordering::Release);
        // The other end hears that this one is gone.
        drop(self.wake.take());
        if let Some(thread) = self.thread.take()
            && thread.join().is_err()
        {
            tracing::error!("the worker broke off");
        }
    }
}

fn work(office: &Office, stopped: &AtomicBool, woken: &Receiver<()>) {
    while !stopped.load(Ordering::Acquire) {
        run_until(office, &|| stopped.load(Ordering::Acquire));
        if woken.recv_timeout(PAUSE) != Err(RecvTimeoutError::Timeout) {
            return;
        }
    }
}
