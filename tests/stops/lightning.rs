//! Lightning: one tap for the whole site, and nobody goes back out before the wait is over.
//!
//! Source of the usual wait: advice of the US Weather Service, "wait 30 minutes after the last thunder" (advice, not
//! law; from memory). It is 09:00 UTC.

use reqwest::Method;
use roundhand::store::Role;
use serde_json::{Value, json};

use crate::support::{Client, Ground, House, TODAY, on_both_engines};

async fn thunder(client: &Client, house: &House, at: &str) -> Value {
    let told = json!({ "kind": "lightning", "happened_at": format!("{TODAY}T{at}Z") });
    client.post(&house.path("/stops"), &told).await.expect(200)
}

async fn release(client: &Client, house: &House, stop: &Value) -> crate::support::Answer {
    let path = house.path(&format!("/stops/{}/release", stop["id"]));
    client.post(&path, &json!({})).await
}

async fn on(client: &Client, house: &House) -> Vec<Value> {
    client.get(&house.path("/stops?on=true")).await.items()
}

on_both_engines! {
    async fn one_tap_of_anybody_on_the_grounds_stops_the_whole_site(house) {
        let manager = house.manager().await;
        let day = house.path(&format!("/days/{TODAY}"));
        assert_eq!(manager.get(&day).await.expect(200)["stop"], Value::Null);
        for role in [Role::FrontDesk, Role::CrewMember, Role::CrewLead, Role::Manager] {
            let client = house.as_role(role).await;
            client.post(&house.path("/stops"), &json!({ "kind": "lightning" })).await.expect(200);
            // However many tell it, it is one stop.
            assert_eq!(on(&client, house).await.len(), 1, "{role}");
        }
        let stop = manager.get(&day).await.expect(200)["stop"].clone();
        assert_eq!(stop["is_on"], true);
        assert_eq!(stop["release_from"], "2031-06-10T09:30:00Z");
        assert_eq!(on(&manager, house).await[0], stop);
    }

    async fn nobody_releases_it_before_half_an_hour_after_the_last_thunder(house) {
        let lead = house.as_role(Role::CrewLead).await;
        let stop = thunder(&lead, house, "08:20:00").await;
        assert_eq!(stop["release_from"], "2031-06-10T08:50:00Z");
        // Thunder again: the wait begins anew.
        let again = thunder(&lead, house, "08:30:01").await;
        assert_eq!(again["id"], stop["id"]);
        assert_eq!(again["last_thunder_at"], "2031-06-10T08:30:01Z");
        let refused = release(&lead, house, &stop).await.expect(409);
        let detail = refused["detail"].as_str().unwrap();
        assert!(detail.contains("2031-06-10T09:00:01"), "it says from when: {detail}");
        assert_eq!(on(&lead, house).await.len(), 1);
    }

    async fn it_is_released_from_that_moment_on_by_a_person_who_may(house) {
        let lead = house.as_role(Role::CrewLead).await;
        let stop = thunder(&lead, house, "08:30:00").await;
        for role in [Role::CrewMember, Role::FrontDesk] {
            release(&house.as_role(role).await, house, &stop).await.expect(403);
        }
        let released = release(&lead, house, &stop).await.expect(200);
        assert_eq!(released["is_on"], false);
        assert_eq!(released["released_at"], "2031-06-10T09:00:00Z");
        assert!(on(&lead, house).await.is_empty());
        release(&lead, house, &stop).await.expect(409);
        // What was is kept.
        let over = lead.get(&house.path("/stops?on=false&kind=lightning")).await.items();
        assert_eq!(over, [released]);
        // The next thunder is a stop of its own.
        assert_ne!(thunder(&lead, house, "09:00:00").await["id"], stop["id"]);
    }

    async fn a_tablet_that_tells_an_earlier_thunder_last_does_not_shorten_the_wait(house) {
        let lead = house.as_role(Role::CrewLead).await;
        let stop = thunder(&lead, house, "08:50:00").await;
        let late = thunder(&lead, house, "08:15:00").await;
        assert_eq!(late["release_from"], stop["release_from"]);
    }

    async fn the_site_sets_the_wait(house) {
        let manager = house.manager().await;
        let settings = house.path("/settings");
        let tag = manager.get(&settings).await.header("etag").unwrap().to_owned();
        let wait = json!({ "lightning_wait_s": 2_700 });
        manager.send(Method::PATCH, &settings, &[("if-match", &tag)], Some(&wait)).await.expect(200);
        let stop = thunder(&manager, house, "08:20:00").await;
        assert_eq!(stop["release_from"], "2031-06-10T09:05:00Z");
        release(&manager, house, &stop).await.expect(409);
    }

    async fn while_it_is_on_no_order_is_started_and_each_can_still_be_given_back(house) {
        let ground = Ground::db_lay(house);
        let [first, second, third] = [(); 3].map(|()| ground.db_issue_plain(house));
        let crew = house.as_role(Role::CrewMember).await;
        let of = |id: i64, what: &str| house.path(&format!("/orders/{id}/{what}"));
        let stop = thunder(&crew, house, "08:30:00").await;

        let refused = crew.post(&of(first, "start"), &json!({})).await.expect(409);
        assert!(refused["detail"].as_str().unwrap().contains("lightning"), "{refused}");
        // What a tablet without signal began before it is no fault.
        let before = json!({ "happened_at": "2031-06-10T08:29:59Z" });
        crew.post(&of(second, "start"), &before).await.expect(200);
        let done = json!({
            "fit": { "is": "yes" },
            "steps_done": [1, 2],
            "people": [{ "person_id": ground.dear, "minutes": 5 }],
        });
        crew.post(&of(second, "finish"), &done).await.expect(200);
        crew.post(&of(third, "leave-undone"), &json!({ "reason": "weather" })).await.expect(200);

        release(&house.manager().await, house, &stop).await.expect(200);
        crew.post(&of(first, "start"), &json!({})).await.expect(200);
    }

    async fn told_twice_under_one_key_it_is_told_once(house) {
        let lead = house.as_role(Role::CrewLead).await;
        let key = format!("\"{}\"", uuid::Uuid::new_v4());
        let told = json!({ "kind": "lightning", "happened_at": "2031-06-10T08:30:00Z" });
        let first = lead.post_with_key(&house.path("/stops"), &told, &key).await.expect(200);
        release(&lead, house, &first).await.expect(200);
        // Sent again after the release, it stops nobody anew.
        let again = lead.post_with_key(&house.path("/stops"), &told, &key).await.expect(200);
        assert_eq!(again, first);
        assert!(on(&lead, house).await.is_empty());
    }

    async fn what_cannot_be_is_refused_by_its_field(house) {
        let lead = house.as_role(Role::CrewLead).await;
        for (told, field) in [
            (json!({ "kind": "lightning", "crew_id": 1 }), "/crew_id"),
            (json!({ "kind": "heat", "crew_id": 999_999 }), "/crew_id"),
            (json!({ "kind": "lightning", "happened_at": "2031-06-10T09:05:01Z" }), "/happened_at"),
            (json!({ "kind": "lightning", "happened_at": "2031-06-09T08:59:59Z" }), "/happened_at"),
        ] {
            let refused = lead.post(&house.path("/stops"), &told).await.expect(422);
            assert_eq!(refused["faults"][0]["field"], field, "{told}");
        }
        assert!(on(&lead, house).await.is_empty());
    }
}
