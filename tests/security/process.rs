//! The service as a process of its own.

use std::process::{Child, Command, ExitStatus, Stdio};
use std::time::{Duration, Instant};

use crate::support::{Engine, House};

/// How long a process may take to do what it was told.
const PATIENCE: Duration = Duration::from_mins(1);

/// A running service on a house's data. It ends with this.
pub struct Process {
    /// Where it answers.
    pub base: String,
    child: Child,
    folder: tempfile::TempDir,
}

impl Process {
    /// `roundhand serve` on the data of a house, with these further options and variables; its log is in JSON.
    pub fn serve(house: &House, options: &[&str], variables: &[(&str, &str)]) -> Self {
        let folder = tempfile::tempdir().expect("a folder");
        let key = folder.path().join("token-key");
        std::fs::write(&key, "BwcHBwcHBwcHBwcHBwcHBwcHBwcHBwcHBwcHBwcHBwc\n").expect("a key");
        let log = std::fs::File::create(folder.path().join("log")).expect("a file");
        let mut command = bare();
        command
            .args(["serve", "--bind", "127.0.0.1:0"])
            .args(["--database", house.database_url()])
            .arg("--token-key-file")
            .arg(&key)
            .args(options)
            .env("ROUNDHAND_METRICS_BIND", "off")
            .env("ROUNDHAND_LOG_FORMAT", "json")
            .envs(variables.iter().copied())
            .stdout(Stdio::null())
            .stderr(log);
        let child = command.spawn().expect("the service starts");
        let mut process = Self {
            base: String::new(),
            child,
            folder,
        };
        process.base = format!("http://{}", process.wait_for("serving", "address"));
        process
    }

    /// All that it logged so far.
    pub fn log(&self) -> String {
        std::fs::read_to_string(self.folder.path().join("log")).expect("the log is text")
    }

    /// Waits for a line of the log with this message, and gives one of its fields.
    #[track_caller]
    pub fn wait_for(&mut self, message: &str, field: &str) -> String {
        let line = self.wait_until(|line| line["fields"]["message"] == message);
        line["fields"][field]
            .as_str()
            .unwrap_or_default()
            .to_owned()
    }

    /// Waits until it has read a request of this method.
    #[track_caller]
    pub fn wait_until_asked(&mut self, method: &str) {
        self.wait_until(|line| {
            line["fields"]["message"] == "asked" && line["fields"]["method"] == method
        });
    }

    #[track_caller]
    fn wait_until(&mut self, is_it: impl Fn(&serde_json::Value) -> bool) -> serde_json::Value {
        let give_up = Instant::now() + PATIENCE;
        loop {
            if let Some(line) = self.lines().into_iter().find(&is_it) {
                return line;
            }
            let ended = self.child.try_wait().expect("a child");
            assert!(
                ended.is_none() && Instant::now() < give_up,
                "{ended:?} {}",
                self.log()
            );
            std::thread::sleep(Duration::from_millis(20));
        }
    }

    /// The lines of its log.
    pub fn lines(&self) -> Vec<serde_json::Value> {
        let log = self.log();
        // The last line may still be written.
        log.lines()
            .filter_map(|line| serde_json::from_str(line).ok())
            .collect()
    }

    /// Sends it a signal, `TERM` or `INT`.
    pub fn signal(&self, name: &str) {
        let sent = Command::new("kill")
            .args(["-s", name, &self.child.id().to_string()])
            .status();
        assert!(sent.expect("kill runs").success());
    }

    /// How it ended, where it does.
    #[track_caller]
    pub fn ended(&mut self) -> ExitStatus {
        let give_up = Instant::now() + PATIENCE;
        loop {
            if let Some(status) = self.child.try_wait().expect("a child") {
                return status;
            }
            assert!(Instant::now() < give_up, "it does not end: {}", self.log());
            std::thread::sleep(Duration::from_millis(20));
        }
    }
}

impl Drop for Process {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

/// The program with nothing of this shell's own settings.
pub fn bare() -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_roundhand"));
    for (name, _) in std::env::vars_os() {
        if name.to_string_lossy().starts_with("ROUNDHAND_") {
            command.env_remove(name);
        }
    }
    command
}

/// A house on each engine that is at hand.
pub fn houses() -> Vec<House> {
    let houses = [Engine::Sqlite, Engine::Postgres].map(House::open);
    if houses[1].is_none() {
        crate::support::skip(
            "no PostgreSQL: tests/run starts one and sets ROUNDHAND_TEST_POSTGRES_URL",
        );
    }
    houses.into_iter().flatten().collect()
}
