//! A real browser, steered by its driver.

use std::process::Stdio;
use std::sync::Arc;
use std::time::Duration;

use serde_json::json;
use thirtyfour::prelude::*;
use thirtyfour::{ChromiumLikeCapabilities, LoggingPrefsLogLevel};
use tokio::io::{AsyncBufReadExt, BufReader};
use tokio::process::{Child, Command};

use crate::support::skip;

/// A browser with an empty profile.
pub struct Browser {
    /// The session.
    pub driver: WebDriver,
    child: Option<Child>,
    profile: Profile,
}

/// What a browser keeps: pages, cookies, databases. It outlives the browser, as a tablet's does.
#[derive(Clone)]
pub struct Profile(Arc<tempfile::TempDir>);

impl Profile {
    /// An empty one.
    pub fn new() -> Self {
        Self(Arc::new(tempfile::tempdir().expect("a folder")))
    }

    /// Ends every process of its browser at once, as a battery does that is empty.
    async fn kill(&self) {
        let folder = self.0.path().display().to_string();
        for entry in std::fs::read_dir("/proc").expect("the processes").flatten() {
            let name = entry.file_name().to_string_lossy().into_owned();
            let line = std::fs::read(entry.path().join("cmdline")).unwrap_or_default();
            if String::from_utf8_lossy(&line).contains(&folder) {
                let mut kill = Command::new("kill");
                kill.args(["-9", &name])
                    .stderr(Stdio::null())
                    .status()
                    .await
                    .ok();
            }
        }
    }
}

/// A size of window, CSS pixels.
pub type Size = (u32, u32);

/// A phone, a tablet, a desktop, and the narrowest screen on which a page must not scroll sideways
/// (WCAG 2.2 section 1.4.10).
pub const SIZES: [Size; 4] = [(390, 844), (1024, 768), (1440, 900), (320, 640)];

impl Browser {
    /// Starts one with an empty profile; none, said loudly, where there is no browser or no driver.
    pub async fn open() -> Option<Self> {
        Self::open_with(Profile::new()).await
    }

    /// Starts one with a profile that was there before.
    pub async fn open_with(profile: Profile) -> Option<Self> {
        let binary = tool("ROUNDHAND_TEST_CHROMIUM", "/usr/bin/chromium")?;
        let driver = tool("ROUNDHAND_TEST_CHROMEDRIVER", "/usr/bin/chromedriver")?;
        let (child, url) = if driver.starts_with("http") {
            (None, driver)
        } else {
            let (child, url) = start_driver(&driver).await;
            (Some(child), url)
        };
        let mut wanted = DesiredCapabilities::chrome();
        wanted.set_binary(&binary).expect("a capability");
        wanted
            .set_browser_log_level(LoggingPrefsLogLevel::All)
            .expect("a capability");
        for arg in [
            "--headless=new",
            "--no-sandbox",
            "--disable-gpu",
            "--disable-dev-shm-usage",
            "--no-first-run",
            "--disable-background-networking",
            "--disable-component-update",
            "--disable-sync",
            "--disable-quic",
            "--use-fake-ui-for-media-stream",
            "--use-fake-device-for-media-stream",
            "--hide-scrollbars",
            &format!("--user-data-dir={}", profile.0.path().display()),
        ] {
            wanted.add_arg(arg).expect("a capability");
        }
        let driver = WebDriver::new(&url, wanted)
            .await
            .expect("the browser starts");
        Some(Self {
            driver,
            child,
            profile,
        })
    }

    /// Ends it in order; gives what it kept.
    pub async fn end(self) -> Profile {
        let profile = self.profile.clone();
        self.close().await;
        profile
    }

    /// Ends it as an empty battery does; gives what it kept.
    pub async fn kill(mut self) -> Profile {
        self.profile.kill().await;
        if let Some(mut driver) = self.child.take() {
            driver.kill().await.ok();
        }
        let profile = self.profile.clone();
        // Nobody is there any more who could be told to end.
        std::mem::forget(self.driver);
        profile
    }

    /// Ends the browser in order; its driver ends with this value.
    pub async fn close(self) {
        self.driver.quit().await.expect("the browser ends");
    }

    /// Shows the page as on a screen of this size.
    pub async fn size(&self, (width, height): Size) {
        let screen =
            json!({ "width": width, "height": height, "deviceScaleFactor": 1, "mobile": false });
        self.tell("Emulation.setDeviceMetricsOverride", screen)
            .await;
    }

    /// Shows the page by night, or by day.
    pub async fn dark(&self, dark: bool) {
        let scheme = if dark { "dark" } else { "light" };
        let media = json!({ "features": [{ "name": "prefers-color-scheme", "value": scheme }] });
        self.tell("Emulation.setEmulatedMedia", media).await;
    }

    /// Shows the page as it is printed, whatever the screen's own colours are.
    pub async fn print(&self, dark: bool) {
        let scheme = if dark { "dark" } else { "light" };
        let features = json!([{ "name": "prefers-color-scheme", "value": scheme }]);
        let media = json!({ "media": "print", "features": features });
        self.tell("Emulation.setEmulatedMedia", media).await;
    }

    /// Runs no script of a page any more.
    pub async fn without_script(&self) {
        let off = json!({ "value": true });
        self.tell("Emulation.setScriptExecutionDisabled", off).await;
    }

    /// Tells the browser a command of its own protocol.
    pub async fn tell(&self, method: &str, params: serde_json::Value) {
        let told = self.driver.cdp().send_raw(method, params).await;
        told.expect("the browser takes a command");
    }

    /// Goes to an address.
    pub async fn go(&self, url: &str) {
        self.driver.goto(url).await.expect("the page loads");
    }

    /// What a script that looks at the page gives.
    pub async fn look(&self, script: &str) -> serde_json::Value {
        let found = self.driver.execute(script, vec![]).await;
        found.expect("the script runs").json().clone()
    }

    /// The text of the page as it is seen.
    pub async fn text(&self) -> String {
        let body = self.driver.find(By::Tag("body")).await.expect("a body");
        body.text().await.expect("its text")
    }

    /// The element that a selector finds.
    pub async fn find(&self, css: &str) -> WebElement {
        let found = self.driver.query(By::Css(css.to_owned()));
        found
            .wait(Duration::from_secs(20), Duration::from_millis(50))
            .first()
            .await
            .unwrap_or_else(|e| panic!("{css}: {e}"))
    }

    /// What the browser wrote to its console since it was last asked: errors of scripts, what the
    /// page's own policy forbade, files that did not come.
    pub async fn complaints(&self) -> Vec<String> {
        let log = self.driver.browser_log().await.expect("the console's log");
        log.into_iter()
            .filter(|entry| entry.level == "SEVERE" || entry.level == "WARNING")
            .map(|entry| entry.message)
            .collect()
    }
}

fn tool(variable: &str, usual: &str) -> Option<String> {
    let named = std::env::var(variable).ok().filter(|path| !path.is_empty());
    let path = named.unwrap_or_else(|| usual.to_owned());
    if path.starts_with("http") || std::path::Path::new(&path).exists() {
        return Some(path);
    }
    skip(&format!(
        "no {path}: tests/run looks for it and sets {variable}"
    ));
    None
}

/// Starts the driver on a port of its own choice, which it prints.
async fn start_driver(path: &str) -> (Child, String) {
    let mut child = Command::new(path)
        .arg("--port=0")
        .stdout(Stdio::piped())
        .stderr(Stdio::null())
        .kill_on_drop(true)
        .spawn()
        .expect("the driver starts");
    let mut lines = BufReader::new(child.stdout.take().expect("its output")).lines();
    let port = loop {
        let line = lines.next_line().await.expect("its output is text");
        let line = line.expect("the driver says its port");
        if let Some((_, port)) = line.split_once("successfully on port ") {
            break port.trim_end_matches('.').to_owned();
        }
    };
    // Its output is read to the end, so that it never waits for a reader.
    tokio::spawn(async move { while let Ok(Some(_)) = lines.next_line().await {} });
    (child, format!("http://127.0.0.1:{port}"))
}
