//! The weekly check in the shed.

use roundhand::store::Role;
use serde_json::{Value, json};

use crate::pages::visitor::Visitor;
use crate::support::{Ground, House, TODAY, on_both_engines, tablet_of};

/// A part of a court that is judged by eye, laid straight into the table.
fn db_strap(house: &House, court: i64) -> i64 {
    let sql = format!(
        "INSERT INTO wear_parts (site_id, court_id, kind, fitted_on) VALUES ({}, {court}, 'centre_strap', '2031-01-02')",
        house.set_up.site_id
    );
    crate::support::db_run(house, &sql).expect("a part");
    crate::accounts::db_count(house, "SELECT MAX(id) AS rows FROM wear_parts")
}

/// What the list says of a part.
async fn part(house: &House, id: i64) -> Value {
    let member = house.as_role(Role::CrewMember).await;
    let mut path = house.path("/wear-parts?limit=200");
    loop {
        let page = member.get(&path).await.expect(200);
        let items = page["items"].as_array().unwrap();
        if let Some(found) = items.iter().find(|part| part["id"] == id) {
            return found.clone();
        }
        let cursor = page["next_cursor"]
            .as_str()
            .expect("the part is listed")
            .to_owned();
        path = house.path(&format!("/wear-parts?limit=200&cursor={cursor}"));
    }
}

on_both_engines! {
    async fn the_mean_of_the_points_is_the_reading_and_the_points_are_kept(house) {
        let ground = Ground::db_lay(house);
        let tablet = house.nobody().with_token(&tablet_of(house).await);
        let told = json!({
            "tool_id": ground.drag, "person_id": ground.dear, "happened_at": "2031-06-10T08:30:00Z",
            "readings": [{ "wear_part_id": ground.brush, "points_um": [80_000, 79_000, 78_001], "read_in": "mm" }],
        });
        let check = tablet.post(&house.path("/tool-checks"), &told).await.expect(201);
        assert_eq!(check["readings"][0]["length_um"], 79_000);
        let newest = part(house, ground.brush).await["newest_reading"].clone();
        assert_eq!((&newest["id"], &newest["length_um"]), (&check["readings"][0]["id"], &json!(79_000)));
        assert_eq!((&newest["measured_on"], &newest["order_id"]), (&json!(TODAY), &Value::Null));
        let kept = crate::accounts::db_count(
            house,
            "SELECT COUNT(*) AS rows FROM tool_check_readings WHERE points = '[80000,79000,78001]' AND read_in = 'mm'",
        );
        assert_eq!(kept, 1);
    }

    async fn what_the_eye_says_last_holds_and_a_part_to_change_shows_on_the_day(house) {
        let ground = Ground::db_lay(house);
        let strap = db_strap(house, ground.courts[0]);
        let lead = house.as_role(Role::CrewLead).await;
        let see = async |verdict: &str, at: &str| {
            let told = json!({
                "court_id": ground.courts[0], "happened_at": at,
                "by_eye": [{ "wear_part_id": strap, "verdict": verdict }],
            });
            lead.post(&house.path("/tool-checks"), &told).await.expect(201);
        };
        see("change_now", "2031-06-10T08:40:00Z").await;
        // It comes later and happened before.
        see("sound", "2031-06-10T08:20:00Z").await;
        let newest = part(house, strap).await["newest_by_eye"].clone();
        assert_eq!((&newest["verdict"], &newest["happened_at"]), (&json!("change_now"), &json!("2031-06-10T08:40:00Z")));
        let day = house.path(&format!("/days/{TODAY}"));
        let to_change = lead.get(&day).await.expect(200)["parts_to_change"].clone();
        assert_eq!((&to_change[0]["kind"], &to_change[0]["court"]), (&json!("centre_strap"), &json!("Test court 901")));
        let manager = Visitor::signed_in(house, Role::Manager).await;
        let page = format!("/sites/{}/days/{TODAY}", house.set_up.site_id);
        let html = manager.get(&page).await.page(200).to_owned();
        assert!(html.contains("Change now: center strap, Test court 901"), "{html}");
        see("sound", "2031-06-10T08:50:00Z").await;
        assert_eq!(lead.get(&day).await.expect(200)["parts_to_change"], json!([]));
        assert!(!manager.get(&page).await.page(200).contains("Change now"));
    }

    async fn what_cannot_be_so_is_told_field_by_field_and_nothing_is_half_taken(house) {
        let ground = Ground::db_lay(house);
        let strap = db_strap(house, ground.courts[0]);
        let lead = house.as_role(Role::CrewLead).await;
        let points = |points: Value| json!([{ "wear_part_id": ground.brush, "points_um": points, "read_in": "in" }]);
        let by_eye = |part: i64| json!([{ "wear_part_id": part, "verdict": "worn" }]);
        for (told, field) in [
            (json!({ "tool_id": ground.drag, "readings": points(json!([80_000, 100_001])) }), "/readings/0/points_um/1"),
            (json!({ "tool_id": ground.drag, "readings": points(json!([])) }), "/readings/0/points_um"),
            (json!({ "tool_id": ground.drag, "readings": points(json!([1, 2, 3, 4, 5, 6, 7, 8, 9, 10])) }), "/readings/0/points_um"),
            (json!({ "tool_id": ground.drag, "by_eye": by_eye(strap) }), "/by_eye/0/wear_part_id"),
            (json!({ "court_id": ground.courts[0], "readings": points(json!([1])) }), "/readings/0/wear_part_id"),
            (json!({ "court_id": ground.courts[0], "by_eye": by_eye(999_999) }), "/by_eye/0/wear_part_id"),
            (json!({ "tool_id": ground.drag, "court_id": ground.courts[0], "by_eye": by_eye(strap) }), "/tool_id"),
            (json!({ "tool_id": 999_999, "by_eye": by_eye(ground.brush) }), "/tool_id"),
            (json!({ "tool_id": ground.drag }), "/readings"),
            (json!({ "tool_id": ground.drag, "person_id": 999_999, "by_eye": by_eye(ground.brush) }), "/person_id"),
        ] {
            let refused = lead.post(&house.path("/tool-checks"), &told).await;
            refused.expect_problem(422);
            assert_eq!(refused.fault(), field, "{told}");
        }
        // The same words as where an order is given back.
        let long = json!({ "tool_id": ground.drag, "readings": points(json!([100_001])) });
        let refused = lead.post(&house.path("/tool-checks"), &long).await.expect(422);
        assert_eq!(refused["faults"][0]["detail"], "the part was 100000 µm long when new: give 0 to 100000");
        assert_eq!(crate::accounts::db_count(house, "SELECT COUNT(*) AS rows FROM tool_checks"), 0);
    }
}
