//! One message in two forms: plain text for every reader, HTML for those that show it.

use std::time::{Duration, SystemTime};

use chrono::{DateTime, Utc};
use lettre::Message;
use lettre::message::header::{ContentTransferEncoding, ContentType};
use lettre::message::{Body, Mailbox, MultiPart, SinglePart};
use uuid::Uuid;

use super::Error;

/// A message to one reader.
#[derive(Clone, Debug)]
pub struct Letter<'a> {
    /// Names this message for good: its Message-ID and the boundary between its parts come from it.
    pub key: Uuid,
    /// The reader's name.
    pub name: &'a str,
    /// The reader's address.
    pub email: &'a str,
    /// When it was written.
    pub written_at: DateTime<Utc>,
    /// Subject.
    pub subject: &'a str,
    /// The plain text.
    pub text: &'a str,
    /// The same as an HTML document.
    pub html: &'a str,
}

impl Letter<'_> {
    /// The message as RFC 5322 and RFC 2046 want it: plain text first, the richer form last.
    ///
    /// Both parts are quoted-printable whatever they hold: no line is too long for any server on
    /// the way, and a boundary with `=_` in it cannot occur in them (RFC 2045 section 6.7).
    pub(super) fn message(&self, from: &Mailbox) -> Result<Message, Error> {
        let address = self.email.parse().map_err(|e| {
            Error::Unwritable(format!("{} is no address: {e}", one_line(self.email)))
        })?;
        let name = Some(one_line(self.name)).filter(|name| !name.is_empty());
        let boundary: String = self.key.simple().to_string().chars().take(24).collect();
        let message_id = format!("<{}@{}>", self.key, from.email.domain());
        Message::builder()
            .from(from.clone())
            .to(Mailbox::new(name, address))
            .date(system_time(self.written_at))
            .message_id(Some(message_id))
            .subject(one_line(self.subject))
            .multipart(
                MultiPart::alternative()
                    .boundary(format!("=_{boundary}"))
                    .singlepart(part(ContentType::TEXT_PLAIN, self.text)?)
                    .singlepart(part(ContentType::TEXT_HTML, self.html)?),
            )
            .map_err(|e| Error::Unwritable(e.to_string()))
    }
}

fn part(kind: ContentType, text: &str) -> Result<SinglePart, Error> {
    let body = Body::new_with_encoding(text.to_owned(), ContentTransferEncoding::QuotedPrintable)
        .map_err(|_| Error::Unwritable("a part cannot be encoded".into()))?;
    Ok(SinglePart::builder().header(kind).body(body))
}

/// What may stand in a header: one line, without control characters, whatever was typed.
fn one_line(text: &str) -> String {
    let plain: String = text
        .chars()
        .map(|c| if c.is_control() { ' ' } else { c })
        .collect();
    plain.split_whitespace().collect::<Vec<_>>().join(" ")
}

fn system_time(at: DateTime<Utc>) -> SystemTime {
    SystemTime::UNIX_EPOCH + Duration::from_secs(u64::try_from(at.timestamp()).unwrap_or(0))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn written(subject: &str, name: &str) -> String {
        let letter = Letter {
            key: Uuid::from_u128(0x1234_5678_9abc_def0_1234_5678_9abc_def0),
            name,
            email: "pat@example.org",
            written_at: DateTime::from_timestamp(1_939_111_200, 0).unwrap(),
            subject,
            text: "plain",
            html: "<p>rich</p>",
        };
        let from: Mailbox = "Grounds office <courts@example.org>".parse().unwrap();
        let bytes = letter.message(&from).unwrap().formatted();
        String::from_utf8(bytes).unwrap()
    }

    #[test]
    fn the_same_letter_is_written_the_same_twice() {
        assert_eq!(written("Week", "Pat"), written("Week", "Pat"));
    }

    #[test]
    fn what_was_typed_stays_inside_its_header() {
        let wire = written(
            "Week\r\nBcc: all@example.org\r\n\r\nHello",
            "Pat\nX-More: 1",
        );
        let (head, _) = wire.split_once("\r\n\r\n").unwrap();
        assert!(!head.lines().any(|l| l.starts_with("Bcc:")), "{head}");
        assert!(!head.lines().any(|l| l.starts_with("X-More:")), "{head}");
        assert!(
            head.contains("Subject: Week Bcc: all@example.org Hello"),
            "{head}"
        );
    }

    #[test]
    fn an_address_that_is_none_is_told_before_anything_is_sent() {
        let letter = Letter {
            key: Uuid::nil(),
            name: "",
            email: "nobody at all",
            written_at: DateTime::UNIX_EPOCH,
            subject: "",
            text: "",
            html: "",
        };
        let from: Mailbox = "courts@example.org".parse().unwrap();
        assert!(matches!(letter.message(&from), Err(Error::Unwritable(_))));
    }
}
