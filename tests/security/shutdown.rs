//! The service is told to stop: what is under way ends in order, nothing else begins, and it ends in time.

use std::net::TcpStream;

use reqwest::Method;
use serde_json::json;

use super::hold::Hold;
use super::process::{Process, houses};
use crate::days::yard::{DAY, Yard};
use crate::support::{Client, House};

/// So that it tells when it has read a request.
const LOUD: [(&str, &str); 1] = [("ROUNDHAND_LOG", "debug")];

async fn edit(client: &Client, house: &House) -> crate::support::Answer {
    let body = json!({ "name": "Another name", "units": "metric" });
    client
        .send(
            Method::PATCH,
            &house.path(""),
            &[("if-match", "\"1\"")],
            Some(&body),
        )
        .await
}

#[tokio::test(flavor = "multi_thread", worker_threads = 4)]
async fn a_request_under_way_is_answered_no_other_begins_and_the_process_ends_well() {
    for signal in ["TERM", "INT"] {
        for house in houses() {
            let mut process = Process::serve(&house, &[], &LOUD);
            let manager = house.manager_at(&process.base).await;
            let held = Hold::site(&house);
            let (client, path) = (manager.clone(), house.path(""));
            let slow = tokio::spawn(async move {
                let body = json!({ "name": "Another name", "units": "metric" });
                client
                    .send(Method::PATCH, &path, &[("if-match", "\"1\"")], Some(&body))
                    .await
            });
            process.wait_until_asked("PATCH");
            process.signal(signal);
            process.wait_for("stopping", "");
            let address = process.base.trim_start_matches("http://").to_owned();
            while TcpStream::connect(&address).is_ok() {
                tokio::time::sleep(std::time::Duration::from_millis(20)).await;
            }
            assert!(!slow.is_finished(), "it still waits");
            drop(held);
            assert_eq!(slow.await.unwrap().expect(200)["name"], "Another name");
            let ended = process.ended();
            assert_eq!(ended.code(), Some(0), "{}", process.log());
            let lines = process.lines();
            assert_eq!(
                lines.last().unwrap()["fields"]["message"],
                "stopped",
                "{}",
                process.log()
            );
        }
    }
}

#[tokio::test(flavor = "multi_thread", worker_threads = 4)]
async fn a_request_that_never_ends_does_not_keep_the_process() {
    for house in houses() {
        let mut process = Process::serve(&house, &["--shutdown-seconds", "1"], &LOUD);
        let manager = house.manager_at(&process.base).await;
        let held = Hold::site(&house);
        let (client, path) = (manager.clone(), house.path(""));
        let lost = tokio::spawn(async move {
            let body = json!({ "name": "Another name", "units": "metric" });
            let request = client.send(Method::PATCH, &path, &[("if-match", "\"1\"")], Some(&body));
            request.await.status
        });
        process.wait_until_asked("PATCH");
        process.signal("TERM");
        assert_eq!(process.ended().code(), Some(0), "{}", process.log());
        assert!(
            lost.await.is_err(),
            "the connection was shut without an answer"
        );
        drop(held);
        // What was not done is not half done.
        assert_eq!(
            house.manager().await.get(&house.path("")).await.expect(200)["version"],
            1
        );
        edit(&house.manager().await, &house).await.expect(200);
    }
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_planning_run_under_way_ends_with_the_best_plan_it_has_and_says_why() {
    for house in houses() {
        let yard = Yard::db_lay(&house);
        let mut process = Process::serve(&house, &[], &[]);
        let manager = house.manager_at(&process.base).await;
        let run = yard.ask(&manager, DAY, 60).await;
        process.signal("TERM");
        assert_eq!(process.ended().code(), Some(0), "{}", process.log());
        let path = yard.path(&format!("/plan-runs/{}", run["id"]));
        let told = house.manager().await.get(&path).await.expect(200);
        assert_eq!(told["state"], "ready", "{told}");
        assert!(
            told["message"]
                .as_str()
                .unwrap()
                .contains("the service was stopped"),
            "{told}"
        );
    }
}
