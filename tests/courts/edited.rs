//! A court's own measures and water, as the manager sets them.

use reqwest::Method;
use serde_json::{Value, json};

use crate::support::{Answer, Client, House, on_both_engines};

async fn edit(house: &House, client: &Client, tag: &str, body: &Value) -> Answer {
    let path = house.path("/courts/1");
    client
        .send(Method::PATCH, &path, &[("if-match", tag)], Some(body))
        .await
}

on_both_engines! {
    async fn a_court_is_changed_by_who_saw_it_last_and_what_is_left_out_stays(house) {
        let manager = house.manager().await;
        let read = manager.get(&house.path("/courts/1")).await;
        let tag = read.header("etag").unwrap().to_owned();
        let before = read.expect(200);
        let change = json!({ "length_mm": 36_000, "lines": "painted", "resurfaced_on": "2031-04-02" });
        let after = edit(house, &manager, &tag, &change).await.expect(200);
        assert_eq!((&after["length_mm"], &after["lines"], &after["resurfaced_on"]), (&json!(36_000), &json!("painted"), &json!("2031-04-02")));
        for same in ["name", "width_mm", "watering", "soak_s", "night_cycles", "bank_id"] {
            assert_eq!(after[same], before[same], "{same}");
        }
        edit(house, &manager, &tag, &change).await.expect(412);
    }

    // ITF Rules of Tennis, rule 1: 78 ft long and, for doubles, 36 ft wide: 23,774.4 by 10,972.8 mm.
    async fn what_holds_no_court_is_refused_by_its_field_and_nothing_changes(house) {
        let manager = house.manager().await;
        let read = manager.get(&house.path("/courts/1")).await;
        let tag = read.header("etag").unwrap().to_owned();
        let before = read.expect(200);
        let other = manager.get(&house.path("/courts/2")).await.expect(200)["name"].clone();
        for (bad, field) in [
            (json!({ "length_mm": 23_000 }), "/length_mm"),
            (json!({ "width_mm": 10_000 }), "/width_mm"),
            (json!({ "width_mm": 9_223_372_036_854_775_807_i64 }), "/width_mm"),
            (json!({ "night_cycles": 7 }), "/night_cycles"),
            (json!({ "soak_s": -1 }), "/soak_s"),
            (json!({ "name": " " }), "/name"),
            (json!({ "name": other }), "/name"),
            (json!({ "resurfaced_on": "2032-01-01" }), "/resurfaced_on"),
        ] {
            let refused = edit(house, &manager, &tag, &bad).await;
            refused.expect_problem(422);
            assert_eq!(refused.fault(), field, "{bad}");
        }
        assert_eq!(manager.get(&house.path("/courts/1")).await.expect(200), before);
    }
}
