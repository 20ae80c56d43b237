//! The worker: a thread that does what is due until it is stopped.

use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::mpsc::{Receiver, RecvTimeoutError, Sender, channel};
use std::thread::JoinHandle;
use std::time::{Duration, Instant};

use super::run_until;
use crate::desk::Office;
use crate::desk::sign_in::forget_old;

/// How long it sleeps between two looks.
const PAUSE: Duration = Duration::from_secs(2);
/// How often sessions, tries and secrets that are long over are forgotten.
const BETWEEN_SWEEPS: Duration = Duration::from_hours(1);
/// How often it is looked whether the last job has ended.
const LOOK: Duration = Duration::from_millis(20);

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

impl Worker {
    /// Lets no further job begin; the one under way goes on.
    pub fn stop(&mut self) {
        self.stopped.store(true, Ordering::Release);
        // The other end hears that this one is gone.
        drop(self.wake.take());
    }

    /// Stops it, and waits until the job under way is ended, but no longer than until then. One that is not goes to
    /// whoever takes it when its lease lapses.
    pub fn end(mut self, until: Instant) {
        self.stop();
        while self
            .thread
            .as_ref()
            .is_some_and(|thread| !thread.is_finished())
        {
            if Instant::now() >= until {
                tracing::warn!("the job under way did not end in time: it is done again later");
                self.thread = None;
                return;
            }
            std::thread::sleep(LOOK);
        }
    }
}

impl Drop for Worker {
    fn drop(&mut self) {
        self.stop();
        if let Some(thread) = self.thread.take()
            && thread.join().is_err()
        {
            tracing::error!("the worker broke off");
        }
    }
}

fn work(office: &Office, stopped: &AtomicBool, woken: &Receiver<()>) {
    let mut swept: Option<Instant> = None;
    while !stopped.load(Ordering::Acquire) {
        if swept.is_none_or(|at| at.elapsed() >= BETWEEN_SWEEPS) {
            if let Err(why) = forget_old(office) {
                tracing::warn!(error = %why, "what is long over could not be forgotten");
            }
            swept = Some(Instant::now());
        }
        run_until(office, &|| stopped.load(Ordering::Acquire));
        if woken.recv_timeout(PAUSE) != Err(RecvTimeoutError::Timeout) {
            return;
        }
    }
}
