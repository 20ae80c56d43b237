//! Backups: taken while the house is lived in, restored elsewhere, and refused where they are not
//! whole or where something stands.

mod before_migration;
mod nightly;
mod place;
mod restored;
mod seen;

use std::path::{Path, PathBuf};
use std::process::{Command, Output};

/// A command of the program, with nothing of this shell's own settings.
pub fn roundhand(args: &[&str]) -> Output {
    let mut command = Command::new(env!("CARGO_BIN_EXE_roundhand"));
    for name in [
        "DATABASE_URL",
        "BACKUP_FOLDER",
        "BACKUP_KEEP",
        "BACKUP_AT",
        "POSTGRES_TOOLS",
    ] {
        command.env_remove(format!("ROUNDHAND_{name}"));
    }
    command.args(args).output().expect("the program runs")
}

/// What it printed, where it did its work.
#[track_caller]
pub fn done(ran: &Output) -> String {
    let told = String::from_utf8_lossy(&ran.stderr);
    let text = String::from_utf8_lossy(&ran.stdout).into_owned();
    assert!(ran.status.success(), "{told}\n{text}");
    text
}

/// Why it did not.
#[track_caller]
pub fn refused(ran: &Output) -> String {
    let text = String::from_utf8_lossy(&ran.stdout);
    assert!(!ran.status.success(), "{text}");
    String::from_utf8_lossy(&ran.stderr).into_owned()
}

/// Backs a database up into a folder; gives the file.
#[track_caller]
pub fn back_up(url: &str, folder: &Path) -> PathBuf {
    let to = format!("{}/", folder.display());
    let text = done(&roundhand(&["backup", "--database", url, "--to", &to]));
    PathBuf::from(text.lines().next().expect("the file is named"))
}

/// Names in a folder, in order.
pub fn names(folder: &Path) -> Vec<String> {
    let Ok(entries) = std::fs::read_dir(folder) else {
        return Vec::new();
    };
    let names = entries.map(|entry| entry.unwrap().file_name().to_string_lossy().into_owned());
    let mut names: Vec<_> = names.collect();
    names.sort();
    names
}
