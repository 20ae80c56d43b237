//! A planned day changed by hand: tried, its cost told, taken, and kept to afterwards.

use roundhand::store::Role;
use serde_json::{Value, json};

use super::yard::{DAY, Yard, instant, local, orders};
use crate::support::on_both_engines;

/// The order of a visit in a day.
fn of_visit<'a>(day: &'a Value, key: &Value) -> Option<&'a Value> {
    orders(day)
        .into_iter()
        .find(|order| order["visit_key"] == *key)
}

on_both_engines! {
    async fn a_visit_given_to_another_crew_is_tried_first_then_taken_and_kept_in_a_new_plan(house) {
        let yard = Yard::db_lay(house);
        let manager = house.manager().await;
        let day = yard.plan(&manager, DAY).await;
        // Between the morning's play and the afternoon's both crews are there.
        let both_there = |order: &Value| {
            let start = instant(&order["planned_start"]);
            order["kind"] != "care" && (local(DAY, "11:30")..local(DAY, "13:00")).contains(&start)
        };
        let order = orders(&day).into_iter().find(|order| both_there(order)).unwrap().clone();
        let crews = day["rounds"].as_array().unwrap().iter().map(|round| &round["crew_id"]);
        let other = crews.clone().find(|crew| **crew != order["crew_id"]).unwrap_or(&order["crew_id"]);
        let changes = yard.path(&format!("/days/{DAY}/changes"));
        let mut pin = json!({ "visit_key": order["visit_key"], "kind": "pin", "crew_id": other, "only_try": true });

        let tried = manager.post(&changes, &pin).await.expect(200);
        assert_eq!(tried["taken"], false);
        assert!(tried["cost_before_cents"].as_i64() > Some(0) && tried["cost_cents"].as_i64() > Some(0), "{tried}");
        assert_eq!(yard.day(&manager, DAY).await, day, "a trial changes nothing");

        pin["only_try"] = json!(false);
        let taken = manager.post(&changes, &pin).await.expect(200);
        assert_eq!((&taken["taken"], &taken["cost_cents"]), (&json!(true), &tried["cost_cents"]));
        let after = yard.day(&manager, DAY).await;
        assert_ne!(after["plan"]["id"], day["plan"]["id"]);
        let dearer = |a: &Value, b: &Value| a.as_i64().unwrap() - b.as_i64().unwrap();
        assert_eq!(
            dearer(&after["plan"]["cost_cents"], &day["plan"]["cost_cents"]),
            dearer(&tried["cost_cents"], &tried["cost_before_cents"]),
            "the day gets dearer by what was told"
        );
        assert_eq!(&of_visit(&after, &order["visit_key"]).unwrap()["crew_id"], other);
        let again = yard.plan(&manager, DAY).await;
        assert_eq!(&of_visit(&again, &order["visit_key"]).unwrap()["crew_id"], other);
        let held = manager.get(&changes).await.items();
        assert_eq!((held.len(), &held[0]["kind"]), (1, &json!("pin")));
    }

    async fn a_dropped_visit_stays_out_with_its_reason_until_it_is_freed(house) {
        let yard = Yard::db_lay(house);
        let manager = house.manager().await;
        let day = yard.plan(&manager, DAY).await;
        let key = orders(&day)[0]["visit_key"].clone();
        let changes = yard.path(&format!("/days/{DAY}/changes"));
        let told = manager.post(&changes, &json!({ "visit_key": key, "kind": "drop" })).await.expect(200);
        let moved = told["moves"].as_array().unwrap();
        assert!(moved.iter().any(|one| one["visit_key"] == key && one["became"] == "left_out" && one["reason"] == "dropped_by_hand"), "{told}");
        for day in [yard.day(&manager, DAY).await, yard.plan(&manager, DAY).await] {
            assert!(of_visit(&day, &key).is_none());
            let unfitted = day["unfitted"].as_array().unwrap();
            assert!(unfitted.iter().any(|one| one["reason"] == "dropped_by_hand"), "{unfitted:?}");
        }
        manager.post(&changes, &json!({ "visit_key": key, "kind": "free" })).await.expect(200);
        assert!(of_visit(&yard.day(&manager, DAY).await, &key).is_some());
        assert!(manager.get(&changes).await.expect(200)["items"].as_array().unwrap().is_empty());
    }

    async fn a_change_that_cannot_be_is_refused_with_its_field(house) {
        let yard = Yard::db_lay(house);
        let manager = house.manager().await;
        let day = yard.plan(&manager, DAY).await;
        let order = orders(&day)[0].clone();
        let key = &order["visit_key"];
        let changes = yard.path(&format!("/days/{DAY}/changes"));
        for (wrong, field) in [
            (json!({ "visit_key": "court:0", "kind": "drop" }), "/changes/0/visit_key"),
            (json!({ "kind": "drop" }), "/changes/0/visit_key"),
            (json!({ "visit_key": key, "kind": "pin" }), "/changes/0/crew_id"),
            (json!({ "visit_key": key, "kind": "pin", "crew_id": 9_999_999 }), "/changes/0/crew_id"),
            (json!({ "visit_key": key, "kind": "drop", "crew_id": order["crew_id"] }), "/changes/0/crew_id"),
            (json!({ "visit_key": key, "kind": "pin", "crew_id": order["crew_id"],
                "start_at": "2031-01-01T00:00:00Z" }), "/changes/0/start_at"),
            (json!({ "visit_key": key, "kind": "pin", "crew_id": order["crew_id"],
                "start_at": local(DAY, "23:30") }), "/changes/0/start_at"),
            (json!({ "kind": "add", "court_id": 9_999_999, "care_task_id": 1 }), "/changes/0/court_id"),
            (json!({ "kind": "add", "court_id": yard.courts[0], "care_task_id": 9_999_999 }), "/changes/0/care_task_id"),
        ] {
            let refused = manager.post(&changes, &wrong).await;
            assert_eq!(refused.fault(), field, "{wrong}: {}", refused.text);
            refused.expect(422);
        }
        let drop = json!({ "visit_key": key, "kind": "drop" });
        house.as_role(Role::CrewLead).await.post(&changes, &drop).await.expect(403);
        assert_eq!(yard.day(&manager, DAY).await, day);

    }

    async fn an_issued_day_is_changed_by_hand_too_and_work_is_added(house) {
        let yard = Yard::db_lay(house);
        let manager = house.manager().await;
        let day = yard.plan(&manager, DAY).await;
        manager.post(&yard.path(&format!("/days/{DAY}/issue")), &json!({})).await.expect(200);
        let changes = yard.path(&format!("/days/{DAY}/changes"));
        let first = orders(&day)[0].clone();
        manager.post(&changes, &json!({ "visit_key": first["visit_key"], "kind": "drop" })).await.expect(200);
        let after = yard.day(&manager, DAY).await;
        assert!(of_visit(&after, &first["visit_key"]).is_none());
        assert!(orders(&after).iter().all(|order| order["state"] == "issued"));

        let tasks = manager.get(&yard.path("/care-tasks")).await.items();
        let planned = |task: &Value, court: i64| {
            let key = json!(format!("care:{}:court:{court}", task["id"]));
            of_visit(&day, &key).is_some()
        };
        let (task, court) = tasks.iter().filter(|task| task["done_at"] == "court")
            .flat_map(|task| yard.courts.map(|court| (task, court)))
            .find(|(task, court)| !planned(task, *court)).unwrap();
        let add = json!({ "kind": "add", "court_id": court, "care_task_id": task["id"] });
        let told = manager.post(&changes, &add).await.expect(200);
        let key = json!(format!("care:{}:court:{court}", task["id"]));
        let moves = told["moves"].as_array().unwrap();
        assert!(moves.iter().any(|one| one["visit_key"] == key && one["became"] == "brought_in"), "{told}");
        let after = yard.day(&manager, DAY).await;
        assert_eq!(of_visit(&after, &key).unwrap()["state"], "issued");

        let pin = json!({ "kind": "pin", "visit_key": key, "crew_id": yard.crews[0], "start_at": local(DAY, "07:00") });
        manager.post(&changes, &pin).await.expect(200);
        let after = yard.day(&manager, DAY).await;
        let order = of_visit(&after, &key).unwrap();
        assert_eq!(instant(&order["planned_start"]), local(DAY, "07:00"));
        assert_eq!(order["crew_id"], yard.crews[0]);

        manager.post(&yard.path(&format!("/orders/{}/start", order["id"])), &json!({})).await.expect(200);
        let refused = manager.post(&changes, &json!({ "kind": "drop", "visit_key": key })).await;
        assert_eq!(refused.fault(), "/changes/0/visit_key");
        refused.expect(422);
    }
}
