//! A house for a test: its own database on either engine, a set-up site, and the service running
//! on a free port. Helpers act through the public API; what touches tables says so in its name.

mod client;
mod ground;
mod house;
mod operations;
mod queries;
mod tables;

pub use client::{Answer, Client};
pub use ground::{Ground, Place, TODAY};
pub use house::{Engine, Home, House, home, key_of, serving, start, tablet_of};
pub use operations::Operation;
pub use tables::{db_planned_order, db_run};

/// Leaves a check out, loudly and counted: prints it, notes it in the file that
/// `ROUNDHAND_TEST_SKIPS` names, and fails under `CI=true`.
pub fn skip(why: &str) {
    println!("SKIPPED: {why}");
    assert!(
        std::env::var("CI").as_deref() != Ok("true"),
        "nothing is skipped under CI: {why}"
    );
    if let Ok(file) = std::env::var("ROUNDHAND_TEST_SKIPS") {
        use std::io::Write;
        let note = std::fs::OpenOptions::new()
            .create(true)
            .append(true)
            .open(file);
        note.and_then(|mut f| writeln!(f, "SKIPPED: {why}"))
            .expect("the skip file takes a line");
    }
}

/// Declares tests that run on SQLite and on PostgreSQL, each in a house of its own.
macro_rules! on_both_engines {
    ($($(#[$meta:meta])* async fn $name:ident($house:ident) $body:block)+) => {$(
        mod $name {
            #[allow(unused_imports)]
            use super::*;

            async fn check($house: &$crate::support::House) $body

            $(#[$meta])*
            #[tokio::test(flavor = "multi_thread", worker_threads = 2)]
            async fn sqlite() {
                let house = $crate::support::House::open($crate::support::Engine::Sqlite).unwrap();
                check(&house).await;
            }

            $(#[$meta])*
            #[tokio::test(flavor = "multi_thread", worker_threads = 2)]
            async fn postgres() {
                match $crate::support::House::open($crate::support::Engine::Postgres) {
                    Some(house) => check(&house).await,
                    None => $crate::support::skip(
                        "no PostgreSQL: tests/run starts one and sets ROUNDHAND_TEST_POSTGRES_URL",
                    ),
                }
            }
        }
    )+};
}
pub(crate) use on_both_engines;
