//! What the service bears: how long, how deep, how much at once. What is beyond is answered with a problem document that says
//! so, and nothing is done.

use std::io::Write;
use std::time::Duration;

use reqwest::Method;
use roundhand::http::serving::{Serving, Times};
use roundhand::store::Role;
use serde_json::{Value, json};

use super::hold::Hold;
use super::raw::{connect, exchange, to_the_end};
use crate::days::yard::{DAY, Yard};
use crate::pages::visitor::Visitor;
use crate::support::{Client, House, on_both_engines, serving};

/// A tenth of what a person would notice.
const SHORT: Duration = Duration::from_millis(300);

fn with(times: Times) -> Serving {
    Serving { times, ..serving() }
}

async fn edit(client: &Client, house: &House, body: String) -> crate::support::Answer {
    let headers = [("if-match", "\"1\""), ("content-type", "application/json")];
    client
        .send_text(Method::PATCH, &house.path(""), &headers, body)
        .await
}

/// The first bytes of a picture.
const PICTURE: &[u8] = b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR\0\0\0\x01\0\0\0\x01\x08\x06\0\0\0";

async fn calendar(house: &House, manager: &Client) -> String {
    let courts = manager.get(&house.path("/courts")).await.items();
    let asked = json!({ "name": "Front desk", "court_id": courts[0]["id"] });
    let made = manager
        .post(&house.path("/calendars"), &asked)
        .await
        .expect(201);
    house.path(&format!("/calendars/{}/import", made["id"]))
}

on_both_engines! {
    async fn a_body_that_is_nested_too_deep_is_unreadable_by_its_pointer(house) {
        let manager = house.manager().await;
        let nested = format!(r#"{{ "name": {}0{} }}"#, "[".repeat(32), "]".repeat(32));
        let told = edit(&manager, house, nested).await;
        told.expect_problem(400);
        assert_eq!(told.fault(), format!("/name{}", "/0".repeat(31)));
    }

    async fn a_list_that_is_too_long_is_refused_by_its_pointer(house) {
        let manager = house.manager().await;
        let list = |items: usize| json!({ "name": vec![0; items] }).to_string();
        let told = edit(&manager, house, list(5_001)).await;
        told.expect_problem(422);
        assert_eq!(told.fault(), "/name");
        // One that is not too long is looked at.
        edit(&manager, house, list(5_000)).await.expect_problem(400);
    }

    /// RFC 9110 section 15.5.9.
    async fn a_body_that_does_not_come_is_given_up(house) {
        let service = house.served(with(Times { body: SHORT, ..Times::default() }));
        let manager = house.manager_at(&service.base).await;
        let calendar = calendar(house, &manager).await;
        let token = manager.token();
        let head = |path: &str, kind: &str, origin: &str| {
            format!(
                "POST {path} HTTP/1.1\r\nHost: localhost\r\nOrigin: {origin}\r\nAuthorization: Bearer {token}\r\n\
                 Content-Type: {kind}\r\nContent-Length: 1000\r\n\r\n"
            )
        };
        for (path, kind, document) in [
            ("/api/v1/sign-in", "application/json", "application/problem+json"),
            (calendar.as_str(), "text/calendar", "application/problem+json"),
            ("/sign-in", "application/x-www-form-urlencoded", "text/html; charset=utf-8"),
        ] {
            let mut stream = connect(&service.base);
            stream.write_all(head(path, kind, "http://localhost").as_bytes()).unwrap();
            stream.write_all(b"{").unwrap();
            let told = to_the_end(stream);
            assert_eq!(told.status(), 408, "{path}: {}", told.0);
            assert_eq!(told.header("content-type"), Some(document), "{path}: {}", told.0);
            assert_eq!(told.header("connection"), Some("close"), "{path}: {}", told.0);
        }
    }

    async fn a_head_that_does_not_come_is_given_up(house) {
        let service = house.served(with(Times { head: SHORT, ..Times::default() }));
        let mut stream = connect(&service.base);
        stream.write_all(b"GET /sign-in HTTP/1.1\r\nHost:").unwrap();
        assert_eq!(to_the_end(stream).status(), 408);
    }

    async fn a_head_that_is_too_long_is_refused(house) {
        let long = "x".repeat(200_000);
        for request in [
            format!("GET /{long} HTTP/1.1\r\nHost: localhost\r\n\r\n"),
            format!("GET / HTTP/1.1\r\nHost: localhost\r\nX-Long: {long}\r\n\r\n"),
            format!("GET / HTTP/1.1\r\nHost: localhost\r\n{}\r\n", "X-Many: 1\r\n".repeat(2_000)),
        ] {
            let told = exchange(&house.base, request.as_bytes());
            assert!((400..500).contains(&told.status()), "{}", told.0);
        }
        house.nobody().get("/healthz").await;
    }

    /// A use case cannot be broken off in the middle: who waited too long is told so, and it is done or not as a whole.
    async fn what_takes_too_long_is_answered_503_and_is_still_done_as_a_whole(house) {
        let service = house.served(with(Times { answer: Duration::from_secs(2), ..Times::default() }));
        let manager = house.manager_at(&service.base).await;
        let held = Hold::site(house);
        let body = json!({ "name": "Another name", "units": "metric" });
        let told = edit(&manager, house, body.to_string()).await;
        told.expect_problem(503);
        assert_eq!(told.header("retry-after"), Some("5"));
        drop(held);
        let named = loop {
            let site = house.manager().await.get(&house.path("")).await.expect(200);
            if site["version"] != 1 {
                break site["name"].clone();
            }
            tokio::time::sleep(Duration::from_millis(20)).await;
        };
        assert_eq!(named, "Another name");
    }

    async fn what_is_sent_as_a_calendar_is_looked_at_and_not_believed(house) {
        let manager = house.manager().await;
        let path = calendar(house, &manager).await;
        let kind = [("content-type", "text/calendar")];
        let mut hidden = b"BEGIN:VCALENDAR\r\n".to_vec();
        hidden.push(0);
        for body in [PICTURE.to_vec(), hidden, b"BEGIN:VCALENDAR\r\n\xff\xfe".to_vec()] {
            let told = manager.send_text(Method::POST, &path, &kind, body).await;
            told.expect_problem(415);
            assert_eq!(told.fault(), "body");
        }
        let other_text = manager.send_text(Method::POST, &path, &kind, "name,court\r\n").await;
        assert!(other_text.expect_problem(422)["detail"].as_str().unwrap().contains("no calendar"));

        // The same file by the pages' form, under the name and the type of a calendar.
        let visitor = Visitor::signed_in(house, Role::Manager).await;
        let page = path.replace("/api/v1", "");
        let told = visitor.send_file(&page, "BEGIN:VCALENDAR\0").await;
        assert!(told.page(415).contains("This cannot be read"), "{}", told.html);
    }

    /// Runs and trials count together; places are of one process, a run is also of all (`days::runs`).
    async fn a_site_plans_no_more_at_once_than_it_may_and_is_told_when_to_ask_again(house) {
        let yard = Yard::db_lay(house);
        let manager = house.manager().await;
        let planned = yard.plan(&manager, DAY).await;
        assert_eq!(planned["plan"]["state"], "planned");
        let places = [0; 3].map(|_| house.office.at_work.place(yard.site).unwrap());
        for (rest, body) in [
            (format!("/days/{DAY}/plan-runs"), json!({ "seconds": 1 })),
            (format!("/days/{DAY}/replan"), json!({})),
        ] {
            let told = manager.post(&yard.path(&rest), &body).await;
            assert_eq!(told.expect_problem(429)["type"], "urn:roundhand:problem:busy", "{rest}");
            assert_eq!(told.header("retry-after"), Some("5"), "{rest}");
        }
        let runs = manager.get(&yard.path(&format!("/days/{DAY}/plan-runs"))).await.items();
        assert_eq!(runs.len(), 1, "nothing was kept of what was refused");
        drop(places);
        let run: Value = yard.ask(&manager, DAY, 1).await;
        assert_eq!(yard.ended(&manager, &run).await["state"], "ready");
    }
}
