//! Every text a person sees stands in the words files, once, and is used.

use std::collections::BTreeSet;

use fluent_bundle::FluentResource;

use super::{none, sources};

/// The words files together.
const FILE: &str = "src/words";

/// What the office says; the tablet's page has words of its own.
fn text() -> String {
    sources(FILE, "ftl")
        .into_iter()
        .filter(|source| !source.path.ends_with("/tablet.ftl"))
        .map(|source| source.text + "\n")
        .collect()
}

/// The keys of the words files, in order.
pub(super) fn keys(text: &str) -> Vec<&str> {
    text.lines()
        .filter(|line| line.starts_with(|c: char| c.is_ascii_alphabetic()))
        .filter_map(|line| line.split_once('='))
        .map(|(key, _)| key.trim())
        .collect()
}

/// The patterns of keys in the code: literals such as `"caution-{}"`, without their quotes.
fn patterns(text: &str) -> Vec<&str> {
    let of_a_key = |c: char| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-';
    text.match_indices("-{")
        .filter_map(|(at, _)| {
            let head = text[..=at].trim_end_matches(of_a_key);
            let start = head.ends_with('"').then_some(head.len())?;
            let end = at + text[at..].find('"')?;
            Some(&text[start..end])
        })
        .collect()
}

/// The keys said by name: `say("…")` and `say_with("…"`, on one line or over two.
fn said(text: &str) -> BTreeSet<&str> {
    let mut found = BTreeSet::new();
    for call in ["say(", "say_with("] {
        for (at, _) in text.match_indices(call) {
            let rest = text[at + call.len()..].trim_start();
            if let Some(key) = rest
                .strip_prefix('"')
                .and_then(|rest| rest.split('"').next())
            {
                found.insert(key);
            }
        }
    }
    found
}

/// Whether a pattern can say this key.
pub(super) fn says(pattern: &str, key: &str) -> bool {
    let Some((head, rest)) = pattern.split_once('{') else {
        return false;
    };
    let tail = rest.rsplit_once('}').map_or("", |(_, tail)| tail);
    key.len() > head.len() + tail.len() && key.starts_with(head) && key.ends_with(tail)
}

#[test]
fn the_words_file_reads_without_a_fault_and_says_nothing_twice() {
    let text = text();
    if let Err((_, faults)) = FluentResource::try_new(text.clone()) {
        panic!("{FILE}: {faults:?}");
    }
    let mut seen = BTreeSet::new();
    let twice: Vec<_> = keys(&text)
        .into_iter()
        .filter(|key| !seen.insert(*key))
        .collect();
    assert!(twice.is_empty(), "{FILE} says these twice: {twice:?}");
}

#[test]
fn every_text_that_is_said_stands_in_the_words_file() {
    let text = text();
    let known: BTreeSet<_> = keys(&text).into_iter().collect();
    let mut missing = Vec::new();
    for source in sources("src", "rs") {
        if source.path == "src/words/mod.rs" {
            continue;
        }
        for key in said(&source.text) {
            if !known.contains(key) {
                missing.push(format!("{}: {key}", source.path));
            }
        }
    }
    none(&missing, &format!("{FILE} lacks these"));
}

#[test]
fn every_text_of_the_words_file_is_used() {
    let code = sources("src", "rs");
    let patterns: Vec<&str> = code
        .iter()
        .flat_map(|source| patterns(&source.text))
        .collect();
    let words = text();
    let unused: Vec<String> = keys(&words)
        .into_iter()
        .filter(|key| {
            let literal = format!("\"{key}\"");
            !code.iter().any(|source| source.text.contains(&literal))
        })
        .filter(|key| !patterns.iter().any(|pattern| says(pattern, key)))
        // A text may be part of another: `{ product }`.
        .filter(|key| !words.contains(&format!("{{ {key} }}")))
        .map(str::to_owned)
        .collect();
    none(&unused, &format!("nothing says these of {FILE}"));
}

#[test]
fn a_key_is_found_word_for_word_or_by_its_pattern() {
    assert_eq!(
        patterns(r#"format!("caution-{}", x); f("x-{y}-z"); a-{b}"#),
        ["caution-{}", "x-{y}-z"]
    );
    assert_eq!(
        said("say(\"one\"), say_with(\n    \"two\", &[])"),
        BTreeSet::from(["one", "two"])
    );
    assert!(says("caution-{}", "caution-dust"));
    assert!(says("state-{state}-short", "state-issued-short"));
    assert!(!says("state-{state}-short", "state-issued"));
}
