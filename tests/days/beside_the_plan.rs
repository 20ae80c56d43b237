//! What is made beside the plan survives a plan made anew; and what a crew did on an order that was withdrawn behind its back
//! stands.

use serde_json::{Value, json};

use super::yard::{DAY, Yard, local, orders};
use crate::support::{Client, on_both_engines};

async fn issue(yard: &Yard, manager: &Client) -> Value {
    let issue = yard.path(&format!("/days/{DAY}/issue"));
    manager.post(&issue, &json!({})).await.expect(200);
    yard.day(manager, DAY).await
}

async fn replan(yard: &Yard, manager: &Client, happened: Value) {
    let path = yard.path(&format!("/days/{DAY}/replan"));
    let ask = json!({ "happened": [happened], "take": true });
    manager.post(&path, &ask).await.expect(200);
}

fn order<'a>(day: &'a Value, id: &Value) -> Option<&'a Value> {
    orders(day).into_iter().find(|order| order["id"] == *id)
}

fn at(time: &str) -> Value {
    json!(local(DAY, time))
}

fn finish(person: &Value, order: &Value) -> Value {
    let steps = order["steps"].as_array().unwrap().iter();
    let steps: Vec<&Value> = steps.map(|step| &step["position"]).collect();
    json!({ "happened_at": at("04:55"), "fit": { "is": "yes" }, "steps_done": steps,
        "people": [{ "person_id": person, "minutes": 10 }] })
}

async fn defect(yard: &Yard, manager: &Client) -> Value {
    let path = yard.path(&format!("/courts/{}/defects", yard.courts[1]));
    manager
        .post(&path, &json!({ "kind": "lifted_tape" }))
        .await
        .expect(201)
}

async fn person(yard: &Yard, manager: &Client) -> Value {
    manager.get(&yard.path("/people")).await.items()[0]["id"].clone()
}

on_both_engines! {
    async fn what_mends_a_defect_is_not_handed_out_with_the_day_and_goes_over_to_the_next_plan(house) {
        let yard = Yard::db_lay(house);
        let manager = house.manager().await;
        let planned = yard.plan(&manager, DAY).await;
        let defect = defect(&yard, &manager).await;
        let mend = &defect["mend_order_id"];
        assert_eq!(defect["mend_state"], "planned");
        let again = yard.plan(&manager, DAY).await;
        assert_ne!(again["plan"]["id"], planned["plan"]["id"]);
        let path = yard.path(&format!("/orders/{mend}"));
        let kept = manager.get(&path).await.expect(200);
        assert_eq!((&kept["state"], &kept["day_plan_id"]), (&json!("planned"), &again["plan"]["id"]));

        let day = issue(&yard, &manager).await;
        assert!(order(&day, mend).is_none(), "the manager hands it out by itself");
        let told = json!({ "crew_id": yard.crews[1] });
        manager.post(&format!("{path}/issue"), &told).await.expect(200);
        replan(&yard, &manager, json!({ "kind": "crew_away", "crew_id": yard.crews[0] })).await;
        let day = yard.day(&manager, DAY).await;
        let carried = order(&day, mend).expect("it is carried over as it stands");
        assert_eq!((&carried["state"], &carried["crew_id"]), (&json!("issued"), &json!(yard.crews[1])));
    }

    async fn a_late_closing_takes_the_place_of_the_order_that_stood_in_its_stead(house) {
        let yard = Yard::db_lay(house);
        let manager = house.manager().await;
        yard.plan(&manager, DAY).await;
        let day = issue(&yard, &manager).await;
        let person = person(&yard, &manager).await;
        replan(&yard, &manager, json!({ "kind": "crew_away", "crew_id": yard.crews[0] })).await;
        let after = yard.day(&manager, DAY).await;
        let moved = orders(&day).into_iter().find_map(|was| {
            let is = orders(&after).into_iter().find(|is| is["visit_key"] == was["visit_key"])?;
            (is["id"] != was["id"]).then_some((was, is))
        });
        let (was, is) = moved.expect("another crew has a visit of the first");
        let path = yard.path(&format!("/orders/{}", was["id"]));
        let told = finish(&person, was);
        assert_eq!(manager.post(&format!("{path}/finish"), &told).await.expect(409)["code"], "order_state");
        let late = manager.post(&format!("{path}/finish-late"), &told).await.expect(200);
        assert_eq!((&late["booked"], &late["withdrawn_id"], &late["note_id"]), (&json!(true), &is["id"], &Value::Null));
        assert_eq!(late["order"]["state"], "finished");
        let other = manager.get(&yard.path(&format!("/orders/{}", is["id"]))).await.expect(200);
        assert_eq!(other["state"], "withdrawn");
        let again = manager.post(&format!("{path}/finish-late"), &told).await.expect(409);
        assert_eq!(again["code"], "order_state", "it is finished");
    }

    async fn a_late_closing_of_work_that_was_dropped_is_booked_and_the_manager_is_told(house) {
        let yard = Yard::db_lay(house);
        let manager = house.manager().await;
        yard.plan(&manager, DAY).await;
        let day = issue(&yard, &manager).await;
        let person = person(&yard, &manager).await;
        let shut = json!({ "kind": "court_shut", "court_id": yard.courts[0], "from": at("04:00"), "until": at("23:00"),
            "reason": "the fence is down" });
        replan(&yard, &manager, shut).await;
        let dropped = orders(&day).into_iter().find(|order| order["court_id"] == yard.courts[0]).unwrap();
        let path = yard.path(&format!("/orders/{}/finish-late", dropped["id"]));
        let late = manager.post(&path, &finish(&person, dropped)).await.expect(200);
        assert_eq!((&late["booked"], &late["withdrawn_id"]), (&json!(true), &Value::Null));
        let waiting = manager.get(&yard.path("/order-notes?waiting=true")).await.items();
        assert_eq!((waiting.len(), &waiting[0]["kind"]), (1, &json!("late_closing")));
        assert_eq!(waiting[0]["id"], late["note_id"]);
        let cost = format!("/cost-lines?from={DAY}&to={DAY}&order_id={}", dropped["id"]);
        assert!(!manager.get(&yard.path(&cost)).await.items().is_empty(), "work that was done costs");
    }

    async fn where_the_other_order_is_begun_a_late_closing_is_only_noted(house) {
        let yard = Yard::db_lay(house);
        let manager = house.manager().await;
        yard.plan(&manager, DAY).await;
        let day = issue(&yard, &manager).await;
        let person = person(&yard, &manager).await;
        replan(&yard, &manager, json!({ "kind": "crew_away", "crew_id": yard.crews[0] })).await;
        let after = yard.day(&manager, DAY).await;
        let moved = orders(&day).into_iter().find_map(|was| {
            let is = orders(&after).into_iter().find(|is| is["visit_key"] == was["visit_key"])?;
            (is["id"] != was["id"]).then_some((was, is))
        });
        let (was, is) = moved.expect("another crew has a visit of the first");
        manager.post(&yard.path(&format!("/orders/{}/start", is["id"])), &json!({})).await.expect(200);
        let told = finish(&person, was);
        let path = yard.path(&format!("/orders/{}/finish-late", was["id"]));
        let late = manager.post(&path, &told).await.expect(200);
        assert_eq!((&late["booked"], &late["order"]["state"]), (&json!(false), &json!("withdrawn")));
        let waiting = manager.get(&yard.path("/order-notes?waiting=true")).await.items();
        assert_eq!(waiting[0]["data"]["people"], json!([{ "person_id": person, "minutes": 10, "started_at": null, "ended_at": null }]));
    }
}
