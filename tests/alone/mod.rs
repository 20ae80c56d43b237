//! Working alone: signs in any order, silence that is never taken for a good sign, and a mail at a miss.

use chrono::{DateTime, Utc};
use reqwest::Method;
use roundhand::store::Role;
use serde_json::{Value, json};

use crate::accounts::PostRoom;
use crate::pages::visitor::Visitor;
use crate::support::{Client, Ground, House, TODAY, on_both_engines, tablet_of};

fn key() -> String {
    uuid::Uuid::new_v4().to_string()
}

fn at(text: &str) -> DateTime<Utc> {
    text.parse().unwrap()
}

/// Starts a watch under this key.
async fn start(client: &Client, house: &House, ground: &Ground, key: &str, happened_at: &str) {
    let told = json!({
        "person_id": ground.dear, "crew_id": ground.crew, "court_id": ground.courts[0], "happened_at": happened_at,
    });
    client
        .post_with_key(&house.path("/alone"), &told, key)
        .await
        .expect(201);
}

async fn tell(client: &Client, house: &House, key: &str, what: &str, happened_at: &str) {
    let path = house.path(&format!("/alone/{key}/{what}"));
    client
        .post(&path, &json!({ "happened_at": happened_at }))
        .await
        .expect(201);
}

/// The one watch there is, as it stands at this time.
async fn standing(house: &House, now: &str) -> Value {
    let service = house.on_day(at(now));
    let manager = house.manager_at(&service.base).await;
    let all = manager.get(&house.path("/alone")).await.items();
    let [one] = &all[..] else {
        panic!("one watch: {all:?}")
    };
    one.clone()
}

on_both_engines! {
    async fn a_sign_is_due_after_the_sites_interval_and_missed_a_little_later(house) {
        let ground = Ground::db_lay(house);
        let tablet = house.nobody().with_token(&tablet_of(house).await);
        start(&tablet, house, &ground, &key(), "2031-06-10T08:50:00Z").await;
        for (now, state) in [
            ("2031-06-10T09:19:00Z", "heard"),
            ("2031-06-10T09:20:00Z", "due"),
            ("2031-06-10T09:24:00Z", "due"),
            ("2031-06-10T09:25:00Z", "missed"),
        ] {
            let one = standing(house, now).await;
            assert_eq!(one["state"], state, "{now}");
            assert_eq!(one["due_at"], "2031-06-10T09:20:00Z");
            assert_eq!(one["last_sign_at"], "2031-06-10T08:50:00Z");
            assert_eq!(one["last_sign_learned_at"], "2031-06-10T09:00:00Z");
        }
        let manager = house.manager().await;
        let settings = house.path("/settings");
        let tag = manager.get(&settings).await.header("etag").unwrap().to_owned();
        let off = json!({ "alone_check_in_minutes": 0 });
        manager.send(Method::PATCH, &settings, &[("if-match", &tag)], Some(&off)).await.expect(200);
        let one = standing(house, "2031-06-10T12:00:00Z").await;
        assert_eq!((&one["state"], &one["due_at"]), (&json!("heard"), &Value::Null));
    }

    async fn an_outbox_tells_in_any_order_and_it_stands_the_same(house) {
        let ground = Ground::db_lay(house);
        let lead = house.as_role(Role::CrewLead).await;
        let key = key();
        // The later sign comes first, and both before the start.
        tell(&lead, house, &key, "check-in", "2031-06-10T08:40:00Z").await;
        tell(&lead, house, &key, "check-in", "2031-06-10T08:20:00Z").await;
        assert!(lead.get(&house.path("/alone")).await.items().is_empty(), "nobody is known yet");
        start(&lead, house, &ground, &key, "2031-06-10T08:00:00Z").await;
        let one = standing(house, "2031-06-10T09:00:00Z").await;
        assert_eq!((&one["started_at"], &one["last_sign_at"]), (&json!("2031-06-10T08:00:00Z"), &json!("2031-06-10T08:40:00Z")));
        tell(&lead, house, &key, "end", "2031-06-10T08:45:00Z").await;
        let ended = standing(house, "2031-06-10T09:00:00Z").await;
        assert_eq!((&ended["state"], &ended["ended_at"]), (&json!("ended"), &json!("2031-06-10T08:45:00Z")));
        // A sign that comes after the end is harmless.
        tell(&lead, house, &key, "check-in", "2031-06-10T08:50:00Z").await;
        let still = standing(house, "2031-06-10T12:00:00Z").await;
        assert_eq!((&still["state"], &still["due_at"]), (&json!("ended"), &Value::Null));
        assert!(lead.get(&house.path("/alone?on=true")).await.items().is_empty());
        assert_eq!(lead.get(&house.path("/alone?on=false")).await.items().len(), 1);
    }

    async fn an_end_that_comes_before_the_start_ends_it(house) {
        let ground = Ground::db_lay(house);
        let lead = house.as_role(Role::CrewLead).await;
        let key = key();
        tell(&lead, house, &key, "end", "2031-06-10T08:45:00Z").await;
        start(&lead, house, &ground, &key, "2031-06-10T08:00:00Z").await;
        assert_eq!(standing(house, "2031-06-10T12:00:00Z").await["state"], "ended");
    }

    async fn the_managers_are_mailed_once_for_each_sign_that_stayed_the_last(house) {
        let ground = Ground::db_lay(house);
        let lead = house.as_role(Role::CrewLead).await;
        let key = key();
        start(&lead, house, &ground, &key, "2031-06-10T09:00:00Z").await;
        let missed = |letters: Vec<String>| letters.iter().filter(|letter| letter.contains("no sign")).count();
        assert_eq!(missed(PostRoom::at(house, at("2031-06-10T09:34:00Z")).letters()), 0);
        let post = PostRoom::at(house, at("2031-06-10T09:36:00Z"));
        let letters = post.letters();
        let letter = letters.iter().find(|letter| letter.contains("no sign")).expect("a letter");
        assert!(letter.contains("Test court 901") && letter.contains("not known whether"), "{letter}");
        assert_eq!(missed(post.letters()), 1);
        assert_eq!(missed(PostRoom::at(house, at("2031-06-10T09:50:00Z")).letters()), 0, "once");

        // A sign that came late is a sign; after it silence is told anew.
        tell(&lead, house, &key, "check-in", "2031-06-10T09:04:00Z").await;
        assert_eq!(missed(PostRoom::at(house, at("2031-06-10T09:38:00Z")).letters()), 0);
        assert_eq!(missed(PostRoom::at(house, at("2031-06-10T09:40:00Z")).letters()), 1);
    }

    async fn the_day_never_calls_silence_safe(house) {
        let ground = Ground::db_lay(house);
        let lead = house.as_role(Role::CrewLead).await;
        start(&lead, house, &ground, &key(), "2031-06-10T08:20:00Z").await;
        let page = format!("/sites/{}/days/{TODAY}", house.set_up.site_id);
        let manager = Visitor::signed_in(house, Role::Manager).await;
        let html = manager.get(&page).await.page(200).to_owned();
        assert!(html.contains("it is not known whether they are well"), "{html}");
        assert!(html.contains("Last sign 4:20\u{a0}AM, known here at 5:00\u{a0}AM."), "{html}");
        assert!(!html.to_lowercase().contains("safe"), "{html}");
        let member = Visitor::signed_in(house, Role::CrewMember).await;
        assert!(!member.get(&page).await.page(200).contains("Working alone"));
    }

    async fn who_is_not_there_is_told_by_the_field(house) {
        let ground = Ground::db_lay(house);
        let lead = house.as_role(Role::CrewLead).await;
        for (field, told) in [
            ("/person_id", json!({ "person_id": 999_999 })),
            ("/crew_id", json!({ "person_id": ground.dear, "crew_id": 999_999 })),
            ("/court_id", json!({ "person_id": ground.dear, "court_id": 999_999 })),
            ("/happened_at", json!({ "person_id": ground.dear, "happened_at": "2031-06-10T10:00:00Z" })),
        ] {
            let refused = lead.post(&house.path("/alone"), &told).await;
            refused.expect_problem(422);
            assert_eq!(refused.fault(), field);
        }
    }
}
