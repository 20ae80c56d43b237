//! Requests octet by octet, for what no well-behaved client sends.

use std::io::{Read, Write};
use std::net::TcpStream;
use std::time::Duration;

/// An answer as it came over the wire.
pub struct RawAnswer(pub String);

impl RawAnswer {
    /// Its status.
    #[track_caller]
    pub fn status(&self) -> u16 {
        let status = self
            .0
            .split(' ')
            .nth(1)
            .and_then(|status| status.parse().ok());
        status.unwrap_or_else(|| panic!("no answer: {:?}", self.0))
    }

    /// A header's text.
    pub fn header(&self, name: &str) -> Option<&str> {
        let head = self.0.split("\r\n\r\n").next()?;
        let mut lines = head
            .lines()
            .skip(1)
            .filter_map(|line| line.split_once(": "));
        lines
            .find(|(have, _)| have.eq_ignore_ascii_case(name))
            .map(|(_, value)| value)
    }

    /// What follows the head.
    pub fn body(&self) -> &str {
        self.0.split_once("\r\n\r\n").map_or("", |(_, body)| body)
    }
}

/// Opens a connection to a service.
pub fn connect(base: &str) -> TcpStream {
    let stream = TcpStream::connect(base.trim_start_matches("http://")).expect("a connection");
    stream
        .set_read_timeout(Some(Duration::from_mins(1)))
        .expect("a limit");
    stream
}

/// Sends octets as they are, and reads until the service shuts the connection.
pub fn exchange(base: &str, sent: &[u8]) -> RawAnswer {
    let mut stream = connect(base);
    // What is refused before it was read whole may end the connection under the writer.
    let _ = stream.write_all(sent);
    to_the_end(stream)
}

/// Reads until the service shuts the connection.
pub fn to_the_end(mut stream: impl Read) -> RawAnswer {
    let mut answer = Vec::new();
    let mut piece = [0; 4096];
    // A connection that is reset has said what it had to say.
    while let Ok(read) = stream.read(&mut piece) {
        if read == 0 {
            break;
        }
        answer.extend_from_slice(&piece[..read]);
    }
    RawAnswer(String::from_utf8_lossy(&answer).into_owned())
}
