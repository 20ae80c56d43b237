//! From a report to a message on the wire: a letter laid out as text and HTML, one message of both,
//! and the mail server that takes it.

mod drawing;
mod html;
mod letter;
mod settings;
pub mod sheet;
mod text;

pub use letter::Letter;
pub use settings::{BadSettings, Settings};

/// Why a message did not leave the house.
#[derive(Debug, thiserror::Error)]
pub enum Error {
    /// It cannot be written: an address that is none.
    #[error("the message cannot be written: {0}")]
    Unwritable(String),
    /// The mail server refused it for good.
    #[error("the mail server refused it for good: {0}")]
    Refused(String),
    /// It may go another time.
    #[error("{0}")]
    NotNow(String),
}

impl Error {
    /// Whether trying again can help.
    pub const fn may_pass(&self) -> bool {
        matches!(self, Self::NotNow(_))
    }
}

/// Whether this is one address that mail can be sent to. Beyond ASCII there is no way that every
/// server on the way takes.
pub fn is_address(text: &str) -> bool {
    text.is_ascii() && text.len() <= 254 && text.parse::<lettre::Address>().is_ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_plain_address_is_one() {
        assert!(is_address("gm@example.org"));
        for not in [
            "",
            "gm",
            "gm@",
            "a@example.org, b@example.org",
            "a@b\r\nBcc: c@example.org",
            "g\u{e9}@example.org",
        ] {
            assert!(!is_address(not), "{not}");
        }
    }
}
