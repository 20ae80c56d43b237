//! The log of a service: a line an event, on standard error.
//!
//! `ROUNDHAND_LOG` says how much (`info`, `debug`, `roundhand::http=trace`, …), `ROUNDHAND_LOG_FORMAT` in which form: `text`
//! for people, the default where standard error is a terminal, or `json` for machines, the default elsewhere.

use std::io::IsTerminal;

use tracing::Level;
use tracing_subscriber::EnvFilter;
use tracing_subscriber::filter::Targets;
use tracing_subscriber::prelude::*;

/// Starts it. What cannot be read of the settings is told by the variable's name.
pub fn start() -> Result<(), String> {
    let wanted = read("ROUNDHAND_LOG");
    let filter = EnvFilter::try_new(wanted.as_deref().unwrap_or("info"))
        .map_err(|why| format!("ROUNDHAND_LOG: {why}"))?;
    let lines = tracing_subscriber::fmt::layer().with_writer(std::io::stderr);
    let usual = if std::io::stderr().is_terminal() {
        "text"
    } else {
        "json"
    };
    let form = read("ROUNDHAND_LOG_FORMAT");
    let lines = match form.as_deref().unwrap_or(usual) {
        "text" => lines.boxed(),
        "json" => lines.json().with_span_list(false).boxed(),
        other => return Err(format!("ROUNDHAND_LOG_FORMAT: {other}: write text or json")),
    };
    let log =
        tracing_subscriber::registry().with(lines.with_filter(own_words()).with_filter(filter));
    log.try_init()
        .map_err(|why| format!("the log cannot be started: {why}"))
}

/// What is written below `info` is our own alone: libraries print there what passes through them, passwords included.
fn own_words() -> Targets {
    Targets::new()
        .with_default(Level::INFO)
        .with_target("roundhand", Level::TRACE)
}

/// A variable that is set to nothing is as good as not set.
fn read(name: &str) -> Option<String> {
    std::env::var(name)
        .ok()
        .filter(|text| !text.trim().is_empty())
}
