//! What is seen on a court: told with its place, mended by an order of its own.

use roundhand::store::Role;
use serde_json::{Value, json};

use crate::pages::visitor::Visitor;
use crate::support::{Client, Ground, House, TODAY, on_both_engines};

async fn open(house: &House, client: &Client) -> Vec<Value> {
    client.get(&house.path("/defects?open=true")).await.items()
}

on_both_engines! {
    async fn a_defect_is_handed_to_a_crew_and_mended(house) {
        let ground = Ground::db_lay(house);
        let (manager, crew) = (house.manager().await, house.as_role(Role::CrewMember).await);
        let seen_in = ground.db_issue_plain(house);
        let told = json!({
            "kind": "torn_net", "x_mm": -4_115, "y_mm": 0, "order_id": seen_in, "person_id": ground.dear,
            "happened_at": "2031-06-10T08:55:00Z",
        });
        let path = house.path(&format!("/courts/{}/defects", ground.courts[0]));
        let key = "\"6f9619ff-8b86-4011-b42d-00c04fc964ff\"";
        let defect = crew.post_with_key(&path, &told, key).await.expect(201);
        assert_eq!(crew.post_with_key(&path, &told, key).await.expect(201), defect, "told twice, kept once");
        assert_eq!((&defect["court"], &defect["seen_at"]), (&json!("Test court 901"), &json!("2031-06-10T08:55:00Z")));
        assert_eq!((&defect["mend_state"], &defect["mended_at"]), (&json!("planned"), &Value::Null));
        assert_eq!(open(house, &crew).await, std::slice::from_ref(&defect));

        let mend = defect["mend_order_id"].as_i64().unwrap();
        let of = |rest: &str| house.path(&format!("/orders/{mend}{rest}"));
        let day = house.path(&format!("/days/{TODAY}"));
        let view = manager.get(&day).await.expect(200);
        let ids: Vec<&Value> = view["rounds"][0]["orders"].as_array().unwrap().iter().map(|o| &o["id"]).collect();
        assert_eq!(ids, [&json!(seen_in)], "no crew has it before it is handed out");
        assert_eq!(view["defects"], json!([defect]));

        crew.post(&of("/issue"), &json!({ "crew_id": ground.crew })).await.expect(403);
        let issued = manager.post(&of("/issue"), &json!({ "crew_id": ground.crew })).await.expect(200);
        assert_eq!((&issued["kind"], &issued["state"]), (&json!("mend"), &json!("issued")));
        assert_eq!(issued["visit_key"], format!("mend:{}", defect["id"]));
        assert_eq!(issued["defect"]["kind"], "torn_net");
        let steps = issued["steps"].as_array().unwrap();
        let done: Vec<&Value> = steps.iter().map(|step| &step["position"]).collect();
        let finish = json!({ "fit": { "is": "yes" }, "steps_done": done,
            "people": [{ "person_id": ground.dear, "minutes": 5 }] });
        crew.post(&of("/finish"), &finish).await.expect(200);
        assert!(open(house, &crew).await.is_empty());
        let path = house.path(&format!("/defects/{}", defect["id"]));
        assert_eq!(crew.get(&path).await.expect(200)["mended_at"], "2031-06-10T09:00:00Z");
        let mended = manager.post(&format!("{path}/mend"), &json!({})).await.expect(409);
        assert_eq!(mended["code"], "defect_mended");

        crew.post(&of("/take-back"), &json!({})).await.expect(200);
        assert_eq!(open(house, &crew).await.len(), 1, "taken back, it is open again");
    }

    async fn the_manager_leaves_a_defect_as_it_is_or_has_it_mended_after_all(house) {
        let ground = Ground::db_lay(house);
        let (manager, desk) = (house.manager().await, house.as_role(Role::FrontDesk).await);
        ground.db_issue_plain(house);
        let path = house.path(&format!("/courts/{}/defects", ground.courts[1]));
        let defect = desk.post(&path, &json!({ "kind": "fence_or_windscreen" })).await.expect(201);
        let path = house.path(&format!("/defects/{}/mend", defect["id"]));
        assert_eq!(manager.post(&path, &json!({})).await.expect(409)["code"], "defect_has_order");
        let withdraw = house.path(&format!("/orders/{}/withdraw", defect["mend_order_id"]));
        manager.post(&withdraw, &json!({})).await.expect(200);
        assert!(open(house, &manager).await.is_empty());
        assert_eq!(manager.get(&house.path("/defects?open=false")).await.items().len(), 1);
        let again = manager.post(&path, &json!({})).await.expect(200);
        assert_ne!(again["mend_order_id"], defect["mend_order_id"]);
        assert_eq!(open(house, &manager).await, [again]);
    }

    async fn an_order_of_the_plan_is_neither_handed_out_nor_withdrawn_by_itself(house) {
        let ground = Ground::db_lay(house);
        let manager = house.manager().await;
        let id = ground.db_issue_plain(house);
        for (rest, told) in [("issue", json!({ "crew_id": ground.crew })), ("withdraw", json!({}))] {
            let path = house.path(&format!("/orders/{id}/{rest}"));
            assert_eq!(manager.post(&path, &told).await.expect(409)["code"], "order_of_plan");
        }
    }

    async fn where_nothing_is_planned_a_defect_stands_without_an_order(house) {
        let manager = house.manager().await;
        let defect = manager.post(&house.path("/courts/1/defects"), &json!({ "kind": "hole" })).await.expect(201);
        assert_eq!(defect["mend_order_id"], Value::Null);
        let path = house.path(&format!("/defects/{}/mend", defect["id"]));
        assert_eq!(manager.post(&path, &json!({})).await.expect(409)["code"], "no_plan");
        assert_eq!(open(house, &manager).await, [defect]);
    }

    async fn every_fault_of_a_defect_is_named_at_once(house) {
        let ground = Ground::db_lay(house);
        let crew = house.as_role(Role::CrewMember).await;
        let path = house.path(&format!("/courts/{}/defects", ground.courts[0]));
        let told = json!({
            "kind": "hole", "x_mm": 9_145, "y_mm": 0, "order_id": 999_999, "person_id": 999_999,
            "happened_at": "2031-06-10T09:06:00Z", "note": "x".repeat(2_001),
        });
        let refused = crew.post(&path, &told).await.expect(422);
        let faults = refused["faults"].as_array().unwrap().iter();
        let codes: Vec<&str> = faults.map(|fault| fault["code"].as_str().unwrap()).collect();
        assert_eq!(codes, ["in_future", "off_the_court", "too_long", "order_unknown", "person_unknown"]);
        let half = crew.post(&path, &json!({ "kind": "hole", "x_mm": 0 })).await.expect(422);
        assert_eq!(half["faults"][0]["field"], "/y_mm");
        crew.post(&path, &json!({ "kind": "a hole" })).await.expect(400);
        assert!(open(house, &crew).await.is_empty());
    }

    async fn the_day_page_shows_what_was_seen_with_the_buttons_that_settle_it(house) {
        let ground = Ground::db_lay(house);
        ground.db_issue_plain(house);
        let crew = house.as_role(Role::CrewMember).await;
        let path = house.path(&format!("/courts/{}/defects", ground.courts[0]));
        let defect = crew.post(&path, &json!({ "kind": "glass_or_sharp" })).await.expect(201);
        let day = format!("/sites/{}/days/{TODAY}", house.set_up.site_id);
        let visitor = Visitor::signed_in(house, Role::Manager).await;
        let html = visitor.get(&day).await.page(200).to_owned();
        assert!(html.contains("Seen on court") && html.contains("glass or something sharp"), "{html}");
        assert!(html.contains("Hand out") && html.contains("Leave it as it is"));
        let member = Visitor::signed_in(house, Role::CrewMember).await;
        let html = member.get(&day).await.page(200).to_owned();
        assert!(html.contains("Seen on court") && !html.contains("Leave it as it is"));

        let issue = format!("/sites/{}/orders/{}/issue", house.set_up.site_id, defect["mend_order_id"]);
        let (key, crew_id) = (uuid::Uuid::new_v4().to_string(), ground.crew.to_string());
        let fields = [("client_key", key.as_str()), ("crew_id", &crew_id)];
        visitor.send(&issue, &fields).await.leads_to(&format!("/sites/{}/today", house.set_up.site_id));
        let html = visitor.get(&day).await.page(200).to_owned();
        assert!(html.contains("Mend: glass or something sharp") && !html.contains("Seen on court"), "{html}");
    }
}
