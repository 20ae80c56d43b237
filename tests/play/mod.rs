//! Play sessions and closures: set, changed, called off, over by a tap.

use reqwest::Method;
use roundhand::store::Role;
use serde_json::{Value, json};

use crate::support::{Ground, on_both_engines};

/// A session of today, in UTC; the house stands at 09:00.
fn play(from: &str, until: &str) -> Value {
    json!({
        "name": "Club match",
        "starts_at": format!("2031-06-10T{from}:00Z"),
        "ends_at": format!("2031-06-10T{until}:00Z"),
        "turnaround": "full",
    })
}

fn on(courts: &[i64], play: &Value) -> Value {
    json!({ "court_ids": courts, "play": play })
}

on_both_engines! {
    async fn a_session_is_set_on_several_courts_at_once_and_listed_by_date(house) {
        let ground = Ground::db_lay(house);
        let manager = house.manager().await;
        let path = house.path("/play-sessions");
        let body = on(&ground.courts, &play("12:00", "14:00"));
        let key = "5f0e1c9e-4b1f-4d0e-9d53-0d2f5a2f6c11";
        let added = manager.post_with_key(&path, &body, key).await.expect(201);
        assert_eq!(added["items"].as_array().unwrap().len(), 3);
        // Sent twice, done once.
        assert_eq!(manager.post_with_key(&path, &body, key).await.expect(201), added);

        let listed = manager.get(&format!("{path}?from=2031-06-10&to=2031-06-10")).await.items();
        let set = listed.iter().filter(|session| session["name"] == "Club match");
        assert_eq!(set.count(), 3);
        let of_court = format!("{path}?from=2031-06-10&court_id={}", ground.courts[1]);
        assert_eq!(manager.get(&of_court).await.items().len(), 1);
        let before = format!("{path}?to=2031-06-09&court_id={}", ground.courts[1]);
        assert!(manager.get(&before).await.items().is_empty());
    }

    async fn bad_play_is_refused_with_field_and_mend_and_nothing_is_set(house) {
        let ground = Ground::db_lay(house);
        let manager = house.manager().await;
        let path = house.path("/play-sessions");
        let court = ground.courts[0];
        let noon = on(&[court], &play("12:00", "14:00"));
        manager.post(&path, &noon).await.expect(201);
        let cases = [
            (on(&[court], &play("16:00", "15:00")), "/play/ends_at"),
            (on(&[], &play("15:00", "16:00")), "/court_ids"),
            (on(&[court, court], &play("15:00", "16:00")), "/court_ids/1"),
            (on(&[court, 987_654], &play("15:00", "16:00")), "/court_ids/1"),
            // The first court is free, the second in play.
            (on(&[ground.courts[1], court], &play("13:59", "15:00")), "/court_ids/1"),
        ];
        for (body, field) in cases {
            let answer = manager.post(&path, &body).await;
            answer.expect_problem(422);
            assert_eq!(answer.fault(), field, "{body}");
        }
        let of_court = format!("{path}?court_id={court}");
        assert_eq!(manager.get(&of_court).await.items().len(), 1);
        // One may begin as the other ends.
        manager.post(&path, &on(&[court], &play("14:00", "15:00"))).await.expect(201);
    }

    async fn a_session_moves_with_its_etag_and_once_called_off_only_comes_back_anew(house) {
        let ground = Ground::db_lay(house);
        let manager = house.manager().await;
        let path = house.path("/play-sessions");
        let noon = on(&[ground.courts[0]], &play("12:00", "14:00"));
        let id = manager.post(&path, &noon).await.expect(201)["items"][0]["id"].clone();
        let one = format!("{path}/{id}");
        let tag = manager.get(&one).await.header("etag").unwrap().to_owned();
        let edit = json!({ "court_id": ground.courts[1], "play": play("12:30", "14:30") });

        manager.send(Method::PATCH, &one, &[], Some(&edit)).await.expect(428);
        let moved = manager.send(Method::PATCH, &one, &[("if-match", &tag)], Some(&edit)).await;
        assert_eq!(moved.expect(200)["court_id"], ground.courts[1]);
        manager.send(Method::PATCH, &one, &[("if-match", &tag)], Some(&edit)).await.expect(412);

        let off = manager.post(&format!("{one}/cancel"), &Value::Null).await.expect(200);
        assert!(!off["cancelled_at"].is_null());
        manager.post(&format!("{one}/cancel"), &Value::Null).await.expect(409);
        let again = on(&[ground.courts[1]], &play("12:30", "14:00"));
        let back = manager.post(&path, &again).await.expect(201)["items"][0].clone();
        assert_eq!((&back["id"], &back["cancelled_at"]), (&id, &Value::Null));
    }

    async fn the_front_desk_says_once_that_play_is_over_and_sets_nothing(house) {
        let ground = Ground::db_lay(house);
        let manager = house.manager().await;
        let path = house.path("/play-sessions");
        let mut open = play("07:00", "08:30");
        open["open_ended"] = json!(true);
        let body = on(&[ground.courts[0]], &open);
        let id = manager.post(&path, &body).await.expect(201)["items"][0]["id"].clone();
        let over = format!("{path}/{id}/over");

        let desk = house.as_role(Role::FrontDesk).await;
        desk.post(&path, &body).await.expect(403);
        let crew = house.as_role(Role::CrewMember).await;
        crew.post(&over, &json!({})).await.expect(403);
        let early = json!({ "happened_at": "2031-06-10T06:59:00Z" });
        assert_eq!(desk.post(&over, &early).await.fault(), "/happened_at");
        let late = json!({ "happened_at": "2031-06-10T23:00:00Z" });
        assert_eq!(desk.post(&over, &late).await.fault(), "/happened_at");

        let told = json!({ "happened_at": "2031-06-10T08:50:00Z" });
        let done = desk.post(&over, &told).await.expect(200);
        assert_eq!(done["over_at"], "2031-06-10T08:50:00Z");
        desk.post(&over, &told).await.expect(409);
        manager.post(&format!("{path}/{id}/cancel"), &Value::Null).await.expect(409);
    }

    async fn courts_are_shut_and_opened_again_and_it_stays_on_record(house) {
        let ground = Ground::db_lay(house);
        let manager = house.manager().await;
        let path = house.path("/closures");
        let body = json!({
            "court_ids": ground.courts, "reason": "Storm",
            "starts_at": "2031-06-10T12:00:00Z", "ends_at": "2031-06-10T15:00:00Z",
        });
        let shut = manager.post(&path, &body).await.expect(201);
        let id = &shut["items"][2]["id"];
        let open = manager.post(&format!("{path}/{id}/cancel"), &Value::Null).await.expect(200);
        assert!(!open["cancelled_at"].is_null());
        let listed = manager.get(&format!("{path}?from=2031-06-10")).await.items();
        assert_eq!(listed.iter().filter(|closure| closure["reason"] == "Storm").count(), 3);
        let mut bad = body.clone();
        bad["reason"] = json!("  ");
        assert_eq!(manager.post(&path, &bad).await.fault(), "/reason");
    }
}
