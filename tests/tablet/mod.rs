//! The crew's tablet: its day, its outbox, what reaches it live.

mod crew;
mod day;
mod kinds;
mod line;
mod live;
mod measured;
mod outbox;
mod read_well;
mod shell;
mod walk;
mod without_signal;

use std::collections::HashMap;

use serde_json::{Value, json};

use crate::pictures::made::jpeg;
use crate::support::{Client, House, TODAY};

/// The instant the house stands at.
const NOW: &str = "2031-06-10T09:00:00Z";

/// Something that happened, under a key of its own.
fn event(at: &str, happening: &Value) -> Value {
    json!({ "key": uuid(), "at": at, "happening": happening })
}

fn uuid() -> String {
    uuid::Uuid::new_v4().to_string()
}

/// A closing as all went: both steps, one person's minutes.
fn finish(order: i64, person: i64, minutes: i64) -> Value {
    json!({
        "kind": "finish", "order_id": order, "fit": { "is": "yes" }, "steps_done": [1, 2],
        "people": [{ "person_id": person, "minutes": minutes }],
    })
}

/// Sends events by a clock that is right; gives the answers.
async fn send(house: &House, tablet: &Client, events: &[Value]) -> Vec<Value> {
    send_at(house, tablet, NOW, events).await["answers"]
        .as_array()
        .expect("answers")
        .clone()
}

async fn send_at(house: &House, tablet: &Client, sent_at: &str, events: &[Value]) -> Value {
    let body = json!({ "sent_at": sent_at, "events": events });
    tablet
        .post(&house.path("/tablet/events"), &body)
        .await
        .expect(200)
}

/// The site has its own word and picture for the crew's drag.
async fn own_picture(house: &House) {
    let manager = house.manager().await;
    let picture = crate::pictures::send(&manager, house, "", "image/jpeg", jpeg(80, 60)).await;
    let word = json!({
        "language": "en", "subject_kind": "tool_class", "subject": "test_drag", "words": "the wide mat",
        "picture_id": picture.expect(201)["id"],
    });
    manager
        .post(&house.path("/site-words"), &word)
        .await
        .expect(201);
}

/// The hours that are booked today, by order.
async fn hours_of(house: &House, manager: &Client) -> HashMap<i64, Vec<Value>> {
    let (mut by_order, mut rest): (HashMap<i64, Vec<Value>>, _) = (HashMap::new(), String::new());
    loop {
        let of = format!("/hours?from={TODAY}&to={TODAY}&limit=200{rest}");
        let page = manager.get(&house.path(&of)).await.expect(200);
        for entry in page["items"].as_array().expect("entries") {
            if let Some(order) = entry["order_id"].as_i64() {
                by_order.entry(order).or_default().push(entry.clone());
            }
        }
        match page["next_cursor"].as_str() {
            Some(cursor) => rest = format!("&cursor={cursor}"),
            None => return by_order,
        }
    }
}

/// How long an hours entry is, minutes.
fn minutes_of(entry: &Value) -> i64 {
    let at = |name: &str| {
        let text = entry[name].as_str().expect("a time");
        text.parse::<chrono::DateTime<chrono::Utc>>()
            .expect("an instant")
    };
    (at("ends_at") - at("starts_at")).num_minutes()
}
