//! A real mail server on the loopback, and a reader of what it took: both are Python's.

use std::io::{BufRead, BufReader, Write};
use std::net::TcpListener;
use std::path::PathBuf;
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

use serde_json::Value;

/// How long a message may take to arrive.
const PATIENCE: Duration = Duration::from_secs(20);

/// The Python that has `aiosmtpd`, where there is one.
pub fn python() -> Option<PathBuf> {
    let python = PathBuf::from(std::env::var_os("ROUNDHAND_TEST_PYTHON")?);
    let found = Command::new(&python)
        .args(["-c", "import aiosmtpd.smtp"])
        .stderr(Stdio::null())
        .status();
    found.is_ok_and(|status| status.success()).then_some(python)
}

/// A port that nobody listens on.
pub fn free_port() -> u16 {
    let listener = TcpListener::bind("127.0.0.1:0").expect("a free port");
    listener.local_addr().expect("an address").port()
}

/// A mail server. It goes with the value.
pub struct MailServer {
    python: PathBuf,
    folder: tempfile::TempDir,
    port: u16,
    child: Child,
}

/// A message that was taken: as it came over the wire, and as a mail program reads it.
pub struct Taken {
    /// Every octet.
    pub wire: Vec<u8>,
    /// Whom the envelope names.
    pub to: Vec<String>,
    /// What Python's mail program reads.
    pub read: Value,
}

impl MailServer {
    /// A server on this port.
    pub fn start(python: PathBuf, port: u16) -> Self {
        let folder = tempfile::tempdir().expect("a folder");
        let mut child = Command::new(&python)
            .args(["-c", include_str!("receive.py")])
            .arg(folder.path())
            .arg(port.to_string())
            .stdout(Stdio::piped())
            .spawn()
            .expect("Python starts");
        let mut line = String::new();
        let out = child.stdout.take().expect("its output");
        BufReader::new(out).read_line(&mut line).expect("a line");
        assert_eq!(line.trim(), "ready", "the mail server did not start");
        Self {
            python,
            folder,
            port,
            child,
        }
    }

    /// A server on any free port.
    pub fn start_anywhere(python: PathBuf) -> Self {
        Self::start(python, free_port())
    }

    /// Its URL.
    pub fn url(&self) -> String {
        format!("smtp://127.0.0.1:{}", self.port)
    }

    /// The messages it took, in order, when there are at least so many; fails where they do not come.
    pub fn taken(&self, at_least: usize) -> Vec<Taken> {
        let give_up = Instant::now() + PATIENCE;
        loop {
            let files = self.files();
            if files.len() >= at_least {
                return files.iter().map(|file| self.read(file)).collect();
            }
            assert!(
                Instant::now() < give_up,
                "{} of {at_least} messages came",
                files.len()
            );
            std::thread::sleep(Duration::from_millis(20));
        }
    }

    fn files(&self) -> Vec<PathBuf> {
        let folder = std::fs::read_dir(self.folder.path()).expect("the folder");
        let mut files: Vec<PathBuf> = folder
            .map(|entry| entry.expect("an entry").path())
            .filter(|path| path.extension().is_some_and(|end| end == "eml"))
            .collect();
        files.sort();
        files
    }

    fn read(&self, file: &std::path::Path) -> Taken {
        let wire = std::fs::read(file).expect("the message");
        let envelope = std::fs::read(file.with_extension("json")).expect("the envelope");
        let envelope: Value = serde_json::from_slice(&envelope).expect("JSON");
        let to = envelope["to"].as_array().expect("recipients");
        Taken {
            to: to
                .iter()
                .map(|a| a.as_str().expect("text").to_owned())
                .collect(),
            read: self.as_read(&wire),
            wire,
        }
    }

    fn as_read(&self, wire: &[u8]) -> Value {
        let mut reader = Command::new(&self.python)
            .args(["-c", include_str!("read.py")])
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .spawn()
            .expect("Python starts");
        let mut input = reader.stdin.take().expect("its input");
        input.write_all(wire).expect("it reads");
        drop(input);
        let out = reader.wait_with_output().expect("it ends");
        serde_json::from_slice(&out.stdout).expect("JSON")
    }
}

impl Drop for MailServer {
    fn drop(&mut self) {
        self.child.kill().ok();
        self.child.wait().ok();
    }
}

impl Taken {
    /// The values of a header, as often as it stands.
    pub fn header(&self, name: &str) -> Vec<&str> {
        let headers = self.read["headers"].as_array().expect("headers");
        headers
            .iter()
            .filter(|pair| {
                pair[0]
                    .as_str()
                    .is_some_and(|n| n.eq_ignore_ascii_case(name))
            })
            .map(|pair| pair[1].as_str().expect("text"))
            .collect()
    }

    /// The text of a part, decoded, its lines ended as in a file.
    pub fn part(&self, place: usize) -> String {
        let text = self.read["parts"][place]["text"].as_str();
        text.expect("a part").replace("\r\n", "\n")
    }

    /// The lines as they came, without their ends.
    pub fn lines(&self) -> Vec<&[u8]> {
        let lines = self.wire.split(|byte| *byte == b'\n');
        lines
            .map(|line| line.strip_suffix(b"\r").unwrap_or(line))
            .collect()
    }
}
