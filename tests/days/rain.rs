//! Rain, frost and wind: what waits, and until when.

use chrono::TimeDelta;
use reqwest::Method;
use roundhand::store::{Instant, Role};
use serde_json::{Value, json};

use super::yard::{DAY, Yard, instant, local, orders};
use crate::pages::visitor::Visitor;
use crate::support::{Client, on_both_engines};

/// Rain of 6 mm, read off at this time of the day.
async fn rain(yard: &Yard, manager: &Client, at: Instant) {
    let reading = json!({ "read_at": at, "kind": "observed", "rain_um": 6_000 });
    tell(yard, manager, vec![reading]).await;
}

async fn tell(yard: &Yard, manager: &Client, readings: Vec<Value>) {
    let body = json!({ "readings": readings });
    manager
        .post(&yard.path("/weather"), &body)
        .await
        .expect(201);
}

async fn look(yard: &Yard, manager: &Client, court: i64, at: Instant, standing_water: bool) {
    let path = yard.path(&format!("/courts/{court}/inspections"));
    let look = json!({ "seen_at": at, "standing_water": standing_water });
    manager.post(&path, &look).await.expect(201);
}

/// The first work on a court.
fn first(day: &Value, court: i64) -> Instant {
    let on_court = orders(day).into_iter().filter(|o| o["court_id"] == court);
    let starts = on_court.map(|o| instant(&o["planned_start"]));
    starts.min().expect("work on the court")
}

/// Opening work of each court that is due on its own, so that somebody wants to be there early.
async fn due_before_play(yard: &Yard, manager: &Client) -> Value {
    manager
        .get(&yard.path(&format!("/days/{DAY}/due")))
        .await
        .expect(200)
}

on_both_engines! {
    // Common practice, no source: two hours of draining where nobody knows more; nobody works on a court meanwhile.
    async fn after_rain_each_court_waits_until_it_has_drained_by_its_own_record(house) {
        let yard = Yard::db_lay(house);
        let manager = house.manager().await;
        let [slow, usual, seen_dry, _] = yard.courts;
        // After earlier rain the first court was wet for six hours, three times.
        for days in [10, 20, 30] {
            let then = Instant::from(local(DAY, "04:30").utc() - TimeDelta::days(days));
            rain(&yard, &manager, then).await;
            look(&yard, &manager, slow, (then.utc() + TimeDelta::hours(1)).into(), true).await;
            look(&yard, &manager, slow, (then.utc() + TimeDelta::hours(6)).into(), false).await;
        }
        rain(&yard, &manager, local(DAY, "04:30")).await;
        look(&yard, &manager, seen_dry, local(DAY, "04:50"), false).await;

        let due = due_before_play(&yard, &manager).await;
        let opens = |court: i64| {
            let all = due["due"].as_array().unwrap().iter().filter(|one| one["court_id"] == court);
            all.map(|one| instant(&one["opens_at"])).min().expect("work is due")
        };
        // (3 * 2 h + 3 * 6 h) / 6 = 4 h after half past four.
        assert!(opens(slow) >= local(DAY, "08:30"), "{due}");
        assert!(opens(usual) >= local(DAY, "06:30"), "{due}");
        let day = yard.plan(&manager, DAY).await;
        assert!(first(&day, slow) >= local(DAY, "08:30"), "{day}");
        assert!(first(&day, usual) >= local(DAY, "06:30"), "{day}");
        assert!(opens(seen_dry) < local(DAY, "06:30") || first(&day, seen_dry) >= local(DAY, "05:30"), "{due}");

        let conditions = manager.get(&yard.path("/conditions")).await.expect(200);
        let fit = |court: i64| {
            let all = conditions["courts"].as_array().unwrap().iter();
            all.clone().find(|one| one["court_id"] == court).unwrap()["expected_fit_at"].clone()
        };
        assert_eq!(instant(&fit(slow)), local(DAY, "08:30"));
        assert_eq!(instant(&fit(usual)), local(DAY, "06:30"));
        assert!(fit(seen_dry).is_null(), "somebody saw that it has drained: {conditions}");
        let visitor = Visitor::signed_in(house, Role::Manager).await;
        let page = visitor.get(&format!("/sites/{}/days/{DAY}", yard.site)).await;
        let page = page.page(200);
        for line in ["Rain: Court 2, Court 4. Expected fit from 06:30", "Rain: Court 1. Expected fit from 08:30"] {
            assert!(page.contains(line), "{line}: {page}");
        }
    }

    // Common practice, no source: a forecast is told, and keeps nobody off a court.
    async fn rain_that_is_foretold_is_told_with_how_long_courts_are_likely_wet_and_shuts_no_court(house) {
        let yard = Yard::db_lay(house);
        let manager = house.manager().await;
        let dry = yard.plan(&manager, DAY).await;
        let hour = |time: &str, um: i64| json!({ "read_at": local(DAY, time), "kind": "forecast", "rain_um": um });
        tell(&yard, &manager, vec![hour("14:00", 3_000), hour("15:00", 1_000), hour("19:00", 500)]).await;
        let day = yard.day(&manager, DAY).await;
        let told = json!([{ "starts_at": local(DAY, "14:00"), "wet_until": local(DAY, "17:00"), "rain_um": 4_000 }]);
        assert_eq!(day["rain_foretold"], told, "drizzle is none");
        assert_eq!(orders(&yard.plan(&manager, DAY).await).len(), orders(&dry).len());
        let visitor = Visitor::signed_in(house, Role::Manager).await;
        let page = visitor.get(&format!("/sites/{}/days/{DAY}", yard.site)).await;
        let page = page.page(200);
        assert!(page.contains("Rain is foretold from 14:00 (4.0 mm): courts likely wet until about 17:00."), "{page}");
    }

    async fn a_court_shut_by_rain_for_the_whole_shift_is_told_with_the_hour(house) {
        let yard = Yard::db_lay(house);
        let manager = house.manager().await;
        let settings = yard.path("/settings");
        let tag = manager.get(&settings).await.header("etag").unwrap().to_owned();
        let slow = json!({ "drain_after_rain_s": 86_400 });
        manager.send(Method::PATCH, &settings, &[("if-match", &tag)], Some(&slow)).await.expect(200);
        rain(&yard, &manager, local(DAY, "04:30")).await;
        let due = due_before_play(&yard, &manager).await;
        let held = due["withheld"].as_array().unwrap().iter().filter(|one| one["reason"] == "draining");
        let until: Vec<_> = held.map(|one| instant(&one["until"])).collect();
        assert!(!until.is_empty(), "{due}");
        assert!(until.iter().all(|at| *at == local("2031-06-11", "04:30")), "{until:?}");
    }

    // Common practice, no source: no one on a frozen or thawing court until it has drained and is firm.
    async fn frost_in_the_ground_keeps_everybody_off_until_somebody_sees_it_gone(house) {
        let yard = Yard::db_lay(house);
        let manager = house.manager().await;
        tell(&yard, &manager, vec![json!({ "read_at": local(DAY, "04:00"), "kind": "observed", "frost": true })]).await;
        let court = yard.courts[0];
        let path = yard.path(&format!("/courts/{court}/inspections"));
        manager.post(&path, &json!({ "seen_at": local(DAY, "04:50"), "frozen": false, "standing_water": false })).await.expect(201);
        let day = yard.plan(&manager, DAY).await;
        let groomed = |court: i64| orders(&day).into_iter().any(|o| {
            o["court_id"] == court && o["kind"].as_str().unwrap().ends_with("turnaround")
        });
        assert!(groomed(court), "{day}");
        assert!(!groomed(yard.courts[1]), "{day}");
    }
}
