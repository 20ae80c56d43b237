//! Weather told and taken from a file, and how hot it is.

use chrono::TimeDelta;
use serde_json::json;

use crate::support::on_both_engines;

on_both_engines! {
    async fn each_impossible_reading_is_named_and_none_of_them_is_kept(house) {
        let manager = house.manager().await;
        let path = house.path("/weather");
        let told = json!({ "readings": [
            { "read_at": "2026-01-05T12:00:00Z", "kind": "observed", "temp_mc": 20_000 },
            { "read_at": "2026-01-05T13:00:00Z", "kind": "observed", "humidity_permille": 1_001 },
            { "read_at": "2999-01-05T13:00:00Z", "kind": "observed", "temp_mc": 20_000 },
        ] });
        let refused = manager.post(&path, &told).await;
        let fields: Vec<_> = refused.expect(422)["faults"]
            .as_array()
            .unwrap()
            .iter()
            .map(|fault| fault["field"].as_str().unwrap().to_owned())
            .collect();
        assert_eq!(fields, ["/readings/1/humidity_permille", "/readings/2/read_at"]);
        assert!(manager.get(&path).await.items().is_empty());
    }

    async fn a_file_is_taken_line_by_line_and_the_rest_is_told_with_its_mend(house) {
        let manager = house.manager().await;
        let csv = "at,temp_f,humidity_pct,rain_in,frost\r\n\
            2026-01-05T12:00:00Z,50,60,0.25,no\r\n\
            2026-01-05T13:00:00Z,warm,60,,\r\n\
            2026-01-05 14:00,50,60,,\r\n\
            2026-01-05T15:00:00Z,50,160,,\r\n\
            2026-01-05T16:00:00Z,50\r\n\
            2026-01-05T17:00:00-05:00,32,,,yes\r\n";
        let report = manager.post(&house.path("/weather-files"), &json!({ "csv": csv })).await.expect(200);
        assert_eq!(report["taken"], 2);
        let refused: Vec<_> = report["refused"]
            .as_array()
            .unwrap()
            .iter()
            .map(|line| (line["line"].as_i64().unwrap(), line["column"].as_str().unwrap()))
            .collect();
        assert_eq!(refused, [(3, "temp_f"), (4, "at"), (5, "humidity_permille"), (6, "")]);
        // 50 °F is 10 °C; 0.25 in is 6.35 mm (NIST SP 811, appendix B.8).
        let kept = manager.get(&house.path("/weather")).await.items();
        assert_eq!((&kept[0]["temp_mc"], &kept[0]["rain_um"]), (&json!(10_000), &json!(6_350)));
        assert_eq!((&kept[1]["temp_mc"], &kept[1]["frost"]), (&json!(0), &json!(true)));
        assert_eq!(kept[1]["read_at"], "2026-01-05T22:00:00Z");

        manager.post(&house.path("/weather-files"), &json!({ "csv": csv })).await.expect(200);
        assert_eq!(manager.get(&house.path("/weather")).await.items().len(), 2);
    }

    async fn a_file_without_times_or_with_an_unknown_column_is_refused_whole(house) {
        let manager = house.manager().await;
        for csv in ["", "temp_c\n20\n", "at,temp_k\n2026-01-05T12:00:00Z,293\n", "at,at\n"] {
            let refused = manager.post(&house.path("/weather-files"), &json!({ "csv": csv })).await;
            assert_eq!(refused.fault(), "/csv", "{csv}");
        }
    }

    // 90 °F and 60 % give 99.7 °F by the US National Weather Service's formula; heavy work from 90 °F on is not done
    // (89 FR 70698, a proposal).
    async fn the_heat_now_is_that_of_the_newest_reading(house) {
        let manager = house.manager().await;
        let heat = manager.get(&house.path("/heat")).await.expect(200);
        assert!(heat["index_mf"].is_null() && heat["heavy_work"].is_null());
        let at = (house.office.now().utc() - TimeDelta::minutes(20)).to_rfc3339();
        let told = json!({ "readings": [
            { "read_at": at, "kind": "observed", "temp_mc": 32_222, "humidity_permille": 600 },
        ] });
        manager.post(&house.path("/weather"), &told).await.expect(201);
        let heat = manager.get(&house.path("/heat")).await.expect(200);
        let index = heat["index_mf"].as_i64().unwrap();
        assert!((99_670..=99_690).contains(&index), "{index}");
        assert_eq!((&heat["band"], &heat["heavy_work"]), (&json!("extreme_caution"), &json!(false)));
    }
}
