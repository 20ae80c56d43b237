//! A court as somebody found it, and what the day makes of it.

use chrono::TimeDelta;
use serde_json::{Value, json};

use crate::support::on_both_engines;

fn of(view: &Value, court: i64) -> Value {
    let courts = view["courts"].as_array().expect("a list");
    let found = courts.iter().find(|one| one["court_id"] == court);
    found.expect("the court").clone()
}

on_both_engines! {
    // Common practice, no source: while water stands, nobody plays.
    async fn a_puddle_forbids_play_until_somebody_sees_it_gone(house) {
        let manager = house.manager().await;
        let path = house.path("/courts/1/inspections");
        let ago = |minutes| (house.office.now().utc() - TimeDelta::minutes(minutes)).to_rfc3339();
        let wet = json!({ "seen_at": ago(90), "standing_water": true, "low_spots": ["net", "baseline_north", "net"] });
        let told = manager.post(&path, &wet).await.expect(201);
        assert_eq!(told["low_spots"], json!(["baseline_north", "net"]));
        let now = of(&manager.get(&house.path("/conditions")).await.expect(200), 1);
        assert_eq!((&now["forbids_play"], &now["condition"]), (&json!("standing_water"), &json!("soaked")));

        let gone = json!({ "seen_at": ago(5), "standing_water": false });
        manager.post(&path, &gone).await.expect(201);
        let now = of(&manager.get(&house.path("/conditions")).await.expect(200), 1);
        assert!(now["forbids_play"].is_null());
        assert_eq!(now["condition"], "low_spots");
        assert_eq!(manager.get(&path).await.items().len(), 2);
    }

    async fn what_was_seen_of_water_half_a_day_ago_forbids_nothing(house) {
        let manager = house.manager().await;
        let at = (house.office.now().utc() - TimeDelta::hours(13)).to_rfc3339();
        let wet = json!({ "seen_at": at, "standing_water": true, "frozen": true, "firmness": "soft" });
        manager.post(&house.path("/courts/1/inspections"), &wet).await.expect(201);
        let now = of(&manager.get(&house.path("/conditions")).await.expect(200), 1);
        assert!(now["forbids_play"].is_null(), "{now}");
    }

    async fn a_look_that_tells_nothing_or_lies_ahead_is_refused(house) {
        let manager = house.manager().await;
        let path = house.path("/courts/1/inspections");
        manager.post(&path, &json!({})).await.expect(422);
        let ahead = (house.office.now().utc() + TimeDelta::hours(1)).to_rfc3339();
        let refused = manager.post(&path, &json!({ "seen_at": ahead, "moisture": "dry" })).await;
        assert_eq!(refused.fault(), "/seen_at");
        manager.post(&house.path("/courts/999999/inspections"), &json!({ "moisture": "dry" })).await.expect(404);
        assert!(manager.get(&path).await.items().is_empty());
    }

    async fn the_same_look_sent_twice_is_kept_once(house) {
        let manager = house.manager().await;
        let path = house.path("/courts/1/inspections");
        let key = uuid::Uuid::new_v4().to_string();
        let look = json!({ "moisture": "damp", "baselines_packed": true });
        let first = manager.post_with_key(&path, &look, &key).await.expect(201);
        assert_eq!(manager.post_with_key(&path, &look, &key).await.expect(201), first);
        assert_eq!(manager.get(&path).await.items().len(), 1);
    }
}
