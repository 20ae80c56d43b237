//! Files stay small enough to be read at once.

use super::{none, sources};

/// Most lines a file of source may have.
const MOST: usize = 600;

/// The list of every table, which no one reads from end to end.
const LISTS: &[&str] = &["src/store/schema.rs"];

#[test]
fn no_source_file_is_too_long_to_be_read_at_once() {
    let mut files = Vec::new();
    for (folder, ending) in [
        ("src", "rs"),
        ("src", "ftl"),
        ("tests", "rs"),
        ("migrations", "sql"),
    ] {
        files.extend(sources(folder, ending));
    }
    let places: Vec<_> = files
        .iter()
        .filter(|file| !LISTS.contains(&file.path.as_str()))
        .map(|file| (file, file.text.lines().count()))
        .filter(|(_, lines)| *lines > MOST)
        .map(|(file, lines)| format!("{}: {lines} lines", file.path))
        .collect();
    none(
        &places,
        &format!("a file has at most {MOST} lines: split it by subject"),
    );
}
