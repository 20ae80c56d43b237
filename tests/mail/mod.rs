//! The week report and its mails, against a real mail server.

mod command;
mod figures;
mod outbox;
mod server;
mod subscribers;
mod weekly;
mod wire;

use chrono::{DateTime, Utc};
use reqwest::Method;
use roundhand::desk::Office;
use roundhand::mail::Settings;
use serde_json::{Value, json};

use crate::support::{Ground, House, Place, db_run, skip};
pub use server::{MailServer, Taken, free_port, python};

/// The week the house stands in; its Tuesday is [`crate::support::TODAY`].
pub const WEEK: &str = "2031-W24";

/// A Python that can receive mail; says that the check is left out where there is none.
pub fn python_or_skip() -> Option<std::path::PathBuf> {
    let python = python();
    if python.is_none() {
        skip("no Python with aiosmtpd: tests/run provides one and sets ROUNDHAND_TEST_PYTHON");
    }
    python
}

/// How an office reaches this mail server.
pub fn by(url: &str) -> Settings {
    Settings::new(
        Some(url),
        Some("Grounds office <courts@example.org>"),
        Some("https://courts.example.org"),
    )
    .expect("good settings")
}

/// The house's office after a restart at `now`, with this way for its mail. It proposes no day by
/// itself, so that every job is about mail.
pub fn restarted(house: &House, url: &str, now: &str) -> Office {
    const NO_PROPOSAL: &str = "
        INSERT INTO settings (site_id, key, value, updated_at, version)
        SELECT id, 'propose_by_itself', 'false', '2031-06-10 09:00:00', 1 FROM sites
        WHERE NOT EXISTS (SELECT 1 FROM settings WHERE key = 'propose_by_itself');";
    db_run(house, NO_PROPOSAL).expect("a setting");
    house.another_office(by(url), instant(now))
}

/// The house's office with this way for its mail.
pub fn office(house: &House, url: &str) -> Office {
    house.another_office(by(url), house.office.clock.now())
}

pub fn instant(text: &str) -> DateTime<Utc> {
    text.parse().expect("an instant")
}

/// Takes everybody off the week report whom the set-up put on it.
pub async fn nobody_subscribed(house: &House) {
    let manager = house.manager().await;
    let path = house.path("/report-subscribers");
    for one in manager.get(&path).await.items() {
        let gone = manager
            .send(Method::DELETE, &format!("{path}/{}", one["id"]), &[], None)
            .await;
        gone.expect(204);
    }
}

/// Subscribes this address alone; gives its id.
pub async fn subscribe_only(house: &House, email: &str) -> Value {
    nobody_subscribed(house).await;
    subscribe(house, email).await
}

pub async fn subscribe(house: &House, email: &str) -> Value {
    let new = json!({ "name": "Robin Vale", "email": email });
    let path = house.path("/report-subscribers");
    let one = house.manager().await.post(&path, &new).await.expect(201);
    one["id"].clone()
}

/// Has the week's report sent; gives the answer.
pub async fn send(house: &House) -> Value {
    let path = house.path(&format!("/week-reports/{WEEK}/send"));
    house
        .manager()
        .await
        .post(&path, &Value::Null)
        .await
        .expect(202)
}

/// The week's report as the API shows it.
pub async fn report(house: &House) -> Value {
    let path = house.path(&format!("/week-reports/{WEEK}"));
    house.manager().await.get(&path).await.expect(200)
}

/// A week of work on the ground's courts: finished in time, finished late, left undone.
pub async fn work_a_week(house: &House, ground: &Ground) {
    let manager = house.manager().await;
    ground.db_receive(house, 40, 40_000);
    let [one, two, three] = ground.courts;
    for (court, on, soak_ml, ended) in [
        (one, "2031-06-10", 1_920_000, "2031-06-10T09:00:00Z"),
        (two, "2031-06-10", 0, "2031-06-10T08:30:00Z"),
        (one, "2031-06-09", 3_000_000, "2031-06-09T15:00:00Z"),
    ] {
        let id = ground.db_issue(house, Place::Court(court), on, soak_ml);
        let told = json!({
            "happened_at": ended,
            "fit": { "is": "yes" },
            "steps_done": [1, 2],
            "people": [
                { "person_id": ground.dear, "minutes": 25 },
                { "person_id": ground.cheap, "minutes": 13 },
            ],
            "materials": [{ "material_id": ground.bags, "quantity": 2 }],
            "tool_uses": [{ "tool_id": ground.drag, "uses": 1 }],
        });
        manager
            .post(&house.path(&format!("/orders/{id}/finish")), &told)
            .await
            .expect(200);
    }
    let id = ground.db_issue(house, Place::Court(three), "2031-06-10", 0);
    let told = json!({ "reason": "weather", "note": "water stood at the net", "people": [] });
    manager
        .post(&house.path(&format!("/orders/{id}/leave-undone")), &told)
        .await
        .expect(200);
}
