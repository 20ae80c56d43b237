//! Text in one line: names of things and people.

use super::{Error, Result};

/// Longest name of a person or a thing, characters.
const NAME_CHARS: usize = 120;

/// Whether a text, blanks around it aside, is one line of at least one character and at most `longest`.
pub fn is_line(text: &str, longest: usize) -> bool {
    let length = text.trim().chars().count();
    (1..=longest).contains(&length) && !text.chars().any(char::is_control)
}

/// Takes a name in one line, else refuses its field.
pub fn plain_name(field: &str, name: &str) -> Result<()> {
    if is_line(name, NAME_CHARS) {
        return Ok(());
    }
    Err(Error::refused(
        field,
        "give the name in one line of 1 to 120 characters",
    ))
}
