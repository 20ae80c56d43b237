//! An order's life beside its being worked on: handed over, looked over, noted on; and what it leaves.

use roundhand::store::Role;
use serde_json::{Value, json};

use crate::pages::visitor::Visitor;
use crate::support::{Client, Ground, House, Place, TODAY, on_both_engines};

async fn order(house: &House, client: &Client, id: &Value) -> Value {
    client
        .get(&house.path(&format!("/orders/{id}")))
        .await
        .expect(200)
}

/// The orders that follow another.
async fn following(house: &House, client: &Client, id: i64) -> Vec<Value> {
    let all = client
        .get(&house.path(&format!("/orders?date={TODAY}&limit=200")))
        .await
        .items();
    all.into_iter().filter(|o| o["follows_id"] == id).collect()
}

/// A crew of the site that is on shift today and is not the ground's.
async fn another_crew(house: &House, client: &Client, ground: &Ground) -> i64 {
    let shifts = client
        .get(&house.path(&format!("/shifts?date={TODAY}")))
        .await
        .items();
    let crews = shifts
        .iter()
        .map(|shift| shift["crew_id"].as_i64().unwrap());
    crews
        .into_iter()
        .find(|crew| *crew != ground.crew)
        .expect("another crew works today")
}

fn finish(person: i64, steps: &[i64]) -> Value {
    json!({ "fit": { "is": "yes" }, "steps_done": steps, "people": [{ "person_id": person, "minutes": 5 }] })
}

on_both_engines! {
    async fn an_open_order_is_handed_over_to_a_crew_that_is_on_shift(house) {
        let ground = Ground::db_lay(house);
        let lead = house.as_role(Role::CrewLead).await;
        let id = ground.db_issue_plain(house);
        let path = house.path(&format!("/orders/{id}/hand-over"));
        for (crew, code) in [(999_999, "crew_unknown"), (ground.crew, "crew_has_it")] {
            let refused = lead.post(&path, &json!({ "crew_id": crew })).await.expect(422);
            let fault = &refused["faults"][0];
            assert_eq!((&fault["field"], &fault["code"]), (&json!("/crew_id"), &json!(code)));
        }
        let other = another_crew(house, &lead, &ground).await;
        let over = lead.post(&path, &json!({ "crew_id": other })).await.expect(200);
        assert_eq!((&over["crew_id"], &over["state"]), (&json!(other), &json!("issued")));
        let day = lead.get(&house.path(&format!("/days/{TODAY}"))).await.expect(200);
        let rounds = day["rounds"].as_array().unwrap();
        let round = rounds.iter().find(|round| round["crew_id"] == other).expect("a round is made");
        assert_eq!(round["orders"][0]["id"], id);
        assert_eq!(round["kit"], json!(["test_drag"]), "its tools come along");

        lead.post(&house.path(&format!("/orders/{id}/finish")), &finish(ground.dear, &[1, 2])).await.expect(200);
        let closed = lead.post(&path, &json!({ "crew_id": ground.crew })).await.expect(409);
        assert_eq!(closed["code"], "order_state");
    }

    async fn the_steps_that_are_missing_become_an_order_that_names_the_first(house) {
        let ground = Ground::db_lay(house);
        let crew = house.as_role(Role::CrewMember).await;
        let manager = house.manager().await;
        let id = ground.db_issue(house, Place::Court(ground.courts[0]), TODAY, 1_920_000);
        crew.post(&house.path(&format!("/orders/{id}/finish")), &finish(ground.dear, &[1])).await.expect(200);
        let [rest] = &following(house, &crew, id).await[..] else { panic!("one order for the rest") };
        assert_eq!((&rest["state"], &rest["visit_key"]), (&json!("issued"), &json!(format!("rest:{id}"))));
        let first = order(house, &crew, &json!(id)).await;
        for field in ["court_id", "crew_id", "round_id", "kind", "due_at", "work_date"] {
            assert_eq!(rest[field], first[field], "{field}");
        }
        let steps = rest["steps"].as_array().unwrap();
        assert_eq!((steps.len(), &steps[0]["code"]), (1, &json!("soak")));
        assert_eq!(rest["tools"][0]["number"], "T-901");

        // The soak that was left costs when it runs, with the order that starts it.
        let path = house.path(&format!("/orders/{}/finish", rest["id"]));
        crew.post(&path, &finish(ground.cheap, &[1])).await.expect(200);
        let water = format!("/cost-lines?from={TODAY}&to={TODAY}&kind=water&order_id={}", rest["id"]);
        let water = manager.get(&house.path(&water)).await.items();
        // 1.92 m³ at $1.30.
        assert_eq!((water.len(), &water[0]["cents"]), (1, &json!(250)));
        let rest_id = rest["id"].as_i64().unwrap();
        assert!(following(house, &crew, rest_id).await.is_empty(), "nothing is left of it");
    }

    async fn a_visit_that_play_or_weather_kept_from_beginning_stays_to_the_plan(house) {
        let ground = Ground::db_lay(house);
        let crew = house.as_role(Role::CrewMember).await;
        for (reason, steps, left) in [
            ("court_in_play", json!([]), 0),
            ("weather", json!([]), 0),
            ("weather", json!([1]), 1),
            ("no_time", json!([]), 2),
            ("no_time", json!([1, 2]), 0),
        ] {
            let id = ground.db_issue_plain(house);
            let told = json!({ "reason": reason, "steps_done": steps });
            crew.post(&house.path(&format!("/orders/{id}/leave-undone")), &told).await.expect(200);
            let next = following(house, &crew, id).await;
            let steps: usize = next.iter().map(|o| o["steps"].as_array().unwrap().len()).sum();
            assert_eq!(steps, left, "{told}");
        }
    }

    async fn finished_work_is_looked_over_and_the_newest_grade_holds(house) {
        let ground = Ground::db_lay(house);
        let manager = house.manager().await;
        let id = ground.db_issue_plain(house);
        let path = house.path(&format!("/orders/{id}/recheck"));
        let early = manager.post(&path, &json!({ "grade": "good" })).await.expect(409);
        assert_eq!(early["code"], "order_state");
        manager.post(&house.path(&format!("/orders/{id}/finish")), &finish(ground.dear, &[1, 2])).await.expect(200);
        manager.post(&path, &json!({ "grade": "superb" })).await.expect(400);
        manager.post(&path, &json!({ "grade": "poor", "note": "ridges at the north end" })).await.expect(200);
        let last = manager.post(&path, &json!({ "grade": "acceptable" })).await.expect(200);
        assert!(!last["by"].as_str().unwrap().is_empty());
        assert_eq!(order(house, &manager, &json!(id)).await["recheck"], last);
        house.as_role(Role::CrewLead).await.post(&path, &json!({ "grade": "good" })).await.expect(403);
    }

    async fn a_flagged_note_waits_on_the_managers_day_until_it_is_seen(house) {
        let ground = Ground::db_lay(house);
        let manager = house.manager().await;
        let crew = house.as_role(Role::CrewMember).await;
        let id = ground.db_issue_plain(house);
        let path = house.path(&format!("/orders/{id}/notes"));
        let empty = crew.post(&path, &json!({ "text": " " })).await.expect(422);
        assert_eq!(empty["faults"][0]["field"], "/text");
        let plain = crew.post(&path, &json!({ "text": "the gate sticks", "person_id": ground.dear })).await.expect(201);
        let told = json!({ "text": "", "kind": "refused", "data": { "minutes": 961 } });
        let flagged = crew.post(&path, &told).await.expect(201);
        assert_eq!(flagged["data"], json!({ "minutes": 961 }));

        let waiting = house.path("/order-notes?waiting=true");
        assert_eq!(manager.get(&waiting).await.items(), std::slice::from_ref(&flagged));
        assert_eq!(order(house, &crew, &json!(id)).await["notes"], json!([plain, flagged]));
        let day = format!("/sites/{}/days/{TODAY}", house.set_up.site_id);
        let visitor = Visitor::signed_in(house, Role::Manager).await;
        let html = visitor.get(&day).await.page(200).to_owned();
        assert!(html.contains("Notes to look at") && html.contains(&format!("/orders/{id}\"")), "{html}");

        let seen = house.path(&format!("/order-notes/{}/seen", flagged["id"]));
        crew.post(&seen, &json!({})).await.expect(403);
        manager.post(&seen, &json!({})).await.expect(200);
        assert!(manager.get(&waiting).await.items().is_empty());
        assert!(!visitor.get(&day).await.page(200).contains("Notes to look at"));
        assert_eq!(manager.post(&seen, &json!({})).await.expect(409)["code"], "note_seen");
    }
}
