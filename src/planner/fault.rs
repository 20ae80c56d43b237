//! A fault in a problem, named by its place in the file.

use std::fmt;

/// One fault of a problem.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Fault {
    /// JSON pointer (RFC 6901) of the faulty value, `/visits/3/ways/0/tools/1`; the root is the empty text.
    pub pointer: String,
    /// What is wrong with it.
    pub text: String,
}

impl Fault {
    /// A fault of the file as a whole.
    pub(crate) fn at_root(text: String) -> Self {
        Self {
            pointer: String::new(),
            text,
        }
    }
}

impl fmt::Display for Fault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "fault {}: {}", self.pointer, self.text)
    }
}
