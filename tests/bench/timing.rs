//! How long something takes.

use std::time::{Duration, Instant};

/// The median of so many turns.
pub fn median(turns: usize, mut work: impl FnMut()) -> Duration {
    let mut took: Vec<Duration> = (0..turns.max(1))
        .map(|_| {
            let begun = Instant::now();
            work();
            begun.elapsed()
        })
        .collect();
    took.sort_unstable();
    took[took.len() / 2]
}

/// The same in milliseconds.
pub fn ms(of: Duration) -> f64 {
    of.as_secs_f64() * 1e3
}
