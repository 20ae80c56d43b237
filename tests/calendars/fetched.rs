//! A calendar with an address is asked for what is new.

use std::io::{Read, Write};
use std::net::TcpListener;
use std::sync::mpsc::{Receiver, channel};

use chrono::{DateTime, Utc};
use roundhand::desk::Office;
use roundhand::jobs::run_due;
use roundhand::mail::Settings;
use roundhand::store::Role;
use serde_json::json;

use super::{add, calendar, court, db_sessions};
use crate::support::{Client, House, db_run, on_both_engines};

/// The house's manager, who owns the installation from now on.
async fn owner(house: &House) -> Client {
    let accounts = &house.set_up.accounts;
    let manager = accounts
        .iter()
        .find(|one| one.role == Role::Manager)
        .unwrap();
    let email = &manager.email;
    db_run(
        house,
        &format!("UPDATE users SET is_owner = TRUE WHERE email = '{email}'"),
    )
    .unwrap();
    house.manager().await
}

/// The office when its clock stands at `now`.
fn at(house: &House, now: &str) -> Office {
    let mail = Settings::new(None, None, None).unwrap();
    let now: DateTime<Utc> = now.parse().unwrap();
    house.another_office(mail, now)
}

/// A server that gives these answers, one a connection: its address, and what it is asked.
fn server(answers: Vec<String>) -> (String, Receiver<String>) {
    let listener = TcpListener::bind("127.0.0.1:0").unwrap();
    let address = format!("http://{}/courts.ics", listener.local_addr().unwrap());
    let (tell, asked) = channel();
    std::thread::spawn(move || {
        for answer in answers {
            let (mut stream, _) = listener.accept().unwrap();
            let mut request = [0; 8_192];
            let read = stream.read(&mut request).unwrap();
            let text = String::from_utf8_lossy(&request[..read]).to_lowercase();
            tell.send(text).ok();
            stream.write_all(answer.as_bytes()).ok();
        }
    });
    (address, asked)
}

fn answer(head: &str, body: &str) -> String {
    let length = body.len();
    format!("HTTP/1.1 {head}\r\ncontent-length: {length}\r\nconnection: close\r\n\r\n{body}")
}

fn event(uid: &str, hour: u32) -> String {
    format!("UID:{uid}\nSUMMARY:{uid}\nDTSTART:20311001T{hour:02}0000Z\nDURATION:PT1H")
}

on_both_engines! {
    async fn a_calendar_is_fetched_every_few_minutes_and_a_copy_that_is_known_is_not_taken_again(house) {
        let owner = owner(house).await;
        let (court_id, _) = court(&owner, house, 0).await;
        let tagged = |tag: &str| format!("200 OK\r\netag: \"{tag}\"\r\nlast-modified: Tue, 10 Jun 2031 08:00:00 GMT");
        let (address, asked) = server(vec![
            answer(&tagged("one"), &calendar(&[&event("A", 10), &event("B", 12)])),
            answer("304 Not Modified", ""),
            // What a fetched calendar no longer holds is gone, wherever it lay.
            answer(&tagged("two"), &calendar(&[&event("A", 10)])),
            answer("500 Oh", ""),
        ]);
        let id = add(&owner, house, json!({ "name": "Web", "court_id": court_id, "address": address, "allow_private": true })).await;
        let path = house.path(&format!("/calendars/{id}"));

        assert_eq!(run_due(&at(house, "2031-06-10T09:00:00Z")), 1);
        assert!(!asked.recv().unwrap().contains("if-none-match"));
        assert_eq!(db_sessions(house, court_id, "2031-10-01").len(), 2);
        // Its time has not come.
        assert_eq!(run_due(&at(house, "2031-06-10T09:04:00Z")), 0);

        assert_eq!(run_due(&at(house, "2031-06-10T09:06:00Z")), 1);
        let again = asked.recv().unwrap();
        assert!(again.contains("if-none-match: \"one\""), "{again}");
        assert!(again.contains("if-modified-since: tue, 10 jun 2031 08:00:00 gmt"), "{again}");
        let seen = owner.get(&path).await.expect(200);
        assert_eq!((&seen["asked_at"], &seen["fetch_error"]), (&json!("2031-06-10T09:06:00Z"), &json!(null)));
        assert_eq!(seen["imported_at"], "2031-06-10T09:00:00Z");

        assert_eq!(run_due(&at(house, "2031-06-10T09:12:00Z")), 1);
        assert_eq!(db_sessions(house, court_id, "2031-10-01"), ["A 10-01T10:00 10-01T11:00"]);

        assert_eq!(run_due(&at(house, "2031-06-10T09:18:00Z")), 1);
        let seen = owner.get(&path).await.expect(200);
        assert_eq!(seen["fetch_error"], "the address answers 500");
        assert_eq!(db_sessions(house, court_id, "2031-10-01").len(), 1);
    }

    /// A rule without an end reaches a day further each day, though its file never changes.
    async fn a_copy_that_is_a_day_old_is_taken_anew(house) {
        let owner = owner(house).await;
        let (court_id, _) = court(&owner, house, 0).await;
        let daily = "UID:d\nSUMMARY:Early\nDTSTART;TZID=America/New_York:20310601T050000\nDURATION:PT30M\nRRULE:FREQ=DAILY";
        let same = || answer("200 OK\r\netag: \"one\"", &calendar(&[daily]));
        let (address, asked) = server(vec![same(), same()]);
        add(&owner, house, json!({ "name": "Web", "court_id": court_id, "address": address, "allow_private": true })).await;
        run_due(&at(house, "2031-06-10T09:30:00Z"));
        let first = db_sessions(house, court_id, "2031-07-01").len();
        run_due(&at(house, "2031-06-11T09:30:00Z"));
        assert_eq!(db_sessions(house, court_id, "2031-07-01").len(), first + 1);
        assert!(asked.iter().all(|request| !request.contains("if-none-match")));
    }

    async fn an_address_within_is_not_asked_and_the_calendar_says_so(house) {
        let manager = house.manager().await;
        let (court_id, _) = court(&manager, house, 0).await;
        let listener = TcpListener::bind("127.0.0.1:0").unwrap();
        let port = listener.local_addr().unwrap().port();
        let address = format!("https://127.0.0.1:{port}/courts.ics");
        let id = add(&manager, house, json!({ "name": "Web", "court_id": court_id, "address": address })).await;
        assert_eq!(run_due(&at(house, "2031-06-10T09:00:00Z")), 1);
        let seen = manager.get(&house.path(&format!("/calendars/{id}"))).await.expect(200);
        let why = seen["fetch_error"].as_str().unwrap();
        assert!(why.contains("private network"), "{why}");
        listener.set_nonblocking(true).unwrap();
        assert!(listener.accept().is_err(), "nobody knocked");
    }

    async fn what_is_sent_from_an_address_and_is_no_calendar_changes_nothing(house) {
        let owner = owner(house).await;
        let (court_id, _) = court(&owner, house, 0).await;
        let cut = calendar(&[&event("A", 10)]).replace("END:VCALENDAR", "");
        let (address, _asked) = server(vec![
            answer("200 OK", &calendar(&[&event("A", 10), &event("B", 12)])),
            answer("200 OK", &cut),
            answer("200 OK", "<html>Sign in</html>"),
        ]);
        let id = add(&owner, house, json!({ "name": "Web", "court_id": court_id, "address": address, "allow_private": true })).await;
        for now in ["2031-06-10T09:00:00Z", "2031-06-10T09:10:00Z", "2031-06-10T09:20:00Z"] {
            run_due(&at(house, now));
            assert_eq!(db_sessions(house, court_id, "2031-10-01").len(), 2, "{now}");
        }
        let seen = owner.get(&house.path(&format!("/calendars/{id}"))).await.expect(200);
        assert!(seen["fetch_error"].as_str().unwrap().contains("no calendar"), "{seen}");
    }
}
