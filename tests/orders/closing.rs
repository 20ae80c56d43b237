//! What the closing of an order changes.

use roundhand::store::Role;
use serde_json::{Value, json};

use crate::support::{Ground, Place, TODAY, on_both_engines};

on_both_engines! {
    async fn an_order_is_started_then_finished_and_says_what_was_done(house) {
        let ground = Ground::db_lay(house);
        let id = ground.db_issue_plain(house);
        let crew = house.as_role(Role::CrewMember).await;
        let of = |rest: &str| house.path(&format!("/orders/{id}{rest}"));

        let told = json!({ "happened_at": "2031-06-10T08:20:00Z" });
        let started = crew.post(&of("/start"), &told).await;
        assert_eq!(started.header("etag"), Some("\"2\""));
        let started = started.expect(200);
        assert_eq!(started["state"], "under_way");
        assert_eq!(started["started_at"], "2031-06-10T08:20:00Z");
        assert_eq!(started["steps"][0]["done"], Value::Null);

        let told = json!({
            "fit": { "is": "not_yet", "until": "2031-06-10T09:40:00Z" },
            "steps_done": [1],
            "people": [{ "person_id": ground.dear, "minutes": 25 }],
        });
        let finished = crew.post(&of("/finish"), &told).await.expect(200);
        assert_eq!(finished["state"], "finished");
        assert_eq!(finished["ended_at"], "2031-06-10T09:00:00Z");
        assert_eq!(finished["fit"], "not_yet");
        assert_eq!(finished["fit_until"], "2031-06-10T09:40:00Z");
        assert_eq!(finished["steps"][0]["done"], true);
        assert_eq!(finished["steps"][1]["done"], false);
        assert_eq!(crew.get(&of("")).await.expect(200), finished);
    }

    async fn minutes_told_alone_end_at_the_finish(house) {
        let ground = Ground::db_lay(house);
        let id = ground.db_issue_plain(house);
        let lead = house.as_role(Role::CrewLead).await;
        let told = json!({
            "happened_at": "2031-06-10T08:30:00Z",
            "fit": { "is": "yes" },
            "steps_done": [1, 2],
            "people": [{ "person_id": ground.dear, "minutes": 25 }],
        });
        lead.post(&house.path(&format!("/orders/{id}/finish")), &told).await.expect(200);

        let of = format!("/hours?from={TODAY}&to={TODAY}&person_id={}", ground.dear);
        let hours = lead.get(&house.path(&of)).await.items();
        let [entry] = &hours[..] else {
            panic!("one entry: {hours:?}");
        };
        assert_eq!(entry["starts_at"], "2031-06-10T08:05:00Z");
        assert_eq!(entry["ends_at"], "2031-06-10T08:30:00Z");
        assert_eq!(entry["work_date"], TODAY);
        assert_eq!((&entry["kind"], &entry["order_id"]), (&json!("order"), &json!(id)));
    }

    async fn work_left_undone_still_costs_and_its_water_does_not_run(house) {
        let ground = Ground::db_lay(house);
        let id = ground.db_issue(house, Place::Court(ground.courts[0]), TODAY, 1_920_000);
        let manager = house.manager().await;
        let told = json!({
            "reason": "other",
            "note": "the gate was locked",
            "people": [{ "person_id": ground.dear, "minutes": 12 }],
        });
        let path = house.path(&format!("/orders/{id}/leave-undone"));
        let left = manager.post(&path, &told).await.expect(200);
        assert_eq!(left["state"], "left_undone");
        assert_eq!(left["undone_reason"], "other");
        assert_eq!(left["undone_note"], "the gate was locked");

        let lines = format!("/cost-lines?from={TODAY}&to={TODAY}&order_id={id}");
        let lines = manager.get(&house.path(&lines)).await.items();
        assert_eq!(lines.len(), 1);
        // 12 minutes at $18.50 an hour.
        assert_eq!((&lines[0]["kind"], &lines[0]["cents"]), (&json!("labour"), &json!(370)));
    }

    async fn a_reading_is_kept_with_the_day_of_the_order(house) {
        let ground = Ground::db_lay(house);
        let id = ground.db_issue_plain(house);
        let manager = house.manager().await;
        let told = json!({
            "fit": { "is": "yes" },
            "steps_done": [1, 2],
            "people": [{ "person_id": ground.dear, "minutes": 5 }],
            "readings": [{ "wear_part_id": ground.brush, "length_um": 81_250 }],
        });
        manager.post(&house.path(&format!("/orders/{id}/finish")), &told).await.expect(200);
        let readings = house.path(&format!("/wear-parts/{}/readings", ground.brush));
        let readings = manager.get(&readings).await.expect(200);
        assert_eq!(readings["items"][0]["length_um"], 81_250);
        assert_eq!(readings["items"][0]["measured_on"], TODAY);
        assert_eq!(readings["items"][0]["order_id"], id);
    }
}
