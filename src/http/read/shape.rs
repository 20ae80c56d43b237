//! How deep and how long a JSON body may be, looked at before anything is made of it.

use crate::http::problem::{Kind, Problem};

/// Lists and objects within each other. No body of the API needs more than a handful; our own figure.
const DEEPEST: usize = 32;
/// Items of one list. Our own figure; what belongs together in one request is far less.
const LONGEST: usize = 5_000;

enum Level<'a> {
    List {
        items: usize,
    },
    /// With the name that was read last, in its quotes.
    Object {
        name: &'a [u8],
        names: bool,
    },
}

/// Refuses a body that is nested too deep, or holds too long a list, by its JSON pointer. What is no JSON is the reader's to
/// say.
pub fn check(body: &[u8]) -> Result<(), Problem> {
    let mut levels: Vec<Level<'_>> = Vec::new();
    let mut at = 0;
    while let Some(&byte) = body.get(at) {
        match byte {
            b'"' => {
                let end = end_of_text(body, at);
                if let Some(Level::Object { name, names: true }) = levels.last_mut() {
                    *name = &body[at..end];
                }
                at = end;
                continue;
            }
            b'[' => levels.push(Level::List { items: 1 }),
            b'{' => levels.push(Level::Object {
                name: &[],
                names: true,
            }),
            b']' | b'}' => {
                levels.pop();
            }
            b':' => {
                if let Some(Level::Object { names, .. }) = levels.last_mut() {
                    *names = false;
                }
            }
            b',' => match levels.last_mut() {
                Some(Level::List { items }) => *items += 1,
                Some(Level::Object { names, .. }) => *names = true,
                None => {}
            },
            _ => {}
        }
        if levels.len() > DEEPEST {
            let field = pointer(&levels[..DEEPEST]);
            let detail = format!("lists and objects lie at most {DEEPEST} deep within each other");
            return Err(Problem::unreadable(field, detail));
        }
        if let Some(Level::List { items }) = levels.last()
            && *items > LONGEST
        {
            let field = pointer(&levels[..levels.len() - 1]);
            let detail = format!("a list holds at most {LONGEST} items: send the rest by itself");
            return Err(Problem::of_field(Kind::Refused, field, detail));
        }
        at += 1;
    }
    Ok(())
}

/// Where the text ends that begins here, behind its quotes.
pub fn end_of_text(body: &[u8], from: usize) -> usize {
    let mut at = from + 1;
    while let Some(&byte) = body.get(at) {
        match byte {
            b'"' => return at + 1,
            b'\\' => at += 2,
            _ => at += 1,
        }
    }
    body.len()
}

/// The JSON pointer (RFC 6901) that these levels lead to.
fn pointer(levels: &[Level<'_>]) -> String {
    let step = |level: &Level<'_>| match level {
        Level::List { items } => format!("/{}", items - 1),
        Level::Object { name, .. } => {
            let name: String = serde_json::from_slice(name).unwrap_or_default();
            format!("/{}", super::escape(&name))
        }
    };
    levels.iter().map(step).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn fault(body: &str) -> Option<(Kind, String)> {
        let problem = check(body.as_bytes()).err()?;
        Some((problem.kind(), problem.faults()[0].field.clone()))
    }

    #[test]
    fn what_lies_too_deep_is_named_by_its_pointer() {
        let nested = |deep: usize| format!("{}{}", "[".repeat(deep), "]".repeat(deep));
        assert_eq!(fault(&nested(DEEPEST)), None);
        let found = fault(&nested(DEEPEST + 1)).unwrap();
        assert_eq!(found, (Kind::Unreadable, "/0".repeat(DEEPEST)));
        let text = format!(r#"{{"a/b":[1,{{"c":{}}}]}}"#, nested(DEEPEST));
        assert!(fault(&text).unwrap().1.starts_with("/a~1b/1/c/0"));
    }

    #[test]
    fn a_list_that_is_too_long_is_named_by_its_pointer() {
        let list = |items: usize| format!("[{}]", vec!["0"; items].join(","));
        let of = |items: usize| format!(r#"{{"x":1,"courts":{},"y":2}}"#, list(items));
        assert_eq!(fault(&of(LONGEST)), None);
        assert_eq!(
            fault(&of(LONGEST + 1)),
            Some((Kind::Refused, "/courts".into()))
        );
        assert_eq!(
            fault(&list(LONGEST + 1)),
            Some((Kind::Refused, String::new()))
        );
    }

    #[test]
    fn what_stands_in_a_text_is_no_list() {
        let text = format!(r#"{{"note":"\"{}\\"}}"#, "[,".repeat(9_000));
        assert_eq!(fault(&text), None);
        for broken in ["\"", "\"\\", "]]]]", ",,,", "{:", ""] {
            assert_eq!(fault(broken), None, "{broken}");
        }
    }
}
