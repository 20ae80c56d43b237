//! The tablet's page says the same in every language, and nothing that nobody says.

use std::collections::{BTreeMap, BTreeSet};

use fluent_bundle::FluentResource;

use super::words::{keys, says};
use super::{Source, none, sources};

/// What the page says, by language.
fn languages() -> Vec<Source> {
    let mut found = sources("src/words", "ftl");
    found.retain(|source| source.path.ends_with("/tablet.ftl"));
    assert!(found.len() > 1, "more than one language");
    found
}

/// Each text's values, `{ $name }`, by its key.
fn values(text: &str) -> BTreeMap<&str, BTreeSet<&str>> {
    let mut found: BTreeMap<&str, BTreeSet<&str>> = BTreeMap::new();
    let mut key = "";
    for line in text.lines().filter(|line| !line.starts_with('#')) {
        if line.starts_with(|c: char| c.is_ascii_alphabetic()) {
            key = line.split('=').next().unwrap_or_default().trim();
        }
        let names = line.split('$').skip(1).filter_map(|rest| {
            let end = rest.find(|c: char| !c.is_ascii_alphanumeric() && c != '_')?;
            Some(&rest[..end])
        });
        found.entry(key).or_default().extend(names);
    }
    found
}

/// The keys that a script puts together: `` `state-${…}` ``, and `wordOf("hold", …)`.
fn patterns(text: &str) -> Vec<String> {
    let templates = text.split('`').skip(1).step_by(2);
    let templates = templates.filter_map(|inner| {
        let (head, rest) = inner.split_once("${")?;
        let tail = rest.rsplit_once('}').map_or("", |(_, tail)| tail);
        head.ends_with('-').then(|| format!("{head}{{}}{tail}"))
    });
    let named = ["wordOf(\"", "wordPicks(\""].into_iter();
    let words = named.flat_map(|call| text.split(call).skip(1));
    let words = words.filter_map(|rest| Some(format!("{}-{{}}", rest.split('"').next()?)));
    templates.chain(words).collect()
}

#[test]
fn every_language_says_the_same_with_the_same_values() {
    let languages = languages();
    let first = values(&languages[0].text);
    let mut odd = Vec::new();
    for other in &languages {
        if let Err((_, faults)) = FluentResource::try_new(other.text.clone()) {
            odd.push(format!("{}: {faults:?}", other.path));
        }
        let mut seen = BTreeSet::new();
        let twice = keys(&other.text)
            .into_iter()
            .filter(|key| !seen.insert(*key));
        odd.extend(twice.map(|key| format!("{}: {key} twice", other.path)));
        let own = values(&other.text);
        for key in first.keys().chain(own.keys()) {
            if first.get(key) != own.get(key) {
                odd.push(format!(
                    "{}: {key}: {:?} for {:?}",
                    other.path,
                    own.get(key),
                    first.get(key)
                ));
            }
        }
    }
    none(&odd, "the languages differ");
}

#[test]
fn every_text_of_the_page_is_said_and_every_text_that_is_said_is_there() {
    let scripts = sources("src/http/tablet", "js");
    let patterns: Vec<String> = scripts
        .iter()
        .flat_map(|source| patterns(&source.text))
        .collect();
    let language = &languages()[0];
    let known: BTreeSet<&str> = keys(&language.text).into_iter().collect();
    let unused: Vec<String> = known
        .iter()
        .filter(|key| {
            !scripts
                .iter()
                .any(|source| source.text.contains(&format!("\"{key}\"")))
        })
        .filter(|key| !patterns.iter().any(|pattern| says(pattern, key)))
        .map(|key| format!("{}: {key}", language.path))
        .collect();
    none(&unused, "nothing on the page says these");
    let mut missing = Vec::new();
    for source in scripts
        .iter()
        .filter(|source| !source.path.contains("/vendor/"))
    {
        for (at, call) in source.text.match_indices("say(\"") {
            let key = source.text[at + call.len()..]
                .split('"')
                .next()
                .unwrap_or_default();
            // The page's own news go by the same word, in the files that take it from there.
            if !known.contains(key) && !takes_news(&source.text) {
                missing.push(format!("{}: {key}", source.path));
            }
        }
    }
    none(&missing, "the page has no words for these");
}

/// Whether a script says news, which go by the same word as texts do elsewhere.
fn takes_news(text: &str) -> bool {
    let mut imports = text
        .lines()
        .filter(|line| line.contains("from \"./news.js\""));
    imports.any(|line| line.contains(" say,") || line.contains(" say }"))
}

/// Faults of what the office's pages and programs alone can send.
const NOT_OF_THE_TABLET: [&str; 13] = [
    "defect_has_order",
    "defect_mended",
    "half_a_place",
    "hold_reason_extra",
    "hold_released",
    "note_seen",
    "order_of_plan",
    "reason_extra",
    "tool_twice",
    "too_much",
    "treatment_extra",
    "until_extra",
    "uses_range",
];

/// The stable words of faults in a source: the literal with which a code begins.
fn codes(text: &str) -> BTreeSet<&str> {
    let begins = ["coded(", "refused_as(", "state_of(", "fault(", "code = ("];
    let after = begins.iter().flat_map(|begin| text.split(begin).skip(1));
    after
        .filter_map(|rest| {
            let rest = rest.trim_start_matches(|c: char| c.is_whitespace() || c == '(');
            rest.strip_prefix('"')?.split('"').next()
        })
        .filter(|word| word.chars().all(|c| c.is_ascii_lowercase() || c == '_'))
        .collect()
}

#[test]
fn every_fault_that_a_tablet_can_meet_is_said_in_its_reader_s_language() {
    let mut desk = sources("src/desk", "rs");
    // There `fault` takes a field, and what it is of is no matter of the tablet.
    let of_fields = [
        "src/desk/skills.rs",
        "src/desk/stores.rs",
        "src/desk/wear/supplies.rs",
    ];
    desk.retain(|source| !of_fields.contains(&&*source.path));
    let given: BTreeSet<String> = desk
        .iter()
        .flat_map(|source| codes(&source.text))
        .filter(|code| !NOT_OF_THE_TABLET.contains(code))
        .map(|code| format!("fault-{}", code.replace('_', "-")))
        .collect();
    let language = &languages()[0];
    let said: BTreeSet<String> = keys(&language.text)
        .into_iter()
        .filter(|key| key.starts_with("fault-") && !["fault-office", "fault-other"].contains(key))
        .map(str::to_owned)
        .collect();
    let missing: Vec<_> = given.difference(&said).cloned().collect();
    none(&missing, "the tablet has no words for these");
    let nobody_s: Vec<_> = said.difference(&given).cloned().collect();
    none(&nobody_s, "no fault of the office is called so");
}
