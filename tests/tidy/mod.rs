//! What the source keeps to: floors that only look down, one clock, texts that stand in one place,
//! small files, and nothing unexpected beside them.

mod floors;
mod named_tests;
mod pages;
mod sizes;
mod tablet_words;
mod top_level;
mod words;

use std::path::{Path, PathBuf};

/// The project's own folder.
fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

/// A source file.
pub struct Source {
    /// Its path from the project's folder: `src/desk/orders.rs`.
    pub path: String,
    /// What it says.
    pub text: String,
}

impl Source {
    /// Its lines without comments, numbered from 1.
    fn code(&self) -> impl Iterator<Item = (usize, &str)> {
        let lines = self.text.lines().enumerate();
        lines.map(|(index, line)| (index + 1, line.split("//").next().unwrap_or_default()))
    }

    /// Where in its code one of these words stands: `path:line: the line`.
    fn places_of(&self, words: &[&str]) -> Vec<String> {
        self.code()
            .filter(|(_, line)| words.iter().any(|word| has_word(line, word)))
            .map(|(number, line)| format!("{}:{number}: {}", self.path, line.trim()))
            .collect()
    }
}

/// Whether `word` stands in `line`, not as part of a longer name.
fn has_word(line: &str, word: &str) -> bool {
    let part_of_name = |c: char| c.is_alphanumeric() || c == '_';
    line.match_indices(word).any(|(at, _)| {
        let before = line[..at].chars().next_back();
        let after = line[at + word.len()..].chars().next();
        !before.is_some_and(part_of_name) && !after.is_some_and(part_of_name)
    })
}

/// The files under a folder of the project with this ending, in order of path.
pub fn sources(folder: &str, ending: &str) -> Vec<Source> {
    let mut paths = Vec::new();
    collect(&root().join(folder), &mut paths);
    paths.sort();
    let found: Vec<_> = paths
        .into_iter()
        .filter(|path| path.extension().is_some_and(|have| have == ending))
        .map(|path| Source {
            text: std::fs::read_to_string(&path).expect("a source file is text"),
            path: path
                .strip_prefix(root())
                .expect("it lies under the root")
                .to_string_lossy()
                .into_owned(),
        })
        .collect();
    assert!(!found.is_empty(), "no .{ending} file under {folder}");
    found
}

fn collect(folder: &Path, paths: &mut Vec<PathBuf>) {
    for entry in std::fs::read_dir(folder).expect("the folder is there") {
        let path = entry.expect("it can be listed").path();
        if path.is_dir() {
            collect(&path, paths);
        } else {
            paths.push(path);
        }
    }
}

#[track_caller]
fn none(places: &[String], rule: &str) {
    assert!(places.is_empty(), "{rule}:\n{}", places.join("\n"));
}

#[test]
fn a_word_is_found_as_a_whole_and_not_in_a_comment() {
    let source = Source {
        path: "x.rs".into(),
        text: "use diesel::prelude; // diesel\nlet diesel_engine = 1;\n/// diesel\n".into(),
    };
    assert_eq!(
        source.places_of(&["diesel"]),
        ["x.rs:1: use diesel::prelude;"]
    );
}
