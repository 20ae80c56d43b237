//! What is said of a body that cannot be taken.

use std::io::{Read, Write};
use std::net::TcpStream;

use reqwest::Method;
use serde_json::json;

use crate::support::{Answer, Client, House, on_both_engines};

const PATCH: Method = Method::PATCH;
const LIMIT: usize = 256 * 1024;

/// Sends an edit of the site that has every header right.
async fn edit(client: &Client, house: &House, body: impl Into<String>) -> Answer {
    let path = house.path("");
    let tag = client.get(&path).await.header("etag").unwrap().to_owned();
    let headers = [
        ("if-match", tag.as_str()),
        ("content-type", "application/json"),
    ];
    client.send_text(PATCH, &path, &headers, body.into()).await
}

on_both_engines! {
    async fn a_field_at_fault_is_named_by_its_json_pointer(house) {
        let manager = house.manager().await;
        let cases = [
            (json!({ "name": "A", "units": "metric", "colour": "red" }), "/colour"),
            (json!({ "name": 7, "units": "metric" }), "/name"),
            (json!({ "name": null, "units": "metric" }), "/name"),
            (json!({ "name": "A", "units": "furlongs" }), "/units"),
            (json!({ "name": "A" }), "/units"),
            (json!({ "name": "A\u{0}B", "units": "metric" }), "/name"),
            (json!(["A", "metric", null, 3]), ""),
        ];
        let before = manager.get(&house.path("")).await.body;
        for (body, field) in cases {
            let answer = edit(&manager, house, body.to_string()).await;
            answer.expect_problem(400);
            assert_eq!(answer.fault(), field, "{body}");
        }
        assert_eq!(manager.get(&house.path("")).await.body, before);
    }

    /// Well-formed, but refused: RFC 9110 section 15.5.21.
    async fn a_value_that_reads_and_cannot_be_is_refused_by_its_pointer(house) {
        let manager = house.manager().await;
        for name in ["", "   ", &"x".repeat(121)] {
            let answer = edit(&manager, house, json!({ "name": name, "units": "metric" }).to_string()).await;
            answer.expect_problem(422);
            assert_eq!(answer.fault(), "/name", "{name:?}");
        }
    }

    async fn what_is_no_json_or_only_half_of_it_is_unreadable(house) {
        let manager = house.manager().await;
        let deep = "[".repeat(100_000);
        for body in [
            "", "{", "{}}", "nothing", r#"{ "name": "A", "units": "metric" } and more"#,
            r#"{ "name": "A", "name": "B", "units": "metric" }"#, r#"{ "name": 1e999 }"#, &deep,
        ] {
            edit(&manager, house, body).await.expect_problem(400);
        }
    }

    /// RFC 9110 section 15.5.16.
    async fn a_body_of_another_media_type_or_coding_is_told_which_one_is_taken(house) {
        let manager = house.manager().await;
        let path = house.path("");
        let tag = manager.get(&path).await.header("etag").unwrap().to_owned();
        let body = json!({ "name": "A", "units": "metric" }).to_string();
        for media_type in ["text/plain", "application/x-www-form-urlencoded", "text/json", "nothing"] {
            let headers = [("if-match", tag.as_str()), ("content-type", media_type)];
            let answer = manager.send_text(PATCH, &path, &headers, body.clone()).await;
            answer.expect_problem(415);
        }
        let untold = manager.send_text(PATCH, &path, &[("if-match", &tag)], body.clone()).await;
        untold.expect_problem(415);
        let json = ("content-type", "application/json");
        let coded = [json, ("if-match", tag.as_str()), ("content-encoding", "gzip")];
        let answer = manager.send_text(PATCH, &path, &coded, body.clone()).await;
        answer.expect_problem(415);

        let told = [("content-type", "application/json; charset=utf-8"), ("if-match", tag.as_str())];
        manager.send_text(PATCH, &path, &told, body).await.expect(200);
    }

    /// RFC 9110 section 15.5.14.
    async fn a_body_is_taken_up_to_256_kib_and_no_further(house) {
        let manager = house.manager().await;
        let body = json!({ "name": "A", "units": "metric" }).to_string();
        let padded = |bytes: usize| format!("{body}{}", " ".repeat(bytes - body.len()));
        edit(&manager, house, padded(LIMIT)).await.expect(200);
        edit(&manager, house, padded(LIMIT + 1)).await.expect_problem(413);
    }

    /// A body in chunks (RFC 9112 section 7.1) does not tell its length before.
    async fn a_body_in_chunks_is_held_to_the_same_limit(house) {
        let chunk = format!("10000\r\n{}\r\n", " ".repeat(0x10000));
        let request = "POST /api/v1/sign-in HTTP/1.1\r\nhost: house\r\nconnection: close\r\n\
            content-type: application/json\r\ntransfer-encoding: chunked\r\n\r\n";
        for (chunks, status) in [(4, "400"), (5, "413")] {
            let mut stream = TcpStream::connect(house.base.trim_start_matches("http://")).unwrap();
            let sent = format!("{request}{}0\r\n\r\n", chunk.repeat(chunks));
            stream.write_all(sent.as_bytes()).unwrap();
            let mut answer = String::new();
            stream.read_to_string(&mut answer).unwrap();
            assert!(answer.starts_with(&format!("HTTP/1.1 {status} ")), "{chunks} chunks: {answer}");
            assert!(answer.contains("application/problem+json"), "{answer}");
        }
    }
}
