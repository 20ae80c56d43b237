//! What this process counts of itself, for whoever keeps it running: in the text format of Prometheus, version 0.0.4.
//!
//! No label takes a value that somebody outside can choose: a path is told by its pattern, and what has none by one word.

use std::sync::LazyLock;

use prometheus::core::Collector;
use prometheus::{
    Encoder, HistogramOpts, HistogramVec, IntCounterVec, IntGauge, Opts, Registry, TextEncoder,
};

/// Media type of [`text`].
pub const MEDIA_TYPE: &str = prometheus::TEXT_FORMAT;

/// Bounds of the times that answers take, s.
const SECONDS: [f64; 10] = [0.005, 0.01, 0.025, 0.05, 0.1, 0.25, 0.5, 1.0, 5.0, 30.0];

struct Counts {
    registry: Registry,
    answers: IntCounterVec,
    seconds: HistogramVec,
    jobs: IntCounterVec,
    refusals: IntCounterVec,
}

static COUNTS: LazyLock<Counts> = LazyLock::new(|| {
    let registry = Registry::new();
    let seconds = HistogramOpts::new(
        "roundhand_http_answer_seconds",
        "Time from a request's head to its answer's, by route.",
    );
    let seconds = HistogramVec::new(seconds.buckets(SECONDS.to_vec()), &["method", "route"]);
    Counts {
        answers: counter(
            &registry,
            "roundhand_http_answers_total",
            "Requests that were answered, by route and status.",
            &["method", "route", "status"],
        ),
        seconds: kept(&registry, seconds),
        jobs: counter(
            &registry,
            "roundhand_jobs_total",
            "Jobs that were taken, by kind and what became of them.",
            &["kind", "outcome"],
        ),
        refusals: counter(
            &registry,
            "roundhand_sign_ins_refused_total",
            "Tries to sign in that were refused: wrong, or too many.",
            &["why"],
        ),
        registry,
    }
});

fn counter(registry: &Registry, name: &str, help: &str, labels: &[&str]) -> IntCounterVec {
    kept(registry, IntCounterVec::new(Opts::new(name, help), labels))
}

/// A series under its name. Names are written in this file alone, so that one at fault is found by the first test.
fn kept<T: Collector + Clone + 'static>(registry: &Registry, made: prometheus::Result<T>) -> T {
    let made = made.expect("a well-formed name");
    registry
        .register(Box::new(made.clone()))
        .expect("a name of its own");
    made
}

/// A request was answered.
pub fn answered(method: &str, route: &str, status: u16, seconds: f64) {
    let labels = [method, route, &status.to_string()];
    COUNTS.answers.with_label_values(&labels).inc();
    COUNTS
        .seconds
        .with_label_values(&labels[..2])
        .observe(seconds);
}

/// A job ended: done, to be tried again, or given up.
pub fn job_ended(kind: &str, outcome: &str) {
    COUNTS.jobs.with_label_values(&[kind, outcome]).inc();
}

/// A try to sign in was refused.
pub fn sign_in_refused(why: &str) {
    COUNTS.refusals.with_label_values(&[why]).inc();
}

/// A value of this moment.
pub struct Gauge {
    /// Its name, without `roundhand_`.
    pub name: &'static str,
    /// What it says.
    pub help: &'static str,
    /// The value.
    pub value: i64,
}

/// All that is counted, and these values of this moment.
pub fn text(now: &[Gauge]) -> prometheus::Result<Vec<u8>> {
    let moment = Registry::new_custom(Some("roundhand".into()), None)?;
    for gauge in now {
        let made = IntGauge::new(gauge.name, gauge.help)?;
        made.set(gauge.value);
        moment.register(Box::new(made))?;
    }
    let mut all = COUNTS.registry.gather();
    all.extend(moment.gather());
    let mut text = Vec::new();
    TextEncoder::new().encode(&all, &mut text)?;
    Ok(text)
}
