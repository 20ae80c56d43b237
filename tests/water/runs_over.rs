//! A soak follows the work before it, also where that runs over.

use chrono::TimeDelta;
use roundhand::store::Instant;
use serde_json::{Value, json};

use crate::days::yard::{DAY, Yard, instant, local, orders};
use crate::support::on_both_engines;

/// The soaks of a court that are to come.
fn soaks(day: &Value, court: i64) -> Vec<(Instant, Instant)> {
    let all = day["waterings"].as_array().unwrap().iter();
    let of_court = all.filter(|run| run["court_id"] == court && run["kind"] == "soak");
    of_court
        .map(|run| (instant(&run["starts_at"]), instant(&run["ends_at"])))
        .collect()
}

on_both_engines! {
    async fn the_soak_of_an_order_that_runs_over_waits_for_its_end_or_is_told_not_to_fit(house) {
        let yard = Yard::db_lay(house);
        let manager = house.manager().await;
        let day = yard.plan(&manager, DAY).await;
        manager.post(&yard.path(&format!("/days/{DAY}/issue")), &json!({})).await.expect(200);
        let court = yard.courts[0];
        let order = orders(&day).into_iter()
            .find(|o| o["court_id"] == court && o["kind"] != "care" && instant(&o["planned_start"]) >= local(DAY, "11:30"))
            .unwrap().clone();
        let planned = soaks(&day, court)[0];
        assert!(planned.0 >= instant(&order["planned_end"]), "{day}");

        // Five minutes after its start the crew says that it takes until noon and a bit.
        let start = instant(&order["planned_start"]);
        let open = house.on_day(start.utc() + TimeDelta::minutes(5));
        let later = house.manager_at(&open.base).await;
        let path = yard.path(&format!("/orders/{}/start", order["id"]));
        later.post(&path, &json!({ "happened_at": start })).await.expect(200);
        let over = |until: Instant| json!({ "take": true, "happened": [
            { "kind": "work_runs_over", "order_id": order["id"], "until": until }] });
        let path = yard.path(&format!("/days/{DAY}/replan"));
        let ends: Instant = (planned.0.utc() + TimeDelta::minutes(5)).into();
        later.post(&path, &over(ends)).await.expect(200);
        let after = yard.day(&later, DAY).await;
        let [moved] = soaks(&after, court)[..] else { panic!("it stands once: {after}") };
        assert!(moved.0 >= ends && moved.1 <= local(DAY, "12:50"), "{after}");
        assert_eq!(moved.1.utc() - moved.0.utc(), planned.1.utc() - planned.0.utc());
        // The line carries one soak at a time.
        for (from, to) in soaks(&after, yard.courts[1]) {
            assert!(to <= moved.0 || from >= moved.1, "{after}");
        }

        // It drains for ten minutes before one o'clock, and eight minutes of water do not fit any more.
        let told = later.post(&path, &over(local(DAY, "12:44"))).await.expect(200);
        let notes = told["notes"].as_array().unwrap();
        assert!(notes.iter().any(|note| note["kind"] == "watering_late"), "{told}");
        let after = yard.day(&later, DAY).await;
        assert!(soaks(&after, court).is_empty(), "{after}");
        let left = after["unfitted"].as_array().unwrap().iter();
        let named = left.filter(|one| one["place"] == "Court 1" && one["reason"] == "water_cannot_finish");
        assert!(named.count() >= 1, "{}", after["unfitted"]);
    }
}
