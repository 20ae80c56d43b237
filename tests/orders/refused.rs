//! What is refused, and how it is told.

use reqwest::Method;
use serde_json::{Value, json};

use crate::support::{Answer, Ground, TODAY, on_both_engines};

/// The fields at fault, in the order told.
fn fields(answer: Answer, status: u16) -> Vec<String> {
    let body = answer.expect(status);
    let faults = body["faults"].as_array().cloned().unwrap_or_default();
    faults
        .iter()
        .map(|f| f["field"].as_str().unwrap().to_owned())
        .collect()
}

/// A person's time of today, from one hour to another.
fn between(person: i64, from: &str, to: &str) -> Value {
    json!({
        "person_id": person,
        "started_at": format!("{TODAY}T{from}:00Z"),
        "ended_at": format!("{TODAY}T{to}:00Z"),
    })
}

fn finish(person: i64, minutes: i64) -> Value {
    json!({
        "fit": { "is": "yes" },
        "steps_done": [1, 2],
        "people": [{ "person_id": person, "minutes": minutes }],
    })
}

on_both_engines! {
    async fn every_fault_of_a_closing_is_named_at_once_and_nothing_is_booked(house) {
        let ground = Ground::db_lay(house);
        let id = ground.db_issue_plain(house);
        let manager = house.manager().await;
        let path = house.path(&format!("/orders/{id}/finish"));
        let told = json!({
            "happened_at": "2031-06-10T08:00:00Z",
            "fit": { "is": "held" },
            "steps_done": [1, 7],
            "people": [
                { "person_id": ground.dear, "minutes": 961 },
                { "person_id": 999_999, "minutes": 10 },
                { "person_id": ground.cheap },
                between(ground.cheap, "07:00", "06:00"),
                between(ground.cheap, "03:00", "05:00"),
            ],
            "materials": [
                { "material_id": ground.bags, "quantity": 0 },
                { "material_id": 999_999, "quantity": 1 },
            ],
            "tool_uses": [
                { "tool_id": 999_999, "uses": 1 },
                { "tool_id": ground.drag, "uses": -1 },
            ],
            "readings": [
                { "wear_part_id": ground.brush, "length_um": 100_001 },
                { "wear_part_id": 999_999, "length_um": 1 },
            ],
        });
        let faults = fields(manager.post(&path, &told).await, 422);
        assert_eq!(faults, [
            "/fit/reason",
            "/steps_done/1",
            "/people/0/minutes",
            "/people/1/person_id",
            "/people/2",
            "/people/3/ended_at",
            "/people/4/started_at",
            "/materials/0/quantity",
            "/materials/1/material_id",
            "/tool_uses/0/tool_id",
            "/tool_uses/1/uses",
            "/readings/0/length_um",
            "/readings/1/wear_part_id",
        ]);
        let order = manager.get(&house.path(&format!("/orders/{id}"))).await.expect(200);
        assert_eq!(order["state"], "issued");
        let hours = format!("/hours?from={TODAY}&to={TODAY}&person_id={}", ground.cheap);
        assert!(manager.get(&house.path(&hours)).await.items().is_empty());
    }

    async fn a_court_not_fit_says_until_when_and_a_fit_one_says_no_more(house) {
        let ground = Ground::db_lay(house);
        let id = ground.db_issue_plain(house);
        let manager = house.manager().await;
        let path = house.path(&format!("/orders/{id}/finish"));
        for (fit, fault) in [
            (json!({ "is": "not_yet" }), "/fit/until"),
            (json!({ "is": "not_yet", "until": "2031-06-10T08:59:00Z" }), "/fit/until"),
            (json!({ "is": "not_yet", "until": "2041-06-10T08:59:00Z" }), "/fit/until"),
            (json!({ "is": "yes", "until": "2031-06-10T10:00:00Z" }), "/fit/until"),
            (json!({ "is": "yes", "reason": "why not" }), "/fit/reason"),
            (json!({ "is": "held", "reason": "  " }), "/fit/reason"),
        ] {
            let mut told = finish(ground.dear, 5);
            told["fit"] = fit.clone();
            assert_eq!(fields(manager.post(&path, &told).await, 422), [fault], "{fit}");
        }
        let undone = house.path(&format!("/orders/{id}/leave-undone"));
        let told = json!({ "reason": "other" });
        assert_eq!(fields(manager.post(&undone, &told).await, 422), ["/note"]);
        let told = json!({ "reason": "a court of law" });
        assert_eq!(fields(manager.post(&undone, &told).await, 400), ["/reason"]);
        let mut told = finish(ground.dear, 5);
        told["people"] = json!([]);
        assert_eq!(fields(manager.post(&path, &told).await, 422), ["/people"]);
    }

    async fn nothing_happens_in_the_future_or_before_the_day_or_before_the_start(house) {
        let ground = Ground::db_lay(house);
        let id = ground.db_issue_plain(house);
        let manager = house.manager().await;
        let start = house.path(&format!("/orders/{id}/start"));
        // It is 09:00; midnight in New York was at 04:00.
        for (at, taken) in [
            ("2031-06-10T09:05:01Z", false),
            ("2031-06-10T03:59:59Z", false),
            ("2031-06-10T09:05:00Z", true),
        ] {
            let told = json!({ "happened_at": at });
            let answer = manager.post(&start, &told).await;
            if taken {
                answer.expect(200);
            } else {
                assert_eq!(fields(answer, 422), ["/happened_at"], "{at}");
            }
        }
        let mut told = finish(ground.dear, 5);
        told["happened_at"] = json!("2031-06-10T09:04:00Z");
        let finish = house.path(&format!("/orders/{id}/finish"));
        assert_eq!(fields(manager.post(&finish, &told).await, 422), ["/happened_at"]);
    }

    async fn an_order_given_back_is_not_given_back_again(house) {
        let ground = Ground::db_lay(house);
        let id = ground.db_issue_plain(house);
        let manager = house.manager().await;
        let of = |rest: &str| house.path(&format!("/orders/{id}{rest}"));
        manager.post(&of("/finish"), &finish(ground.dear, 5)).await.expect(200);
        for (path, told) in [
            ("/start", json!({})),
            ("/finish", finish(ground.cheap, 5)),
            ("/leave-undone", json!({ "reason": "weather" })),
        ] {
            let refused = manager.post(&of(path), &told).await.expect(409);
            assert!(refused["detail"].as_str().unwrap().contains("finished"), "{refused}");
        }
    }

    /// A tablet says what is wrong in its reader's own language: by the word, filled in with the values.
    async fn what_a_tablet_may_meet_carries_a_word_and_its_values(house) {
        let ground = Ground::db_lay(house);
        let id = ground.db_issue_plain(house);
        let manager = house.manager().await;
        let of = |rest: &str| house.path(&format!("/orders/{id}{rest}"));
        let told = json!({
            "happened_at": "2031-06-10T10:00:00Z",
            "fit": { "is": "not_yet" },
            "steps_done": [7],
            "people": [{ "person_id": ground.dear, "minutes": 961 }],
            "materials": [{ "material_id": 999_999, "quantity": 1 }],
            "readings": [{ "wear_part_id": ground.brush, "length_um": 100_001 }],
        });
        let refused = manager.post(&of("/finish"), &told).await.expect(422);
        let faults = refused["faults"].as_array().unwrap().iter();
        let coded: Vec<Value> = faults.map(|f| json!([f["code"], f["values"]])).collect();
        assert_eq!(coded, [
            json!(["in_future", { "now": "2031-06-10T09:00:00Z" }]),
            json!(["until_missing", null]),
            json!(["step_unknown", { "step": 7, "last": 2 }]),
            json!(["minutes_range", { "most": 960 }]),
            json!(["material_unknown", null]),
            json!(["longer_than_new", { "new_um": 100_000 }]),
        ]);
        manager.post(&of("/finish"), &finish(ground.dear, 5)).await.expect(200);
        let closed = manager.post(&of("/start"), &json!({})).await.expect(409);
        assert_eq!(closed["code"], "order_state");
        assert_eq!(closed["values"], json!({ "state": "finished", "event": "started" }));

        let other = ground.db_issue_plain(house);
        manager.post(&house.path("/stops"), &json!({ "kind": "lightning" })).await.expect(200);
        let start = house.path(&format!("/orders/{other}/start"));
        let inside = manager.post(&start, &json!({})).await.expect(409);
        assert_eq!((&inside["code"], &inside["values"]["since"]), (&json!("lightning"), &json!("2031-06-10T09:00:00Z")));
    }

    async fn a_person_cannot_be_in_two_places(house) {
        let ground = Ground::db_lay(house);
        let manager = house.manager().await;
        let [first, second, third] = [(); 3].map(|()| ground.db_issue_plain(house));
        let path = |id: i64| house.path(&format!("/orders/{id}/finish"));
        manager.post(&path(first), &finish(ground.dear, 25)).await.expect(200);

        let refused = manager.post(&path(second), &finish(ground.dear, 10)).await.expect(422);
        let fault = &refused["faults"][0];
        assert_eq!(fault["field"], "/people/0");
        let detail = fault["detail"].as_str().unwrap();
        assert!(detail.contains(&format!("work order {first}")), "{detail}");

        // One entry that ends as the next starts is no fault: the first began at 08:35.
        let mut told = finish(ground.dear, 10);
        told["happened_at"] = json!("2031-06-10T08:35:00Z");
        manager.post(&path(second), &told).await.expect(200);

        let mut twice = finish(ground.cheap, 10);
        twice["people"] = json!([
            { "person_id": ground.cheap, "minutes": 10 },
            between(ground.cheap, "08:45", "08:51"),
        ]);
        assert_eq!(fields(manager.post(&path(third), &twice).await, 422), ["/people/1"]);
    }

    async fn a_key_is_a_uuid_and_a_body_is_of_the_schema(house) {
        let ground = Ground::db_lay(house);
        let id = ground.db_issue_plain(house);
        let manager = house.manager().await;
        let path = house.path(&format!("/orders/{id}/start"));
        let body = json!({});
        let none = manager.send(Method::POST, &path, &[], Some(&body)).await;
        assert_eq!(fields(none, 400), ["Idempotency-Key"]);
        let seven = manager.post_with_key(&path, &body, "\"7\"").await;
        assert_eq!(fields(seven, 400), ["Idempotency-Key"]);
        manager.post(&path, &json!({ "happend_at": null })).await.expect(400);
        manager.send(Method::PUT, &path, &[], Some(&body)).await.expect(405);
    }
}
