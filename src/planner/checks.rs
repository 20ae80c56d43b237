//! Checks of the planner as a whole: small days whose right plan is known by hand, and random days.

mod advice;
mod bad_input;
mod bad_news;
mod begun;
mod bound;
mod builder;
mod mangle;
mod properties;
mod reading;
mod reasons;
mod refused;
mod relaxed;
mod rest;
mod rest_kits;
mod rest_properties;
mod statements;

/// So many random cases where proptest's own number stands, more and fewer in proportion where `PROPTEST_CASES` asks
/// for another.
fn cases(usual: u32) -> proptest::test_runner::Config {
    let asked = proptest::test_runner::Config::default();
    proptest::test_runner::Config {
        cases: asked.cases * usual / 256,
        failure_persistence: None,
        ..asked
    }
}
