//! A crew with its tablet: a real browser on a line that can be cut, used as a crew lead would, by taps.

use std::sync::atomic::{AtomicI64, Ordering};
use std::time::Duration;

use serde_json::{Value, json};

use super::line::Line;
use crate::pages::browser::{Browser, Profile};
use crate::support::House;

/// The tablet's clock goes ahead by what the test says: an order takes its crew half an hour, and no test waits that long.
const CLOCK: &str = "
    const Real = Date;
    const ahead = () => { try { return Number(localStorage.getItem('ahead') ?? 0); } catch { return 0; } };
    Date = class extends Real {
        constructor(...parts) { if (parts.length) super(...parts); else super(Real.now() + ahead()); }
        static now() { return Real.now() + ahead(); }
    };
";

/// The tablet's clock stands where the house's does.
const STANDSTILL: &str = "
    const Real = Date;
    Date = class extends Real {
        constructor(...parts) { if (parts.length) super(...parts); else super('2031-06-10T09:00:00Z'); }
        static now() { return Real.parse('2031-06-10T09:00:00Z'); }
    };
";

/// A crew's tablet.
pub struct Crew {
    /// The browser.
    pub browser: Browser,
    /// The line to the office.
    pub line: Line,
    clock: &'static str,
    ahead: AtomicI64,
}

impl Crew {
    /// A tablet that was paired by the manager's code, on which its crew and a person were chosen; none, said loudly, where there is no
    /// browser.
    pub async fn begin(house: &House, base: &str, crew: i64, person: i64) -> Option<Self> {
        Self::begin_by(CLOCK, house, base, (crew, person)).await
    }

    /// The same where no time goes by.
    pub async fn begin_at_a_standstill(
        house: &House,
        base: &str,
        crew: i64,
        person: i64,
    ) -> Option<Self> {
        Self::begin_by(STANDSTILL, house, base, (crew, person)).await
    }

    async fn begin_by(
        clock: &'static str,
        house: &House,
        base: &str,
        (crew, person): (i64, i64),
    ) -> Option<Self> {
        let browser = Browser::open().await?;
        let line = Line::to(base).await;
        in_hand(&browser, clock).await;
        let this = Self {
            browser,
            line,
            clock,
            ahead: AtomicI64::new(0),
        };
        this.pair(house).await;
        // A browser writes its cookies down within half a minute, or when it ends: this test begins after that.
        let Self { browser, line, .. } = this;
        let profile = browser.end().await;
        let browser = Browser::open_with(profile).await?;
        in_hand(&browser, clock).await;
        browser.go(&format!("{}/tablet", line.base)).await;
        let this = Self {
            browser,
            line,
            clock,
            ahead: AtomicI64::new(0),
        };
        this.tap("crew", crew).await;
        this.tap("person", person).await;
        this.browser.find("#screen[data-screen=now]").await;
        this.is_kept_whole().await;
        Some(this)
    }

    async fn pair(&self, house: &House) {
        let manager = house.manager().await;
        let named = json!({ "name": "A crew's tablet" });
        let made = manager.post(&house.path("/devices"), &named).await;
        let code = made.expect(201)["code"]
            .as_str()
            .expect("a code")
            .to_owned();
        self.browser.go(&format!("{}/pair", self.line.base)).await;
        let field = self.browser.find("#code").await;
        field.send_keys(&code).await.expect("the code is typed");
        let button = self.browser.find("form [type=submit]").await;
        button.click().await.expect("a tap");
        self.browser.find("#screen[data-screen]").await;
    }

    /// Waits until the page works without signal.
    async fn is_kept_whole(&self) {
        self.until("return navigator.serviceWorker.controller !== null")
            .await;
    }

    /// Taps a button by what it does.
    pub async fn tap(&self, what: &str, value: impl std::fmt::Display) {
        self.tap_on(&format!("[data-do='{what}'][data-value='{value}']"))
            .await;
    }

    /// Taps the only button that does this.
    pub async fn tap_one(&self, what: &str) {
        self.tap_on(&format!("[data-do='{what}']")).await;
    }

    async fn tap_on(&self, css: &str) {
        // A screen may be drawn anew between finding and tapping: a crew would tap again.
        for _ in 0..20 {
            let found = self.browser.find(css).await;
            if found.scroll_into_view().await.is_ok() && found.click().await.is_ok() {
                return;
            }
            tokio::time::sleep(Duration::from_millis(100)).await;
        }
        panic!("{css} cannot be tapped");
    }

    /// Goes to a screen by its address; gives the name of the one that is shown.
    pub async fn show(&self, screen: &str) -> String {
        let go = format!(
            "history.pushState(null, '', '#/{screen}'); dispatchEvent(new PopStateEvent('popstate'));
            await new Promise(done => setTimeout(done, 150)); return document.querySelector('#screen').dataset.screen"
        );
        let shown = self.browser.look(&go).await;
        shown.as_str().unwrap_or_default().to_owned()
    }

    /// Opens the screen of an order.
    pub async fn open(&self, order: i64) {
        self.show(&format!("order/{order}")).await;
        self.browser.find("#screen[data-screen=order]").await;
    }

    /// Closes an order as all went, with five minutes more for somebody so many times.
    pub async fn close(&self, order: i64, person: i64, fives: usize) {
        self.open(order).await;
        self.tap("close", order).await;
        self.tap_one("all-as-planned").await;
        for _ in 0..fives {
            self.tap_one(&format!("minutes-{person}-more")).await;
        }
        self.tap_one("fit-yes").await;
        self.browser.find("#screen:not([data-screen=close])").await;
    }

    /// Tells of a defect, with its place and a photo.
    pub async fn see(&self, court: i64, kind: &str, photo: &std::path::Path) {
        self.show(&format!("defect/{court}")).await;
        self.tap("kind", kind).await;
        self.tap_one("place").await;
        let camera = self.browser.find("[data-do=photo]").await;
        let photo = photo.display().to_string();
        camera.send_keys(&photo).await.expect("a photo");
        self.browser.find("[data-pictures='1']").await;
        self.tap_one("give-defect").await;
        self.browser.find("#screen:not([data-screen=defect])").await;
    }

    /// So many minutes go by.
    pub async fn later(&self, minutes: i64) {
        let ahead = format!(
            "localStorage.setItem('ahead', Number(localStorage.getItem('ahead') ?? 0) + {minutes} * 60000)"
        );
        self.browser.look(&ahead).await;
        self.ahead.fetch_add(minutes * 60_000, Ordering::Relaxed);
    }

    /// What waits to be sent.
    pub async fn waiting(&self) -> Vec<Value> {
        let asked = "({ key, at, person_id, crew_id, happening }) => ({ key, at, person_id, crew_id, happening })";
        let told = format!("return (await roundhandOutbox.pending()).map({asked})");
        let told = self.browser.look(&told).await;
        told.as_array().expect("events").clone()
    }

    /// All that was told on it, with what became of it.
    pub async fn told(&self) -> Vec<Value> {
        let states = "'waiting', 'taken', 'noted', 'refused', 'mended', 'set-aside'";
        let told = format!("return await roundhandOutbox.inState({states})");
        let told = self.browser.look(&told).await;
        told.as_array().expect("events").clone()
    }

    /// Waits until everything is with the office.
    pub async fn until_all_is_sent(&self) {
        self.until("roundhandOutbox.send(); return (await roundhandOutbox.pending()).length === 0")
            .await;
    }

    /// Waits until a script gives `true`.
    pub async fn until(&self, script: &str) {
        for _ in 0..300 {
            if self.browser.look(script).await == json!(true) {
                return;
            }
            tokio::time::sleep(Duration::from_millis(100)).await;
        }
        panic!("never: {script}\n{}", self.browser.text().await);
    }

    /// The battery is empty; later the tablet is started again, wherever it is.
    pub async fn restart(self) -> Self {
        let Self {
            browser,
            line,
            clock,
            ahead,
        } = self;
        let profile: Profile = browser.kill().await;
        let browser = Browser::open_with(profile)
            .await
            .expect("the browser starts again");
        in_hand(&browser, clock).await;
        // The tablet's clock goes on by its own battery; what the page had written of it may be gone.
        let stands = ahead.load(Ordering::Relaxed);
        let kept = format!("try {{ localStorage.setItem('ahead', {stands}); }} catch {{}}");
        let kept = json!({ "source": kept });
        browser
            .tell("Page.addScriptToEvaluateOnNewDocument", kept)
            .await;
        browser.go(&format!("{}/tablet", line.base)).await;
        browser.find("#screen[data-screen]").await;
        Self {
            browser,
            line,
            clock,
            ahead,
        }
    }
}

/// A tablet held upright, with the test's clock.
async fn in_hand(browser: &Browser, clock: &str) {
    browser.size((768, 1024)).await;
    let clock = json!({ "source": clock });
    browser.tell("Page.enable", json!({})).await;
    browser
        .tell("Page.addScriptToEvaluateOnNewDocument", clock)
        .await;
}
