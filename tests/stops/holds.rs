//! Holds: shut at once by anyone on shift, opened by the manager or a deputy.

use roundhand::store::Role;
use serde_json::{Value, json};

use crate::support::{Ground, House, Place, TODAY, on_both_engines};

fn told(person: i64, fit: &Value) -> Value {
    json!({
        "fit": fit,
        "steps_done": [1, 2],
        "people": [{ "person_id": person, "minutes": 5 }],
    })
}

async fn held(house: &House) -> Vec<Value> {
    let day = house.path(&format!("/days/{TODAY}"));
    let day = house.manager().await.get(&day).await.expect(200);
    day["held"].as_array().unwrap().clone()
}

on_both_engines! {
    async fn anyone_on_shift_holds_a_court_and_the_day_shows_it(house) {
        let ground = Ground::db_lay(house);
        for (role, reason) in [
            (Role::FrontDesk, "glass"),
            (Role::CrewMember, "hole"),
            (Role::CrewLead, "net_or_post"),
        ] {
            let client = house.as_role(role).await;
            let path = house.path(&format!("/courts/{}/holds", ground.courts[0]));
            let told = json!({ "reason": reason, "happened_at": "2031-06-10T08:58:00Z" });
            let hold = client.post(&path, &told).await.expect(200);
            assert_eq!(hold["reason"], reason);
            assert_eq!(hold["held_at"], "2031-06-10T08:58:00Z");
            assert_eq!(hold["released_at"], Value::Null);
            assert!(!hold["held_by"].as_str().unwrap().is_empty());
        }
        let all = held(house).await;
        assert_eq!(all.len(), 3);
        assert_eq!(all[0]["court"], "Test court 901");
        let of_court = house.path(&format!("/holds?on=true&court_id={}", ground.courts[0]));
        let listed = house.as_role(Role::FrontDesk).await.get(&of_court).await.items();
        assert_eq!(listed, all);
    }

    async fn another_reason_is_told_in_words(house) {
        let ground = Ground::db_lay(house);
        let member = house.as_role(Role::CrewMember).await;
        let path = house.path(&format!("/courts/{}/holds", ground.courts[0]));
        for (told, field) in [
            (json!({ "reason": "other" }), "/note"),
            (json!({ "reason": "other", "note": " " }), "/note"),
            (json!({ "reason": "glass", "note": "x".repeat(501) }), "/note"),
            (json!({ "reason": "glass", "happened_at": "2031-06-10T10:00:00Z" }), "/happened_at"),
        ] {
            let refused = member.post(&path, &told).await.expect(422);
            assert_eq!(refused["faults"][0]["field"], field, "{told}");
        }
        assert!(held(house).await.is_empty());
        let told = json!({ "reason": "other", "note": "a snake by the net" });
        assert_eq!(member.post(&path, &told).await.expect(200)["note"], "a snake by the net");
    }

    async fn the_manager_or_a_deputy_releases_it_and_both_are_kept(house) {
        let ground = Ground::db_lay(house);
        let member = house.as_role(Role::CrewMember).await;
        let path = house.path(&format!("/courts/{}/holds", ground.courts[0]));
        let hold = member.post(&path, &json!({ "reason": "glass" })).await.expect(200);
        let release = house.path(&format!("/holds/{}/release", hold["id"]));
        for role in [Role::CrewMember, Role::CrewLead, Role::FrontDesk] {
            house.as_role(role).await.post(&release, &json!({})).await.expect(403);
        }
        let deputy = house.as_role(Role::Deputy).await;
        let over = deputy.post(&release, &json!({ "note": "swept up" })).await.expect(200);
        assert_eq!(over["released_at"], "2031-06-10T09:00:00Z");
        assert_eq!(over["release_note"], "swept up");
        assert_eq!(over["held_by"], hold["held_by"]);
        assert_ne!(over["released_by"], over["held_by"]);
        let again = deputy.post(&release, &json!({})).await.expect(409);
        assert_eq!(again["code"], "hold_released");
        assert!(held(house).await.is_empty());
        assert_eq!(deputy.get(&house.path("/holds?on=false")).await.items(), [over]);
    }

    async fn a_held_court_is_not_said_to_be_fit_before_its_release(house) {
        let ground = Ground::db_lay(house);
        let member = house.as_role(Role::CrewMember).await;
        let court = ground.courts[0];
        let id = ground.db_issue_plain(house);
        let path = house.path(&format!("/courts/{court}/holds"));
        let hold = member.post(&path, &json!({ "reason": "hole" })).await.expect(200);

        // The crew that mends it may start.
        member.post(&house.path(&format!("/orders/{id}/start")), &json!({})).await.expect(200);
        let finish = house.path(&format!("/orders/{id}/finish"));
        let fit = told(ground.dear, &json!({ "is": "yes" }));
        let refused = member.post(&finish, &fit).await.expect(409);
        assert!(refused["detail"].as_str().unwrap().contains("held"), "{refused}");
        assert_eq!(refused["code"], "court_held");
        let order = house.path(&format!("/orders/{id}"));
        assert_eq!(member.get(&order).await.expect(200)["state"], "under_way");

        let release = house.path(&format!("/holds/{}/release", hold["id"]));
        house.manager().await.post(&release, &json!({})).await.expect(200);
        member.post(&finish, &fit).await.expect(200);
    }

    async fn a_court_given_back_as_held_is_held(house) {
        let ground = Ground::db_lay(house);
        let member = house.as_role(Role::CrewMember).await;
        let id = ground.db_issue_plain(house);
        let held_told = json!({ "is": "held", "reason": " the strap has torn " });
        let finish = house.path(&format!("/orders/{id}/finish"));
        member.post(&finish, &told(ground.dear, &held_told)).await.expect(200);
        let [hold] = &held(house).await[..] else { panic!("one hold") };
        assert_eq!((&hold["court_id"], &hold["order_id"]), (&json!(ground.courts[0]), &json!(id)));
        assert_eq!((&hold["reason"], &hold["note"]), (&json!("other"), &json!("the strap has torn")));

        let next = ground.db_issue_plain(house);
        let finish = house.path(&format!("/orders/{next}/finish"));
        let mut fit = told(ground.cheap, &json!({ "is": "yes" }));
        member.post(&finish, &fit).await.expect(409);
        fit["fit"] = json!({ "is": "not_yet", "until": "2031-06-10T12:00:00Z" });
        member.post(&finish, &fit).await.expect(200);
        assert_eq!(held(house).await.len(), 1, "not yet fit releases nothing");
    }

    /// Wet hands type nothing: a reason of the list is enough.
    async fn a_reason_that_is_picked_needs_no_words(house) {
        let ground = Ground::db_lay(house);
        let member = house.as_role(Role::CrewMember).await;
        let id = ground.db_issue_plain(house);
        let finish = house.path(&format!("/orders/{id}/finish"));
        for (fit, fault) in [
            (json!({ "is": "held", "hold_reason": "other" }), "/fit/reason"),
            (json!({ "is": "yes", "hold_reason": "hole" }), "/fit/hold_reason"),
        ] {
            let refused = member.post(&finish, &told(ground.dear, &fit)).await.expect(422);
            assert_eq!(refused["faults"][0]["field"], fault, "{fit}");
        }
        let fit = json!({ "is": "held", "hold_reason": "lifted_tape" });
        let closed = member.post(&finish, &told(ground.dear, &fit)).await.expect(200);
        assert_eq!((&closed["fit_hold_reason"], &closed["fit_reason"]), (&json!("lifted_tape"), &Value::Null));
        let [hold] = &held(house).await[..] else { panic!("one hold") };
        assert_eq!((&hold["reason"], &hold["note"]), (&json!("lifted_tape"), &Value::Null));
    }

    async fn work_on_a_whole_bank_holds_each_of_its_courts_and_opens_none(house) {
        let ground = Ground::db_lay(house);
        let member = house.as_role(Role::CrewMember).await;
        let [first, second] = [(); 2].map(|()| ground.db_issue(house, Place::Bank(ground.bank), TODAY, 0));
        let finish = |id: i64| house.path(&format!("/orders/{id}/finish"));
        let hold = told(ground.dear, &json!({ "is": "held", "reason": "the fence leans" }));
        member.post(&finish(first), &hold).await.expect(200);
        let courts: Vec<i64> = held(house).await.iter().map(|h| h["court_id"].as_i64().unwrap()).collect();
        assert_eq!(courts, ground.courts);
        let fit = told(ground.cheap, &json!({ "is": "yes" }));
        member.post(&finish(second), &fit).await.expect(200);
        assert_eq!(held(house).await.len(), 3);
    }
}
