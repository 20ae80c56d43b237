//! Checks of the planner as a whole: small days whose right plan is known by hand, and random days.

mod advice;
mod bad_input;
mod bound;
mod builder;
mod mangle;
mod properties;
mod reasons;
mod rest;
mod rest_properties;
mod statements;

/// So many random cases, or as many as `PROPTEST_CASES` asks for.
fn cases(usual: u32) -> proptest::test_runner::Config {
    let asked = std::env::var("PROPTEST_CASES").ok();
    proptest::test_runner::Config {
        cases: asked.and_then(|n| n.parse().ok()).unwrap_or(usual),
        failure_persistence: None,
        ..proptest::test_runner::Config::default()
    }
}
