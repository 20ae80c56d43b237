//! What parts are used: by the orders that took their tool, and by hand.

use roundhand::store::Role;
use serde_json::{Value, json};

use crate::support::{Client, Ground, House, TODAY, on_both_engines};

/// How worn the ground's brush is.
async fn brush(house: &House, client: &Client, ground: &Ground) -> Value {
    let path = house.path(&format!("/wear-parts/{}/wear", ground.brush));
    client.get(&path).await.expect(200)
}

async fn uses(house: &House, client: &Client, ground: &Ground) -> Vec<Value> {
    let path = house.path(&format!("/wear-parts/{}/uses", ground.brush));
    client.get(&path).await.items()
}

async fn finish(house: &House, client: &Client, order: i64, person: i64) {
    let told = json!({
        "fit": { "is": "yes" }, "steps_done": [1, 2], "people": [{ "person_id": person, "minutes": 5 }],
        "happened_at": "2031-06-10T08:30:00Z",
    });
    let path = house.path(&format!("/orders/{order}/finish"));
    client.post(&path, &told).await.expect(200);
}

on_both_engines! {
    async fn an_order_that_took_a_drag_adds_how_far_it_was_pulled_over_its_court(house) {
        let ground = Ground::db_lay(house);
        let lead = house.as_role(Role::CrewLead).await;
        let id = ground.db_issue_plain(house);
        finish(house, &lead, id, ground.dear).await;
        let [used] = &uses(house, &lead, &ground).await[..] else { panic!("one use") };
        assert_eq!((&used["order_id"], &used["court_id"], &used["work_date"]),
            (&json!(id), &json!(ground.courts[0]), &json!(TODAY)));
        // 120 ft by 60 ft gone over both halves in strips: 400 to 500 m, as `trade::court::passes` has it.
        let far = used["use_mm"].as_i64().unwrap();
        assert!((350_000..550_000).contains(&far), "{used}");
        assert_eq!(used["use_mm"], used["weighed_mm"], "the court was sound");
        assert_eq!(brush(house, &lead, &ground).await["used_m"], far / 1_000);
    }

    async fn what_is_taken_back_was_not_used(house) {
        let ground = Ground::db_lay(house);
        let lead = house.as_role(Role::CrewLead).await;
        let id = ground.db_issue_plain(house);
        finish(house, &lead, id, ground.dear).await;
        lead.post(&house.path(&format!("/orders/{id}/take-back")), &json!({})).await.expect(200);
        assert_eq!(brush(house, &lead, &ground).await["used_m"], 0);
        let both = uses(house, &lead, &ground).await;
        assert_eq!((both.len(), &both[1]["reverses_id"]), (2, &both[0]["id"]));
        finish(house, &lead, id, ground.dear).await;
        assert_eq!(uses(house, &lead, &ground).await.len(), 3, "done again, used again");
    }

    async fn use_that_no_order_knows_of_is_told_by_hand_and_once(house) {
        let ground = Ground::db_lay(house);
        let manager = house.manager().await;
        let path = house.path(&format!("/wear-parts/{}/uses", ground.brush));
        let key = uuid::Uuid::new_v4().to_string();
        let told = json!({ "metres": 12_000, "on": TODAY, "note": "the lawn by the gate" });
        for _ in 0..2 {
            let used = manager.post_with_key(&path, &told, &key).await.expect(201);
            assert_eq!((&used["use_mm"], &used["order_id"]), (&json!(12_000_000), &Value::Null));
        }
        assert_eq!(brush(house, &manager, &ground).await["used_m"], 12_000);
        for (bad, field) in [
            (json!({ "metres": 0 }), "/metres"),
            (json!({ "metres": 5_000_001 }), "/metres"),
            (json!({ "metres": i64::MIN }), "/metres"),
            (json!({ "metres": -12_001, "on": TODAY }), "/metres"),
            (json!({ "metres": 10, "on": "2031-06-11" }), "/on"),
            (json!({ "metres": 10, "court_id": 999_999 }), "/court_id"),
        ] {
            let refused = manager.post(&path, &bad).await;
            refused.expect_problem(422);
            assert_eq!(refused.fault(), field, "{bad}");
        }
        manager.post(&house.path("/wear-parts/999999/uses"), &told).await.expect_problem(404);
    }

    async fn use_that_comes_late_moves_what_the_part_had_been_used_when_it_was_measured(house) {
        let ground = Ground::db_lay(house);
        let manager = house.manager().await;
        let check = json!({ "tool_id": ground.drag, "readings": [
            { "wear_part_id": ground.brush, "points_um": [96_000], "read_in": "mm" }] });
        manager.post(&house.path("/tool-checks"), &check).await.expect(201);
        let uses = house.path(&format!("/wear-parts/{}/uses", ground.brush));
        manager.post(&uses, &json!({ "metres": 500, "on": TODAY })).await.expect(201);
        let path = house.path(&format!("/wear-parts/{}/readings", ground.brush));
        let readings = manager.get(&path).await.items();
        assert_eq!(readings[0]["used_mm"], 500_000);
    }
}
