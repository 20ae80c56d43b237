//! What changes after a day was planned is told on top of it until the day is planned anew.

use chrono::TimeDelta;
use reqwest::Method;
use roundhand::store::{Instant, Role};
use serde_json::{Value, json};

use super::yard::{DAY, Yard, instant, local, orders};
use crate::pages::visitor::Visitor;
use crate::support::{Client, on_both_engines};

/// The morning session of a court, as the API lists it.
async fn morning(yard: &Yard, manager: &Client, court: i64) -> Value {
    let path = yard.path(&format!(
        "/play-sessions?from={DAY}&to={DAY}&court_id={court}"
    ));
    let all = manager.get(&path).await.items();
    let first = all
        .iter()
        .min_by_key(|session| instant(&session["starts_at"]));
    first.expect("play on the court").clone()
}

fn changes(day: &Value) -> Vec<(&str, &str)> {
    let all = day["changed_since"].as_array().expect("a list").iter();
    all.map(|one| {
        (
            one["became"].as_str().unwrap(),
            one["court"].as_str().unwrap(),
        )
    })
    .collect()
}

on_both_engines! {
    async fn play_that_changed_after_the_day_was_planned_is_told_until_the_rest_is_planned_anew(house) {
        let yard = Yard::db_lay(house);
        let manager = house.manager().await;
        let day = yard.plan(&manager, DAY).await;
        manager.post(&yard.path(&format!("/days/{DAY}/issue")), &json!({})).await.expect(200);
        assert_eq!(changes(&day), []);

        let later = house.on_day(local(DAY, "05:30").utc());
        let manager = house.manager_at(&later.base).await;
        let [one, two, three, four] = yard.courts;
        let off = morning(&yard, &manager, one).await;
        let cancel = yard.path(&format!("/play-sessions/{}/cancel", off["id"]));
        manager.post(&cancel, &json!({})).await.expect(200);
        // Moved to the next day: nothing of it is left on this one but its turnaround in the plan.
        let moved = morning(&yard, &manager, two).await;
        let a_day_later = |at: &Value| Instant::from(instant(at).utc() + TimeDelta::days(1));
        let edit = json!({ "court_id": two, "play": { "name": "Moved", "turnaround": "full",
            "starts_at": a_day_later(&moved["starts_at"]), "ends_at": a_day_later(&moved["ends_at"]) } });
        let path = yard.path(&format!("/play-sessions/{}", moved["id"]));
        let tag = format!("\"{}\"", moved["version"]);
        manager.send(Method::PATCH, &path, &[("if-match", &tag)], Some(&edit)).await.expect(200);
        let shut = json!({ "court_ids": [three], "starts_at": local(DAY, "20:00"), "ends_at": local(DAY, "22:00"),
            "reason": "a lamp is out" });
        manager.post(&yard.path("/closures"), &shut).await.expect(201);
        // Another date's play says nothing about this one.
        let next = json!({ "court_ids": [four], "play": { "name": "Tomorrow", "turnaround": "full",
            "starts_at": a_day_later(&off["starts_at"]), "ends_at": a_day_later(&off["ends_at"]) } });
        manager.post(&yard.path("/play-sessions"), &next).await.expect(201);

        let day = yard.day(&manager, DAY).await;
        let mut told = changes(&day);
        told.sort_unstable();
        assert_eq!(told, [("called_off", "Court 1"), ("set", "Court 2"), ("shut", "Court 3")]);
        let page = Visitor::signed_in_at(&later.base, house, Role::Manager).await
            .get(&format!("/sites/{}/days/{DAY}", yard.site)).await.page(200).to_owned();
        assert!(page.contains("Play changed after this day was planned") && page.contains("See what it changes"), "{page}");

        let replan = yard.path(&format!("/days/{DAY}/replan"));
        let told = manager.post(&replan, &json!({ "take": true })).await.expect(200);
        let gone: Vec<&str> = told["moves"].as_array().unwrap().iter()
            .filter(|one| one["became"] == "left_out").map(|one| one["place"].as_str().unwrap()).collect();
        assert!(gone.contains(&"Court 1") && gone.contains(&"Court 2"), "{told}");
        assert_eq!(changes(&yard.day(&manager, DAY).await), []);
    }

    // Ten minutes are what the slack of a round is for: our own choice.
    async fn play_over_at_another_hour_than_planned_is_told_and_a_few_minutes_are_not(house) {
        let yard = Yard::db_lay(house);
        yard.plan(&house.manager().await, DAY).await;
        let later = house.on_day(local(DAY, "12:00").utc());
        let manager = house.manager_at(&later.base).await;
        for (court, earlier) in [(yard.courts[0], 5), (yard.courts[1], 25)] {
            let session = morning(&yard, &manager, court).await;
            let at = Instant::from(instant(&session["ends_at"]).utc() - TimeDelta::minutes(earlier));
            let over = yard.path(&format!("/play-sessions/{}/over", session["id"]));
            manager.post(&over, &json!({ "happened_at": at })).await.expect(200);
        }
        assert_eq!(changes(&yard.day(&manager, DAY).await), [("over", "Court 2")]);
    }

    async fn work_said_to_run_over_is_still_known_to_run_over_when_the_rest_is_planned_once_more(house) {
        let yard = Yard::db_lay(house);
        let manager = house.manager().await;
        let day = yard.plan(&manager, DAY).await;
        manager.post(&yard.path(&format!("/days/{DAY}/issue")), &json!({})).await.expect(200);
        let crew = &day["rounds"][0];
        let running = crew["orders"][0]["id"].clone();
        manager.post(&yard.path(&format!("/orders/{running}/start")), &json!({})).await.expect(200);
        let replan = yard.path(&format!("/days/{DAY}/replan"));
        let over = json!({ "kind": "work_runs_over", "order_id": running, "until": local(DAY, "09:00") });
        let waits = |day: &Value| {
            let own = orders(day).into_iter().filter(|o| o["crew_id"] == crew["crew_id"] && o["id"] != running);
            own.map(|o| instant(&o["planned_start"])).min()
        };
        assert!(waits(&day) < Some(local(DAY, "09:00")), "{day}");
        manager.post(&replan, &json!({ "happened": [over], "take": true })).await.expect(200);
        let after = yard.day(&manager, DAY).await;
        assert!(waits(&after) >= Some(local(DAY, "09:00")), "{after}");
        manager.post(&replan, &json!({ "take": true })).await.expect(200);
        let again = yard.day(&manager, DAY).await;
        assert!(waits(&again) >= Some(local(DAY, "09:00")), "{again}");
        let order = orders(&again).into_iter().find(|o| o["id"] == running).unwrap();
        assert_eq!(instant(&order["expected_end_at"]), local(DAY, "09:00"));
    }
}
