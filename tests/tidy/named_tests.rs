//! A page that names tests as proofs names tests that are there.

use super::{none, root};

/// The names between backticks that lead to tests: `access::every_refusal_is_a_problem_document`, `src desk::tokens::tests`.
fn named(text: &str) -> Vec<String> {
    let names = text.split('`').skip(1).step_by(2);
    names
        .filter(|name| {
            let plain = |c: char| c.is_ascii_lowercase() || c.is_ascii_digit() || "_: ".contains(c);
            name.contains("::") && name.chars().all(plain)
        })
        .map(str::to_owned)
        .collect()
}

/// Whether a module, or a function of one, lies under `tests/` or `src/`.
fn is_there(name: &str) -> bool {
    let (base, path) = match name.strip_prefix("src ") {
        Some(path) => ("src", path),
        None => ("tests", name),
    };
    let parts: Vec<&str> = path.split("::").collect();
    let text_of = |parts: &[&str]| {
        let place = root().join(base).join(parts.join("/"));
        let files = [place.with_extension("rs"), place.join("mod.rs")];
        files
            .iter()
            .find_map(|file| std::fs::read_to_string(file).ok())
    };
    if text_of(&parts).is_some() {
        return true;
    }
    // A function of a module, or one of the tests beside the code.
    (1..parts.len()).any(|cut| {
        let rest = &parts[cut..];
        text_of(&parts[..cut]).is_some_and(|text| match rest {
            ["tests"] => text.contains("mod tests"),
            [function] | ["tests", function] => text.contains(&format!("fn {function}(")),
            _ => false,
        })
    })
}

#[test]
fn every_test_that_the_security_table_names_is_there() {
    let file = root().join("tests/security/README.md");
    let text = std::fs::read_to_string(file).expect("the table is there");
    let names = named(&text);
    assert!(names.len() > 60, "{} tests are named", names.len());
    let missing: Vec<String> = names.into_iter().filter(|name| !is_there(name)).collect();
    none(
        &missing,
        "tests/security/README.md names tests that are not there",
    );
}
