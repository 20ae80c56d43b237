//! A planned day changed by hand: tried, its cost told, taken, and kept to afterwards.

use roundhand::store::Role;
use serde_json::{Value, json};

use super::yard::{DAY, Yard, orders};
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
        let order = orders(&day)[0].clone();
        let crews = day["rounds"].as_array().unwrap().iter().map(|round| &round["crew_id"]);
        let other = crews.clone().find(|crew| **crew != order["crew_id"]).unwrap_or(&order["crew_id"]);
        let changes = yard.path(&format!("/days/{DAY}/changes"));
        let mut pin = json!({ "visit_key": order["visit_key"], "kind": "pin", "crew_id": other, "only_try": true });

        let tried = manager.post(&changes, &pin).await.expect(200);
        assert_eq!((&tried["taken"], &tried["cost_before_cents"]), (&json!(false), &day["plan"]["cost_cents"]));
        assert_eq!(yard.day(&manager, DAY).await, day, "a trial changes nothing");

        pin["only_try"] = json!(false);
        let taken = manager.post(&changes, &pin).await.expect(200);
        assert_eq!((&taken["taken"], &taken["cost_cents"]), (&json!(true), &tried["cost_cents"]));
        let after = yard.day(&manager, DAY).await;
        assert_ne!(after["plan"]["id"], day["plan"]["id"]);
        assert_eq!(after["plan"]["cost_cents"], tried["cost_cents"]);
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
        assert!(moved.iter().any(|one| one["visit_key"] == key && one["to_crew_id"].is_null()), "{told}");
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
            (json!({ "visit_key": "court:0", "kind": "drop" }), "/visit_key"),
            (json!({ "visit_key": key, "kind": "pin" }), "/crew_id"),
            (json!({ "visit_key": key, "kind": "pin", "crew_id": 9_999_999 }), "/crew_id"),
            (json!({ "visit_key": key, "kind": "drop", "crew_id": order["crew_id"] }), "/crew_id"),
            (json!({ "visit_key": key, "kind": "pin", "crew_id": order["crew_id"],
                "start_at": "2031-01-01T00:00:00Z" }), "/start_at"),
        ] {
            let refused = manager.post(&changes, &wrong).await;
            assert_eq!(refused.fault(), field, "{wrong}: {}", refused.text);
            refused.expect(422);
        }
        let drop = json!({ "visit_key": key, "kind": "drop" });
        house.as_role(Role::CrewLead).await.post(&changes, &drop).await.expect(403);
        assert_eq!(yard.day(&manager, DAY).await, day);

        manager.post(&yard.path(&format!("/days/{DAY}/issue")), &json!({})).await.expect(200);
        let issued = yard.day(&manager, DAY).await;
        manager.post(&changes, &drop).await.expect(409);
        assert_eq!(yard.day(&manager, DAY).await, issued, "what is issued stays as it is");
    }
}
