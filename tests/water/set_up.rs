//! Setting water up: valves, rules, levels; what cannot be is refused by its field.

use reqwest::Method;
use serde_json::{Value, json};

use crate::days::yard::Yard;
use crate::support::on_both_engines;

on_both_engines! {
    async fn a_valve_is_set_up_changed_and_taken_out_of_use(house) {
        let yard = Yard::db_lay_empty(house);
        let manager = house.manager().await;
        let court = manager.get(&yard.path(&format!("/courts/{}", yard.courts[0]))).await.expect(200);
        let told = |flow: i64| json!({ "bank_id": court["bank_id"], "name": "N 1", "opened": "controller",
            "flow_mlps": flow, "court_ids": [yard.courts[0]] });
        let valve = manager.post(&yard.path("/valves"), &told(2_000)).await.expect(201);
        let path = yard.path(&format!("/valves/{}", valve["id"]));
        assert_eq!(manager.get(&path).await.expect(200), valve);
        let tag = [("if-match", "\"1\"")];
        let changed = manager.send(Method::PATCH, &path, &tag, Some(&told(2_500))).await.expect(200);
        assert_eq!((&changed["flow_mlps"], &changed["version"]), (&json!(2_500), &json!(2)));
        manager.send(Method::PATCH, &path, &tag, Some(&told(1))).await.expect_problem(412);
        manager.send(Method::DELETE, &path, &tag, None).await.expect_problem(412);
        manager.send(Method::DELETE, &path, &[("if-match", "\"2\"")], None).await.expect(204);
        manager.get(&path).await.expect_problem(404);
        // Its name is free again.
        manager.post(&yard.path("/valves"), &told(2_000)).await.expect(201);
    }

    async fn a_valve_that_cannot_be_is_refused_by_its_field(house) {
        let yard = Yard::db_lay_empty(house);
        let manager = house.manager().await;
        let court = manager.get(&yard.path(&format!("/courts/{}", yard.courts[0]))).await.expect(200);
        let good = json!({ "bank_id": court["bank_id"], "name": "N 1", "opened": "by_hand",
            "flow_mlps": 2_000, "court_ids": [yard.courts[0]] });
        manager.post(&yard.path("/valves"), &good).await.expect(201);
        let cases: [(&str, Value, &str); 7] = [
            ("name", json!("N 1"), "/name"),
            ("name", json!(" "), "/name"),
            ("flow_mlps", json!(0), "/flow_mlps"),
            ("flow_mlps", json!(4_001), "/flow_mlps"),
            ("court_ids", json!([]), "/court_ids"),
            ("court_ids", json!([yard.courts[0], yard.courts[0]]), "/court_ids/1"),
            ("bank_id", json!(1), "/bank_id"),
        ];
        for (field, value, fault) in cases {
            let mut told = good.clone();
            told["name"] = json!("N 2");
            told[field] = value;
            let refused = manager.post(&yard.path("/valves"), &told).await;
            refused.expect_problem(422);
            assert_eq!(refused.fault(), fault, "{told}");
        }
    }

    async fn a_rule_that_says_nothing_is_refused_by_its_field(house) {
        let yard = Yard::db_lay_empty(house);
        let manager = house.manager().await;
        let all = json!([1, 2, 3, 4, 5, 6, 7]);
        let cases = [
            (json!({ "name": "R", "kind": "local_hours", "weekdays": [8], "from_time": "20:00", "until_time": "06:00" }), "/weekdays/0"),
            (json!({ "name": "R", "kind": "local_hours", "weekdays": all, "until_time": "06:00" }), "/from_time"),
            (json!({ "name": "R", "kind": "local_hours", "weekdays": all, "from_time": "20:00", "until_time": "25:00" }), "/until_time"),
            (json!({ "name": "R", "kind": "line_free", "weekdays": all, "from_time": "20:00", "until_time": "06:00" }), "/bank_id"),
            (json!({ "name": "R", "kind": "allowance", "weekdays": all }), "/ml_a_day"),
            (json!({ "name": "R", "kind": "allowance", "weekdays": all, "ml_a_day": 1, "from_time": "20:00" }), "/from_time"),
        ];
        for (rule, fault) in cases {
            let refused = manager.post(&yard.path("/water-rules"), &rule).await;
            refused.expect_problem(422);
            assert_eq!(refused.fault(), fault, "{rule}");
        }
        assert_eq!(manager.get(&yard.path("/water-rules")).await.items(), [Value::Null; 0]);
    }

    // Common practice, no source: a small step, then a day's wait.
    async fn a_level_off_its_target_takes_a_small_step_and_then_a_days_wait(house) {
        let yard = Yard::db_lay_empty(house);
        let manager = house.manager().await;
        let court = yard.courts[2];
        let read = |level: i64, changed: i64| json!({ "court_id": court, "level_mm": level, "changed_mm": changed });
        let path = yard.path("/level-readings");
        assert_eq!(manager.post(&path, &read(120, 0)).await.expect(201)["step"]["step"], "no_target");
        let own = yard.path(&format!("/courts/{court}/water"));
        let target = json!({ "level_target_mm": 150 });
        manager.send(Method::PATCH, &own, &[("if-match", "\"0\"")], Some(&target)).await.expect(200);
        let first = manager.post(&path, &read(120, 0)).await.expect(201);
        assert_eq!(first["step"], json!({ "step": "raise", "by_mm": 10, "until": null }));
        let after = manager.post(&path, &read(120, 10)).await.expect(201);
        assert_eq!(after["step"], json!({ "step": "wait", "by_mm": null, "until": "2031-06-11" }));
        assert_eq!(manager.post(&path, &read(152, 0)).await.expect(201)["step"]["step"], "keep");
        let sprinkled = json!({ "court_id": yard.courts[0], "level_mm": 100 });
        let refused = manager.post(&path, &sprinkled).await;
        refused.expect_problem(422);
        assert_eq!(refused.fault(), "/court_id");
    }
}
