//! Pages keep script and style in files, so that the policy that forbids them inline can stand.

use super::{none, sources};

#[test]
fn no_page_carries_script_or_style_inline() {
    let mut places = Vec::new();
    for source in sources("src/http", "rs") {
        for (number, line) in source.code() {
            let squeezed: String = line.chars().filter(|c| !c.is_whitespace()).collect();
            let style = squeezed.contains("style{") || attribute(line, "style");
            // `script src=… {}` is a reference; a script element without one holds its text here.
            let squeezed = squeezed.replace("noscript{", "{");
            let script = squeezed.contains("script{") || squeezed.contains("\"<script");
            let handler = HANDLERS.iter().any(|name| attribute(line, name));
            let link = squeezed.contains("javascript:");
            if style || script || handler || link {
                places.push(format!("{}:{number}: {}", source.path, line.trim()));
            }
        }
    }
    none(&places, "put script and style into src/http/assets");
}

/// The event attributes of HTML that a page of ours could be tempted to use.
const HANDLERS: &[&str] = &[
    "onclick",
    "onchange",
    "oninput",
    "onsubmit",
    "onload",
    "onerror",
    "onkeydown",
    "onkeyup",
    "onfocus",
    "onblur",
    "ontoggle",
    "onpointerdown",
];

/// Whether a line sets this attribute in markup: `style=`, as its own word.
fn attribute(line: &str, name: &str) -> bool {
    line.match_indices(name).any(|(at, _)| {
        let before = line[..at].chars().next_back();
        let after = line[at + name.len()..].trim_start();
        !before.is_some_and(|c| c.is_alphanumeric() || c == '_' || c == '.' || c == '-')
            && after.starts_with('=')
            && !after.starts_with("==")
            && !after.starts_with("=>")
            && !line.trim_start().starts_with("let ")
    })
}

#[test]
fn an_attribute_is_told_from_a_variable() {
    assert!(attribute(r#"div style="color: red" {"#, "style"));
    assert!(attribute(r#"button onclick = "go()" {"#, "onclick"));
    assert!(!attribute("let style = 1;", "style"));
    assert!(!attribute("if style == 1 {", "style"));
}
