//! Every kind of thing a tablet tells, and where it ends up.

use roundhand::store::Role;
use serde_json::{Value, json};

use super::{event, finish, send, uuid};
use crate::support::{Ground, TODAY, on_both_engines, tablet_of};

/// An event that says who held the tablet.
fn by(person: i64, at: &str, happening: &Value) -> Value {
    let mut event = event(at, happening);
    event["person_id"] = json!(person);
    event
}

on_both_engines! {
    async fn a_closing_is_taken_back_from_the_tablet_and_told_anew(house) {
        let ground = Ground::db_lay(house);
        let order = ground.db_issue_plain(house);
        let tablet = house.nobody().with_token(&tablet_of(house).await);
        let events = [
            event("2031-06-10T08:30:00Z", &finish(order, ground.dear, 25)),
            event("2031-06-10T08:31:00Z", &json!({ "kind": "take_back", "order_id": order })),
            event("2031-06-10T08:40:00Z", &finish(order, ground.cheap, 12)),
        ];
        let answers = send(house, &tablet, &events).await;
        assert!(answers.iter().all(|a| a["outcome"] == "taken"), "{answers:#?}");
        let lines = format!("/cost-lines?from={TODAY}&to={TODAY}&order_id={order}&kind=labour");
        let lines = house.manager().await.get(&house.path(&lines)).await.items();
        // 12 minutes at $10.01 an hour.
        let cents: i64 = lines.iter().map(|line| line["cents"].as_i64().unwrap()).sum();
        assert_eq!(cents, 200, "{lines:#?}");
    }

    async fn what_came_too_late_waits_for_the_manager_as_a_note_with_all_it_said(house) {
        let ground = Ground::db_lay(house);
        let order = ground.db_issue_plain(house);
        let tablet = house.nobody().with_token(&tablet_of(house).await);
        send(house, &tablet, &[event("2031-06-10T08:30:00Z", &finish(order, ground.dear, 25))]).await;
        let late = finish(order, ground.cheap, 15);
        let noted = send(house, &tablet, &[by(ground.cheap, "2031-06-10T08:20:00Z", &late)]).await;
        assert_eq!(noted[0]["outcome"], "noted", "{noted:#?}");
        let manager = house.manager().await;
        let notes = manager.get(&house.path(&format!("/orders/{order}"))).await.expect(200)["notes"].as_array().unwrap().clone();
        let [note] = &notes[..] else {
            panic!("one note: {notes:#?}");
        };
        assert_eq!((&note["kind"], &note["person_id"]), (&json!("late_closing"), &json!(ground.cheap)));
        assert_eq!(note["data"]["people"], late["people"]);
    }

    async fn what_is_wrong_with_a_court_is_on_the_tablet_until_it_is_mended(house) {
        let ground = Ground::db_lay(house);
        ground.db_issue_plain(house);
        let tablet = house.nobody().with_token(&tablet_of(house).await);
        let court = ground.courts[0];
        let seen = json!({ "kind": "defect", "court_id": court, "defect": "low_spot", "x_mm": 500, "y_mm": 11_000 });
        let answers = send(house, &tablet, &[by(ground.dear, "2031-06-10T08:30:00Z", &seen)]).await;
        assert_eq!(answers[0]["outcome"], "taken", "{answers:#?}");
        let day = tablet.get(&house.path(&format!("/tablet?crew_id={}", ground.crew))).await.expect(200);
        let on_day = day["courts"].as_array().unwrap().iter().find(|c| c["id"] == court).unwrap();
        let odd = json!([{ "kind": "low_spot", "x_mm": 500, "y_mm": 11_000, "note": null, "since": "2031-06-10T08:30:00Z" }]);
        assert_eq!(on_day["odd"], odd);
    }

    async fn whoever_works_alone_is_watched_by_the_tablet_s_own_key(house) {
        let ground = Ground::db_lay(house);
        let tablet = house.nobody().with_token(&tablet_of(house).await);
        let watch = uuid();
        let told = |event: &str| json!({ "kind": "alone", "watch": watch, "event": event, "court_id": ground.courts[0] });
        let events = [
            by(ground.dear, "2031-06-10T08:00:00Z", &told("begun")),
            by(ground.dear, "2031-06-10T08:25:00Z", &told("well")),
        ];
        let answers = send(house, &tablet, &events).await;
        assert!(answers.iter().all(|a| a["outcome"] == "taken"), "{answers:#?}");
        let manager = house.manager().await;
        let alone = manager.get(&house.path("/alone")).await.items();
        assert_eq!((alone.len(), &alone[0]["person_id"]), (1, &json!(ground.dear)), "{alone:#?}");
        assert_eq!(alone[0]["last_sign_at"], "2031-06-10T08:25:00Z");
        let ended = send(house, &tablet, &[by(ground.dear, "2031-06-10T08:40:00Z", &told("ended"))]).await;
        assert_eq!(ended[0]["outcome"], "taken");
    }

    async fn clocks_crews_checks_and_near_misses_go_where_the_office_keeps_them(house) {
        let ground = Ground::db_lay(house);
        ground.db_issue_plain(house);
        let tablet = house.nobody().with_token(&tablet_of(house).await);
        let day = tablet.get(&house.path(&format!("/tablet?crew_id={}", ground.crew))).await.expect(200);
        let happenings = [
            json!({ "kind": "attendance", "person_id": ground.dear, "event": "in" }),
            json!({ "kind": "attendance", "person_id": ground.dear, "event": "break_start" }),
            json!({ "kind": "crew_change", "shift_id": day["shift"]["id"], "person_id": ground.cheap, "joins": true }),
            json!({ "kind": "tool_check", "tool_id": ground.drag,
                "readings": [{ "wear_part_id": ground.brush, "points_um": [91_000, 90_000], "read_in": "mm" }], "by_eye": [] }),
            json!({ "kind": "incident", "incident": "near_miss", "what": "slip_or_fall", "court_id": ground.courts[0],
                "anyone_hurt": "no" }),
            json!({ "kind": "note", "order_id": day["round"][0]["id"], "text": "the gate sticks" }),
        ];
        let events: Vec<Value> = happenings.iter().map(|one| by(ground.dear, "2031-06-10T08:30:00Z", one)).collect();
        let answers = send(house, &tablet, &events).await;
        assert!(answers.iter().all(|a| a["outcome"] == "taken"), "{answers:#?}");
        let sent = house.manager().await.get(&house.path("/tablet/events")).await.items();
        let near_miss = sent.iter().find(|one| one["happening"]["kind"] == "incident").unwrap();
        // Its details are for those named for incidents, and the manager is not.
        assert_eq!(near_miss["happening"], json!({ "kind": "incident" }));
        let then = tablet.get(&house.path(&format!("/tablet?crew_id={}", ground.crew))).await.expect(200);
        let cheap = then["people"].as_array().unwrap().iter().find(|p| p["id"] == ground.cheap).unwrap();
        assert_eq!(cheap["in_crew"], true);
    }

    async fn a_tablet_knows_what_was_measured_last_on_each_part_and_when(house) {
        let ground = Ground::db_lay(house);
        let tablet = house.nobody().with_token(&tablet_of(house).await);
        let brush = async || {
            let day = tablet.get(&house.path("/tablet")).await.expect(200);
            let drag = day["tools"].as_array().unwrap().iter().find(|t| t["id"] == ground.drag).unwrap().clone();
            drag["parts"].as_array().unwrap().iter().find(|p| p["id"] == ground.brush).unwrap().clone()
        };
        assert_eq!((&brush().await["last_um"], &brush().await["last_on"]), (&Value::Null, &Value::Null));
        let check = |um: i64| json!({ "kind": "tool_check", "tool_id": ground.drag,
            "readings": [{ "wear_part_id": ground.brush, "points_um": [um], "read_in": "mm" }], "by_eye": [] });
        send(house, &tablet, &[event("2031-06-09T08:30:00Z", &check(91_000)), event("2031-06-10T08:30:00Z", &check(90_000))]).await;
        assert_eq!((&brush().await["last_um"], &brush().await["last_on"]), (&json!(90_000), &json!(TODAY)));
        // One that is doubted does not count.
        send(house, &tablet, &[event("2031-06-10T08:40:00Z", &check(99_000))]).await;
        assert_eq!(brush().await["last_um"], 90_000);
    }

    async fn a_reading_longer_than_a_new_brush_comes_back_with_the_mend_and_is_told_anew(house) {
        let ground = Ground::db_lay(house);
        let tablet = house.nobody().with_token(&tablet_of(house).await);
        let check = |um: i64| json!({ "kind": "tool_check", "tool_id": ground.drag,
            "readings": [{ "wear_part_id": ground.brush, "points_um": [um], "read_in": "mm" }], "by_eye": [] });
        let wrong = event("2031-06-10T08:30:00Z", &check(101_000));
        let refused = send(house, &tablet, std::slice::from_ref(&wrong)).await;
        assert_eq!(refused[0]["outcome"], "refused", "{refused:#?}");
        assert_eq!(refused[0]["errors"][0]["code"], "longer_than_new", "{refused:#?}");
        let mut right = event("2031-06-10T08:30:00Z", &check(91_000));
        right["mends"] = wrong["key"].clone();
        assert_eq!(send(house, &tablet, &[right]).await[0]["outcome"], "taken");
        // The manager sees both, and which mends which.
        let manager = house.manager().await;
        let sent = manager.get(&house.path("/tablet/events")).await.items();
        assert_eq!((sent.len(), &sent[1]["mends"]), (2, &wrong["key"]));
        let refused = manager.get(&house.path("/tablet/events?outcome=refused")).await.items();
        assert_eq!((refused.len(), &refused[0]["key"]), (1, &wrong["key"]));
        let lead = house.as_role(Role::CrewLead).await;
        assert_eq!(lead.get(&house.path("/tablet/events")).await.status, 403);
    }
}
