//! Play that comes from calendars: what is sent becomes the site's sessions, and once only.

mod fetched;
mod over_again;
mod pages;
mod planned;
mod taken;

use chrono::{DateTime, Utc};
use reqwest::Method;
use serde_json::{Value, json};

use crate::support::{Answer, Client, House};

/// A calendar of these events.
fn calendar(events: &[&str]) -> String {
    let events: String = events
        .iter()
        .map(|event| {
            format!(
                "BEGIN:VEVENT\r\n{}\r\nEND:VEVENT\r\n",
                event.replace('\n', "\r\n")
            )
        })
        .collect();
    format!(
        "BEGIN:VCALENDAR\r\nVERSION:2.0\r\nPRODID:-//Example//Bookings//EN\r\n{events}END:VCALENDAR\r\n"
    )
}

/// Adds a calendar; gives its id.
async fn add(client: &Client, house: &House, body: Value) -> i64 {
    let made = client
        .post(&house.path("/calendars"), &body)
        .await
        .expect(201);
    made["id"].as_i64().unwrap()
}

/// Sends a file.
async fn send(client: &Client, house: &House, id: i64, text: &str) -> Answer {
    let path = house.path(&format!("/calendars/{id}/import"));
    let headers = [("content-type", "text/calendar; charset=utf-8")];
    client
        .send_text(Method::POST, &path, &headers, text.to_owned())
        .await
}

/// Sends a file and gives how many events were taken, unchanged, changed, cancelled, proposed and refused.
async fn counts(client: &Client, house: &House, id: i64, text: &str) -> [u64; 6] {
    let report = send(client, house, id, text).await.expect(200);
    [
        "taken",
        "unchanged",
        "changed",
        "cancelled",
        "proposed",
        "refused",
    ]
    .map(|name| report[name].as_u64().unwrap())
}

/// The sessions of the court that are not called off and begin on or after the day, as a person would read them off: name, from, until (UTC).
fn db_sessions(house: &House, court_id: i64, from: &str) -> Vec<String> {
    use diesel::prelude::*;
    use roundhand::store::{Instant, schema::play_sessions as table};
    let from: DateTime<Utc> = format!("{from}T00:00:00Z").parse().unwrap();
    let rows: Vec<(String, Instant, Instant)> = house
        .office
        .db
        .read(|conn| -> Result<_, roundhand::store::Error> {
            Ok(table::table
                .filter(
                    table::court_id
                        .eq(court_id)
                        .and(table::cancelled_at.is_null())
                        .and(table::starts_at.ge(Instant::from(from))),
                )
                .order(table::starts_at)
                .select((table::name, table::starts_at, table::ends_at))
                .load(conn)?)
        })
        .unwrap();
    let show = |at: Instant| at.utc().format("%m-%dT%H:%M").to_string();
    rows.into_iter()
        .map(|(name, from, to)| format!("{name} {} {}", show(from), show(to)))
        .collect()
}

/// The sessions of the court as the API lists them, called off or not, from this date on.
async fn listed(client: &Client, house: &House, court_id: i64, from: &str) -> Vec<Value> {
    let path = house.path(&format!("/play-sessions?court_id={court_id}&from={from}"));
    client.get(&path).await.items()
}

/// A court of the site by its place in the list.
async fn court(client: &Client, house: &House, nth: usize) -> (i64, String) {
    let courts = client.get(&house.path("/courts")).await.items();
    (
        courts[nth]["id"].as_i64().unwrap(),
        courts[nth]["name"].as_str().unwrap().to_owned(),
    )
}

/// A calendar of one court.
async fn of_one_court(client: &Client, house: &House) -> (i64, i64) {
    let (court_id, _) = court(client, house, 0).await;
    let id = add(
        client,
        house,
        json!({ "name": "Bookings", "court_id": court_id }),
    )
    .await;
    (id, court_id)
}
