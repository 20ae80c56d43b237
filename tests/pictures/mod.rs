//! Pictures and voice notes: what is taken, what is kept of it, what it is of, and how it goes away.

pub mod made;
mod named;
mod removed;
mod taken;

use reqwest::Method;
use serde_json::Value;

use crate::support::{Answer, Client, House};

/// Sends a content under a key of its own; `query` is empty or begins with a question mark.
pub async fn send(
    client: &Client,
    house: &House,
    query: &str,
    media_type: &str,
    content: Vec<u8>,
) -> Answer {
    let key = uuid::Uuid::new_v4().to_string();
    send_under(client, house, query, (&key, media_type), content).await
}

/// Sends a content under this key, as this media type.
pub async fn send_under(
    client: &Client,
    house: &House,
    query: &str,
    (key, media_type): (&str, &str),
    content: Vec<u8>,
) -> Answer {
    let path = house.path(&format!("/pictures{query}"));
    let headers = [("idempotency-key", key), ("content-type", media_type)];
    client
        .send_text(Method::POST, &path, &headers, content)
        .await
}

/// What the trail says of a kind of thing, newest first.
pub async fn trail_of(client: &Client, house: &House, subject: &str) -> Vec<Value> {
    let all = client
        .get(&house.path("/audit-events?limit=200"))
        .await
        .items();
    all.into_iter()
        .filter(|event| event["subject"] == subject)
        .collect()
}

/// Path of something of a picture.
pub fn of(house: &House, picture: &Value, rest: &str) -> String {
    house.path(&format!("/pictures/{}{rest}", picture["id"]))
}
