//! A newcomer sees at the top what the project is made of, and nothing else.

use super::root;

const ALLOWED: &[&str] = &[
    "Cargo.toml",
    "Cargo.lock",
    "README.md",
    "DEVELOPERS.md",
    "LICENSE",
    "src",
    "migrations",
    "api-spec",
    "tests",
    "docker",
    "demo-seed",
];

/// Whether `name` is one that `.gitignore` leaves out: `/target`, `*.sqlite`.
fn is_ignored(name: &str, patterns: &str) -> bool {
    patterns.lines().any(|pattern| {
        let pattern = pattern.trim().trim_start_matches('/').trim_end_matches('/');
        match pattern.split_once('*') {
            Some((head, tail)) => {
                let tail = tail.trim_end_matches('*');
                name.strip_prefix(head)
                    .is_some_and(|rest| rest.contains(tail) && !tail.is_empty())
            }
            None => name == pattern,
        }
    })
}

#[test]
fn the_top_level_holds_what_the_project_is_made_of_and_nothing_else() {
    let ignored = std::fs::read_to_string(root().join(".gitignore")).expect("there is one");
    let strangers: Vec<String> = std::fs::read_dir(root())
        .expect("the root can be listed")
        .map(|entry| {
            entry
                .expect("an entry")
                .file_name()
                .to_string_lossy()
                .into_owned()
        })
        .filter(|name| !name.starts_with('.'))
        .filter(|name| !ALLOWED.contains(&name.as_str()) && !is_ignored(name, &ignored))
        .collect();
    assert!(
        strangers.is_empty(),
        "find these a place in a folder that says what they are: {strangers:?}"
    );
}
