//! `roundhand check`: a house that was lived in proves, and whatever somebody changes behind its
//! back is named.

mod expected;
pub mod lived_in;
mod taken_back;
mod tampered;
mod unproved;

use std::process::{Command, Output};

pub use lived_in::{lived_in, on_each_engine, work_a_little};

/// `roundhand check` on a database.
pub fn check(url: &str, more: &[&str]) -> Output {
    let mut command = Command::new(env!("CARGO_BIN_EXE_roundhand"));
    command.env_remove("ROUNDHAND_DATABASE_URL");
    command
        .args(["check", "--database", url])
        .args(more)
        .output()
        .expect("the program runs")
}

/// What it printed.
pub fn said(ran: &Output) -> String {
    String::from_utf8_lossy(&ran.stdout).into_owned()
}

/// The end of the chain of a house's one site, as a check of it prints it.
pub fn end_of_chain(url: &str) -> String {
    let text = said(&check(url, &[]));
    let line = text
        .lines()
        .find_map(|line| line.trim().strip_prefix("its end: "));
    line.unwrap_or_else(|| panic!("no end is printed\n{text}"))
        .to_owned()
}
