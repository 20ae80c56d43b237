//! What the service counts of itself, where it tells it, and that nobody outside can make it count without end.

use std::net::TcpListener;

use serde_json::json;

use super::process::{Process, houses};
use super::raw::exchange;
use crate::support::{Client, Engine, House};

/// The value of a series, by its name and labels as they are written.
#[track_caller]
fn value(text: &str, series: &str) -> f64 {
    let line = text.lines().find_map(|line| line.strip_prefix(series));
    let line = line.unwrap_or_else(|| panic!("no {series} in\n{text}"));
    line.trim().parse().unwrap()
}

/// Source: the text format of Prometheus, version 0.0.4 (names, HELP and TYPE lines).
#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn what_is_counted_is_told_on_an_address_of_its_own() {
    for house in houses() {
        let mut process = Process::serve(&house, &[], &[("ROUNDHAND_METRICS_BIND", "127.0.0.1:0")]);
        let sight = format!("http://{}", process.wait_for("telling counts", "address"));
        let nobody = Client::nobody(&process.base);
        let manager = house.manager_at(&process.base).await;
        manager.get(&house.path("/courts")).await.expect(200);
        let wrong = json!({ "email": "nobody@elsewhere.example", "password": "not it" });
        for _ in 0..9 {
            nobody.post("/api/v1/sign-in", &wrong).await;
        }
        let told = Client::nobody(&sight).get("/metrics").await;
        assert_eq!(
            told.header("content-type"),
            Some("text/plain; version=0.0.4")
        );
        let text = told.text;
        for (series, least) in [
            (
                r#"roundhand_http_answers_total{method="GET",route="/api/v1/sites/{site_id}/courts",status="200"}"#,
                1.0,
            ),
            (
                r#"roundhand_http_answer_seconds_count{method="GET",route="/api/v1/sites/{site_id}/courts"}"#,
                1.0,
            ),
            (
                r#"roundhand_http_answers_total{method="POST",route="/api/v1/sign-in",status="401"}"#,
                8.0,
            ),
            (r#"roundhand_sign_ins_refused_total{why="wrong"}"#, 8.0),
            (r#"roundhand_sign_ins_refused_total{why="too_many"}"#, 1.0),
            ("roundhand_database_up", 1.0),
            ("roundhand_database_connections_most", 8.0),
            ("roundhand_database_connections_in_use", 0.0),
            ("roundhand_mail_waiting", 0.0),
            ("roundhand_mail_oldest_seconds", 0.0),
            ("roundhand_searches", 0.0),
        ] {
            let found = value(&text, series);
            assert!(found >= least, "{series} is {found}\n{text}");
        }
        for line in text.lines().filter(|line| !line.starts_with('#')) {
            let name = line.split(['{', ' ']).next().unwrap();
            let of = name
                .trim_end_matches("_bucket")
                .trim_end_matches("_sum")
                .trim_end_matches("_count");
            assert!(
                text.contains(&format!("# TYPE {of} ")) && text.contains(&format!("# HELP {of} ")),
                "{line}"
            );
        }
        // Not for whoever asks the service itself.
        assert_eq!(
            nobody.get("/metrics").await.status,
            200,
            "the sign-in page, where that leads"
        );
        assert!(!nobody.get("/metrics").await.text.contains("roundhand_http"));
    }
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_thousand_paths_and_methods_that_are_made_up_make_one_series() {
    let house = House::open(Engine::Sqlite).unwrap();
    let mut process = Process::serve(&house, &[], &[("ROUNDHAND_METRICS_BIND", "127.0.0.1:0")]);
    let sight = format!("http://{}", process.wait_for("telling counts", "address"));
    let series = async || {
        let text = Client::nobody(&sight).get("/metrics").await.text;
        text.lines()
            .filter(|line| line.starts_with("roundhand_http_answers_total"))
            .count()
    };
    let nobody = Client::nobody(&process.base);
    nobody.get("/api/v1/made-up-0").await.expect_problem(401);
    nobody.get("/api/made-up-0").await.expect_problem(404);
    exchange(&process.base, b"INVENT0 /api/made-up HTTP/1.0\r\n\r\n");
    let before = series().await;
    for nth in 1..1_000 {
        nobody
            .get(&format!("/api/made-up-{nth}"))
            .await
            .expect_problem(404);
    }
    for nth in 1..20 {
        nobody
            .get(&format!("/api/v1/made-up-{nth}"))
            .await
            .expect_problem(401);
        let request = format!("INVENT{nth} /api/made-up HTTP/1.0\r\n\r\n");
        exchange(&process.base, request.as_bytes());
    }
    assert_eq!(series().await, before);
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn where_the_usual_address_is_taken_the_service_serves_and_says_so() {
    // Whether or not somebody else has it by now, somebody has.
    let _taken = TcpListener::bind("127.0.0.1:9464");
    let house = House::open(Engine::Sqlite).unwrap();
    let mut process = Process::serve(&house, &[], &[("ROUNDHAND_METRICS_BIND", "")]);
    process.wait_for(
        "nobody is told counts: name another address with --metrics-bind, or off",
        "address",
    );
    assert_eq!(
        Client::nobody(&process.base).get("/healthz").await.status,
        200
    );
}

#[test]
fn an_address_that_was_asked_for_and_is_taken_ends_the_service_by_its_option() {
    let taken = TcpListener::bind("127.0.0.1:0").unwrap();
    let address = taken.local_addr().unwrap().to_string();
    let folder = tempfile::tempdir().unwrap();
    let database = format!("sqlite:{}", folder.path().join("data.sqlite").display());
    let ran = super::process::bare()
        .args([
            "serve",
            "--bind",
            "127.0.0.1:0",
            "--database",
            &database,
            "--metrics-bind",
            &address,
        ])
        .output()
        .unwrap();
    let told = String::from_utf8(ran.stderr).unwrap();
    assert!(
        !ran.status.success() && told.contains("--metrics-bind: cannot listen on"),
        "{told}"
    );
}
