//! The rest of a day planned anew: what is begun stays, what can be kept is kept, and nothing changes before
//! somebody takes it.

use roundhand::store::Role;
use serde_json::{Value, json};

use super::yard::{DAY, Yard, instant, local, orders};
use crate::support::{Client, Engine, House, on_both_engines, skip};

/// Plans and issues the day; gives it.
async fn issued(yard: &Yard, manager: &Client) -> Value {
    yard.plan(manager, DAY).await;
    let issue = yard.path(&format!("/days/{DAY}/issue"));
    manager.post(&issue, &json!({})).await.expect(200);
    yard.day(manager, DAY).await
}

async fn replan(yard: &Yard, manager: &Client, ask: &Value) -> Value {
    let path = yard.path(&format!("/days/{DAY}/replan"));
    manager.post(&path, ask).await.expect(200)
}

fn order<'a>(day: &'a Value, id: &Value) -> Option<&'a Value> {
    orders(day).into_iter().find(|order| order["id"] == *id)
}

/// The orders of a crew, in order of the round.
fn of_crew(day: &Value, crew: i64) -> Vec<&Value> {
    let all = orders(day).into_iter();
    all.filter(|order| order["crew_id"] == crew).collect()
}

fn at(time: &str) -> Value {
    json!(local(DAY, time))
}

on_both_engines! {
    async fn a_trial_tells_what_would_change_and_changes_nothing(house) {
        let yard = Yard::db_lay(house);
        let manager = house.manager().await;
        let day = issued(&yard, &manager).await;
        let shut = json!({ "kind": "court_shut", "court_id": yard.courts[0], "until": at("23:00"),
            "from": at("05:00"), "reason": "the fence is down" });
        let told = replan(&yard, &manager, &json!({ "happened": [shut] })).await;
        assert_eq!(told["taken"], false);
        let moves = told["moves"].as_array().unwrap();
        let gone: Vec<_> = moves.iter().filter(|one| one["became"] == "left_out").collect();
        assert!(!gone.is_empty() && gone.iter().all(|one| one["place"] == "Court 1"), "{told}");
        assert!(gone.iter().all(|one| one["reason"].is_string() && one["to_crew"].is_null()));
        assert_eq!(yard.day(&manager, DAY).await, day);
        let replans = yard.path(&format!("/days/{DAY}/replans"));
        assert!(manager.get(&replans).await.items().is_empty());
        let again = replan(&yard, &manager, &json!({})).await;
        assert_eq!(again["moves"], json!([]), "the trial shut no court: {again}");
    }

    async fn where_nothing_happened_nothing_changes(house) {
        let yard = Yard::db_lay(house);
        let manager = house.manager().await;
        let day = issued(&yard, &manager).await;
        let told = replan(&yard, &manager, &json!({ "take": true })).await;
        assert_eq!((&told["moves"], &told["taken"]), (&json!([]), &json!(true)));
        assert!(told["cost_cents"].as_i64() <= told["cost_before_cents"].as_i64(), "{told}");
        let after = yard.day(&manager, DAY).await;
        assert_eq!(after["plan"]["state"], "issued");
        assert_eq!(after["plan"]["issued_at"], day["plan"]["issued_at"]);
        let ids = |day: &Value| -> Vec<Value> {
            orders(day).iter().map(|o| json!([o["id"], o["state"], o["crew_id"], o["tools"]])).collect()
        };
        assert_eq!(ids(&after), ids(&day));
        assert_eq!(after["waterings"], day["waterings"], "no run of water stands twice");
    }

    async fn planning_an_issued_day_again_changes_nothing_and_names_the_way(house) {
        let yard = Yard::db_lay(house);
        let manager = house.manager().await;
        let day = issued(&yard, &manager).await;
        let again = manager.post(&yard.path(&format!("/days/{DAY}/plan-runs")), &json!({})).await;
        assert!(again.text.contains("/replan"), "{}", again.text);
        again.expect(409);
        assert_eq!(yard.day(&manager, DAY).await, day);
    }

    async fn work_under_way_or_done_is_never_moved(house) {
        let yard = Yard::db_lay(house);
        let manager = house.manager().await;
        let day = issued(&yard, &manager).await;
        let early = of_crew(&day, yard.crews[0]);
        let (done, running) = (early[0].clone(), early[1].clone());
        let person = manager.get(&yard.path("/people")).await.items()[0]["id"].clone();
        let start = |order: &Value, rest: &str| yard.path(&format!("/orders/{}{rest}", order["id"]));
        manager.post(&start(&done, "/start"), &json!({ "happened_at": at("04:20") })).await.expect(200);
        let steps: Vec<&Value> = done["steps"].as_array().unwrap().iter().map(|step| &step["position"]).collect();
        let finish = json!({ "happened_at": at("04:40"), "fit": { "is": "yes" }, "steps_done": steps,
            "people": [{ "person_id": person, "minutes": 20 }] });
        manager.post(&start(&done, "/finish"), &finish).await.expect(200);
        manager.post(&start(&running, "/start"), &json!({ "happened_at": at("04:50") })).await.expect(200);
        let before = yard.day(&manager, DAY).await;

        let gone = json!({ "kind": "crew_away", "crew_id": yard.crews[0] });
        let told = replan(&yard, &manager, &json!({ "because": "a bug going round", "happened": [gone], "take": true })).await;
        assert!(!told["moves"].as_array().unwrap().is_empty());
        let after = yard.day(&manager, DAY).await;
        for was in [&done, &running] {
            let (was, is) = (order(&before, &was["id"]).unwrap(), order(&after, &was["id"]).unwrap());
            for field in ["state", "crew_id", "started_at", "ended_at", "planned_start", "planned_end", "tools", "steps", "version"] {
                assert_eq!(was[field], is[field], "{field}");
            }
        }
        let left: Vec<_> = of_crew(&after, yard.crews[0]).into_iter().map(|o| &o["id"]).collect();
        assert_eq!(left, [&done["id"], &running["id"]], "a crew sent home gets nothing more");
        let other: Vec<_> = of_crew(&after, yard.crews[1]);
        assert!(other.len() >= of_crew(&day, yard.crews[1]).len());
        assert!(other.iter().all(|order| order["state"] == "issued"));

        let list = manager.get(&yard.path(&format!("/days/{DAY}/replans"))).await.items();
        assert_eq!((list.len(), &list[0]["because"]), (1, &json!("a bug going round")));
        assert_eq!(list[0]["moves"], told["moves"]);
    }

    async fn where_everybody_goes_home_everything_is_left_out(house) {
        let yard = Yard::db_lay(house);
        let manager = house.manager().await;
        let day = issued(&yard, &manager).await;
        let away: Vec<Value> = manager.get(&yard.path("/people")).await.items().iter()
            .map(|person| json!({ "kind": "person_away", "person_id": person["id"] })).collect();
        let told = replan(&yard, &manager, &json!({ "happened": away, "take": true })).await;
        let moves = told["moves"].as_array().unwrap();
        assert!(moves.iter().all(|one| one["became"] == "left_out"), "{told}");
        assert_eq!(moves.len(), orders(&day).len());
        assert_eq!(told["pay_cents"], 0);
        assert!(orders(&yard.day(&manager, DAY).await).is_empty());
    }

    async fn fewer_hands_take_longer(house) {
        let yard = Yard::db_lay(house);
        let manager = house.manager().await;
        let day = issued(&yard, &manager).await;
        let people = manager.get(&yard.path("/people")).await.items();
        let one = people.iter().find(|person| person["name"] == "Crew 1 person 0").unwrap();
        let away = json!({ "kind": "person_away", "person_id": one["id"] });
        replan(&yard, &manager, &json!({ "happened": [away], "take": true })).await;
        let after = yard.day(&manager, DAY).await;
        let seconds = |order: &Value| (instant(&order["planned_end"]).utc() - instant(&order["planned_start"]).utc()).num_seconds();
        let mut longer = 0;
        for order in of_crew(&after, yard.crews[1]) {
            let was = orders(&day).into_iter().find(|was| was["visit_key"] == order["visit_key"]
                && was["crew_id"] == order["crew_id"] && was["kind"] == order["kind"] && was["groom_class"] == order["groom_class"]);
            let Some(was) = was else { continue };
            assert!(seconds(order) >= seconds(was), "{order}");
            let steps: i64 = order["steps"].as_array().unwrap().iter().map(|s| s["planned_s"].as_i64().unwrap()).sum();
            assert_eq!(steps, seconds(order), "the steps say the same");
            longer += i32::from(seconds(order) > seconds(was));
        }
        assert!(longer > 0);
    }

    async fn an_order_that_stays_keeps_its_number_and_one_that_moves_gets_another(house) {
        let yard = Yard::db_lay(house);
        let manager = house.manager().await;
        let day = issued(&yard, &manager).await;
        let gone = json!({ "kind": "crew_away", "crew_id": yard.crews[1], "from": at("18:00") });
        let told = replan(&yard, &manager, &json!({ "happened": [gone], "take": true })).await;
        let moved: Vec<&Value> = told["moves"].as_array().unwrap().iter().collect();
        let after = yard.day(&manager, DAY).await;
        for was in orders(&day) {
            let fate = moved.iter().find(|one| one["visit_key"] == was["visit_key"]);
            let became = fate.map_or("kept", |one| one["became"].as_str().unwrap());
            let stays = order(&after, &was["id"]);
            match became {
                "kept" | "retimed" => assert_eq!(stays.unwrap()["state"], "issued"),
                _ => {
                    assert!(stays.is_none(), "{fate:?}");
                    let now = manager.get(&yard.path(&format!("/orders/{}", was["id"]))).await.expect(200);
                    assert_eq!(now["state"], "withdrawn");
                }
            }
        }
        for order in of_crew(&after, yard.crews[1]) {
            assert!(instant(&order["planned_end"]) <= local(DAY, "18:00"), "{order}");
        }
        assert!(moved.iter().any(|one| one["became"] == "left_out"), "the evening is nobody's: {told}");
    }

    async fn a_broken_tool_is_on_no_order_that_starts_later(house) {
        let yard = Yard::db_lay(house);
        let manager = house.manager().await;
        let day = issued(&yard, &manager).await;
        let brush = orders(&day).iter().flat_map(|order| order["tools"].as_array().unwrap().clone())
            .find(|tool| tool["class"] == "drag_broom").unwrap();
        let broken = json!({ "kind": "tool_broken", "tool_id": brush["id"] });
        replan(&yard, &manager, &json!({ "happened": [broken], "take": true })).await;
        let after = yard.day(&manager, DAY).await;
        for order in orders(&after) {
            let tools = order["tools"].as_array().unwrap();
            assert!(tools.iter().all(|tool| tool["id"] != brush["id"]), "{order}");
        }
        assert_eq!(orders(&after).len(), orders(&day).len(), "the other one does the work");
        let tool = manager.get(&yard.path(&format!("/tools/{}", brush["id"]))).await.expect(200);
        assert_eq!(tool["state"], "out_of_service");
    }

    async fn nobody_works_on_a_court_while_it_rains(house) {
        let yard = Yard::db_lay(house);
        let manager = house.manager().await;
        issued(&yard, &manager).await;
        let rain = json!({ "kind": "rain", "from": at("11:00"), "until": at("12:15") });
        let told = replan(&yard, &manager, &json!({ "happened": [rain], "take": true })).await;
        assert!(told["moves"].as_array().unwrap().iter().any(|one| one["became"] != "left_out"), "{told}");
        let is_dry = |day: &Value| orders(day).iter().all(|order| {
            instant(&order["planned_end"]) <= local(DAY, "11:00") || instant(&order["planned_start"]) >= local(DAY, "12:15")
        });
        assert!(is_dry(&yard.day(&manager, DAY).await));
        replan(&yard, &manager, &json!({ "take": true })).await;
        assert!(is_dry(&yard.day(&manager, DAY).await), "it is not forgotten");
    }

    async fn after_lightning_nothing_begins_before_people_go_back_out(house) {
        let yard = Yard::db_lay(house);
        let manager = house.manager().await;
        issued(&yard, &manager).await;
        let told = json!({ "kind": "lightning", "happened_at": at("05:02") });
        let stop = manager.post(&yard.path("/stops"), &told).await.expect(200);
        let out = instant(&stop["release_from"]);
        assert!(out > local(DAY, "05:30"), "{stop}");
        replan(&yard, &manager, &json!({ "take": true })).await;
        let after = yard.day(&manager, DAY).await;
        assert!(orders(&after).iter().all(|order| instant(&order["planned_start"]) >= out));
    }

    async fn play_that_runs_over_pushes_the_turnaround_after_it(house) {
        let yard = Yard::db_lay(house);
        let manager = house.manager().await;
        let day = issued(&yard, &manager).await;
        let turned = orders(&day).into_iter()
            .find(|o| o["court_id"] == yard.courts[0] && o["kind"] != "care" && instant(&o["planned_start"]) >= local(DAY, "11:30"))
            .unwrap().clone();
        let session: i64 = turned["visit_key"].as_str().unwrap().rsplit(':').next().unwrap().parse().unwrap();
        let over = json!({ "kind": "play_runs_over", "session_id": session, "until": at("12:00") });
        replan(&yard, &manager, &json!({ "happened": [over], "take": true })).await;
        let after = yard.day(&manager, DAY).await;
        let is = orders(&after).into_iter().find(|o| o["visit_key"] == turned["visit_key"]).unwrap().clone();
        assert!(instant(&is["planned_start"]) >= local(DAY, "12:00"), "{is}");
    }

    async fn what_was_shown_is_taken_or_nothing(house) {
        let yard = Yard::db_lay(house);
        let manager = house.manager().await;
        let day = issued(&yard, &manager).await;
        let gone = json!({ "kind": "crew_away", "crew_id": yard.crews[1], "from": at("18:00") });
        let mut ask = json!({ "happened": [gone] });
        let shown = replan(&yard, &manager, &ask).await;
        ask["take"] = json!(true);
        ask["shown"] = shown["shown"].clone();
        // Meanwhile a crew begins its next order.
        let first = of_crew(&day, yard.crews[0])[0]["id"].clone();
        manager.post(&yard.path(&format!("/orders/{first}/start")), &json!({})).await.expect(200);
        let path = yard.path(&format!("/days/{DAY}/replan"));
        let late = manager.post(&path, &ask).await;
        assert!(late.text.contains("moved on"), "{}", late.text);
        late.expect(409);

        ask["take"] = json!(false);
        let shown = replan(&yard, &manager, &ask).await;
        ask["take"] = json!(true);
        ask["shown"] = shown["shown"].clone();
        let taken = replan(&yard, &manager, &ask).await;
        assert_eq!((&taken["moves"], &taken["cost_cents"]), (&shown["moves"], &shown["cost_cents"]));
        manager.post(&path, &ask).await.expect(409);
    }

    async fn of_two_who_replan_at_once_no_visit_is_planned_twice(house) {
        let yard = Yard::db_lay(house);
        let (one, other) = (house.manager().await, house.manager().await);
        issued(&yard, &one).await;
        let path = yard.path(&format!("/days/{DAY}/replan"));
        let ask = json!({ "take": true });
        let (a, b) = tokio::join!(one.post(&path, &ask), other.post(&path, &ask));
        let mut all = [a.status.as_u16(), b.status.as_u16()];
        all.sort_unstable();
        assert!(all == [200, 409] || all == [200, 200], "{} {}", a.text, b.text);
        let day = yard.day(&one, DAY).await;
        let mut keys: Vec<&Value> = orders(&day).into_iter().map(|order| &order["visit_key"]).collect();
        let many = keys.len();
        keys.sort_by_key(ToString::to_string);
        keys.dedup();
        assert_eq!(keys.len(), many, "no visit stands twice");
    }

    async fn sent_twice_under_one_key_it_is_done_once(house) {
        let yard = Yard::db_lay(house);
        let manager = house.manager().await;
        issued(&yard, &manager).await;
        let path = yard.path(&format!("/days/{DAY}/replan"));
        let ask = json!({ "take": true, "happened": [{ "kind": "person_away",
            "person_id": manager.get(&yard.path("/people")).await.items()[0]["id"] }] });
        let key = "\"9d2f0c4e-0c5c-4f33-9a53-6a6c7d5b1f07\"";
        let first = manager.post_with_key(&path, &ask, key).await.expect(200);
        let plan = yard.day(&manager, DAY).await["plan"]["id"].clone();
        assert_eq!(manager.post_with_key(&path, &ask, key).await.expect(200), first);
        assert_eq!(yard.day(&manager, DAY).await["plan"]["id"], plan);
    }

    async fn what_makes_no_sense_is_refused_by_field_and_only_a_manager_may(house) {
        let yard = Yard::db_lay(house);
        let manager = house.manager().await;
        let path = yard.path(&format!("/days/{DAY}/replan"));
        manager.post(&path, &json!({})).await.expect(409);
        let day = issued(&yard, &manager).await;
        for (wrong, field) in [
            (json!({ "kind": "rain", "from": at("12:00"), "until": at("11:00") }), "/happened/0/until"),
            (json!({ "kind": "rain", "until": "9999-01-01T00:00:00Z" }), "/happened/0/until"),
            (json!({ "kind": "crew_away", "crew_id": 9_999_999 }), "/happened/0/crew_id"),
            (json!({ "kind": "person_away", "person_id": 9_999_999 }), "/happened/0/person_id"),
            (json!({ "kind": "tool_broken", "tool_id": 9_999_999 }), "/happened/0/tool_id"),
            (json!({ "kind": "court_shut", "court_id": yard.courts[0], "until": at("23:00"), "reason": " " }), "/happened/0/reason"),
            (json!({ "kind": "work_runs_over", "order_id": orders(&day)[0]["id"], "until": at("23:00") }), "/happened/0/order_id"),
            (json!({ "kind": "play_runs_over", "session_id": 9_999_999, "until": at("12:00") }), "/happened/0/session_id"),
        ] {
            let refused = manager.post(&path, &json!({ "happened": [wrong], "take": true })).await;
            assert_eq!(refused.fault(), field, "{wrong}: {}", refused.text);
            refused.expect(422);
        }
        manager.post(&path, &json!({ "happened": [{ "kind": "flood" }] })).await.expect(400);
        house.as_role(Role::CrewLead).await.post(&path, &json!({})).await.expect(403);
        assert_eq!(yard.day(&manager, DAY).await, day);
    }
}

/// Noon of the day: the morning is done but for one order under way and one that nobody began.
async fn noon(house: &House) {
    let yard = Yard::db_lay(house);
    let manager = house.manager().await;
    let day = issued(&yard, &manager).await;
    let person = manager.get(&yard.path("/people")).await.items()[0]["id"].clone();
    let now = local(DAY, "12:20");
    let begun: Vec<&Value> = orders(&day)
        .into_iter()
        .filter(|order| instant(&order["planned_start"]) < now)
        .collect();
    let late = begun.last().unwrap()["id"].clone();
    for order in &begun {
        let of = |rest: &str| yard.path(&format!("/orders/{}{rest}", order["id"]));
        if order["id"] == late {
            continue;
        }
        let start = json!({ "happened_at": order["planned_start"] });
        manager.post(&of("/start"), &start).await.expect(200);
        if instant(&order["planned_end"]) < now {
            let steps = order["steps"].as_array().unwrap().iter();
            let steps: Vec<&Value> = steps.map(|step| &step["position"]).collect();
            let finish = json!({ "happened_at": order["planned_end"], "fit": { "is": "yes" },
                "steps_done": steps, "people": [{ "person_id": person, "minutes": 5 }] });
            manager.post(&of("/finish"), &finish).await.expect(200);
        }
    }
    let before = yard.day(&manager, DAY).await;
    for (nth, happened) in [
        json!([]),
        json!([{ "kind": "rain", "until": at("13:00") }]),
        json!([{ "kind": "tool_broken", "tool_id": manager.get(&yard.path("/tools")).await.items()[1]["id"] }]),
        json!([{ "kind": "court_shut", "court_id": yard.courts[1], "until": at("17:30"), "reason": "a ball machine" }]),
        json!([{ "kind": "crew_away", "crew_id": yard.crews[0] }]),
    ]
    .into_iter()
    .enumerate()
    {
        let told = replan(&yard, &manager, &json!({ "happened": happened, "take": true })).await;
        let after = yard.day(&manager, DAY).await;
        for was in orders(&before) {
            if was["state"] == "finished" || was["state"] == "under_way" {
                let is = order(&after, &was["id"]).unwrap();
                for field in ["state", "crew_id", "started_at", "ended_at", "version"] {
                    assert_eq!(was[field], is[field], "{nth} {field}: {told}");
                }
            }
        }
        for open in orders(&after) {
            if open["state"] == "issued" {
                assert!(instant(&open["planned_start"]) >= now, "{nth}: nothing starts in the past: {open}");
                assert_ne!(
                    (nth, &open["crew_id"]),
                    (4, &json!(yard.crews[0])),
                    "a crew sent home gets nothing more"
                );
            }
        }
    }
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn at_noon_what_is_done_stays_and_nothing_is_planned_into_the_past() {
    let at_noon = "2031-06-10T16:20:00Z".parse().unwrap();
    noon(&House::open_at(Engine::Sqlite, at_noon).unwrap()).await;
    match House::open_at(Engine::Postgres, at_noon) {
        Some(house) => noon(&house).await,
        None => skip("no PostgreSQL: tests/run starts one and sets ROUNDHAND_TEST_POSTGRES_URL"),
    }
}
