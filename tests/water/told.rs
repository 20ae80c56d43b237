//! A run is planned, not done, until somebody says so; its water is booked once.

use chrono::TimeDelta;
use roundhand::desk::water::book_due;
use serde_json::{Value, json};

use super::{runs, water};
use crate::days::yard::{DAY, THREE, Yard, instant, local};
use crate::support::{Client, House, on_both_engines};

/// The day before: its night is over at five in the morning, where the house stands.
const BEFORE: &str = "2031-06-09";
/// A night cycle of the yard: 15 minutes of 3 l/s, and what it costs at $1.30 a cubic metre.
const RUN_ML: i64 = 2_700_000;

async fn night(house: &House, yard: &Yard, manager: &Client) -> Vec<Value> {
    yard.db_day(house, BEFORE, THREE);
    yard.plan(manager, BEFORE).await;
    manager
        .post(&yard.path(&format!("/days/{BEFORE}/issue")), &json!({}))
        .await
        .expect(200);
    let water = water(yard, manager, BEFORE).await;
    runs(&water, "night_cycle").into_iter().cloned().collect()
}

async fn tell(yard: &Yard, client: &Client, run: &Value, body: &Value) -> Value {
    let path = yard.path(&format!("/waterings/{}/told", run["id"]));
    client.post(&path, body).await.expect(200)
}

async fn used(yard: &Yard, manager: &Client) -> (i64, i64) {
    let path = yard.path(&format!("/water-used?from={BEFORE}&to={BEFORE}"));
    let used = manager.get(&path).await.expect(200);
    (
        used["used_ml"].as_i64().unwrap(),
        used["cents"].as_i64().unwrap(),
    )
}

/// What so much water costs at $1.30 a cubic metre, rounded once: half a cent to the even one.
fn cents(ml: i64) -> i64 {
    let (whole, rest) = (ml * 130 / 1_000_000, ml * 130 % 1_000_000);
    whole + i64::from(rest > 500_000 || (rest == 500_000 && whole % 2 == 1))
}

on_both_engines! {
    async fn a_nights_water_is_booked_once_when_its_time_has_passed_and_a_meter_books_the_difference(house) {
        let yard = Yard::db_lay(house);
        let manager = house.manager().await;
        let night = night(house, &yard, &manager).await;
        assert_eq!(night.len(), 4);
        assert_eq!(used(&yard, &manager).await, (0, 0), "planned is not done");
        for _ in 0..2 {
            book_due(&house.office).unwrap();
            assert_eq!(used(&yard, &manager).await, (4 * RUN_ML, cents(4 * RUN_ML)));
        }
        let said = tell(&yard, &manager, &night[0], &json!({ "ran": true, "real_ml": 2_000_001, "told_by": "meter" })).await;
        assert_eq!((&said["run"]["state"], &said["run"]["real_ml"]), (&json!("run"), &json!(2_000_001)));
        assert!(said["cents"].as_i64().unwrap() < 0, "{said}");
        book_due(&house.office).unwrap();
        let ml = 3 * RUN_ML + 2_000_001;
        assert_eq!(used(&yard, &manager).await, (ml, cents(ml)));
    }

    async fn what_is_told_first_books_what_was_told_and_the_same_event_twice_books_it_once(house) {
        let yard = Yard::db_lay(house);
        let manager = house.manager().await;
        let night = night(house, &yard, &manager).await;
        let path = yard.path(&format!("/waterings/{}/told", night[0]["id"]));
        let body = json!({ "ran": true, "real_ml": 1_000_000, "told_by": "controller" });
        let key = uuid::Uuid::new_v4().to_string();
        let once = manager.post_with_key(&path, &body, &key).await.expect(200);
        assert_eq!(manager.post_with_key(&path, &body, &key).await.expect(200), once);
        assert_eq!(used(&yard, &manager).await, (1_000_000, 130));
        book_due(&house.office).unwrap();
        let ml = 1_000_000 + 3 * RUN_ML;
        assert_eq!(used(&yard, &manager).await, (ml, cents(ml)));
    }

    async fn a_run_that_did_not_come_is_laid_again_before_play_and_costs_nothing(house) {
        let yard = Yard::db_lay(house);
        let manager = house.manager().await;
        let night = night(house, &yard, &manager).await;
        let last = night.iter().rfind(|run| run["valve"] == "Court 1").unwrap();
        let did_not = json!({ "ran": false, "told_by": "opening_walk" });
        let said = tell(&yard, &manager, last, &did_not).await;
        assert_eq!((&said["run"]["state"], &said["cents"]), (&json!("did_not_run"), &json!(0)));
        let again = &said["again"];
        assert_eq!((&again["again_of_id"], &again["state"]), (&last["id"], &json!("planned")), "{said}");
        let (from, until) = (instant(&again["starts_at"]), instant(&again["ends_at"]));
        // It is five in the morning; the players come at eight, and the court drains for an hour.
        assert!(from >= local(DAY, "05:00") && until <= local(DAY, "07:00"), "{again}");
        assert_eq!(until.utc() - from.utc(), TimeDelta::minutes(15));
        assert_eq!(tell(&yard, &manager, last, &did_not).await["again"], Value::Null, "not laid a third time");
        assert_eq!(used(&yard, &manager).await, (0, 0));
    }

    async fn a_court_that_could_not_drain_before_play_is_not_watered_again(house) {
        let yard = Yard::db_lay(house);
        let manager = house.manager().await;
        yard.db_play(house, yard.courts[0], DAY, &[("Early", "06:10", "07:30", false)]);
        let night = night(house, &yard, &manager).await;
        let last = night.iter().rfind(|run| run["valve"] == "Court 1").unwrap();
        let said = tell(&yard, &manager, last, &json!({ "ran": false, "told_by": "opening_walk" })).await;
        assert_eq!(said["again"], Value::Null, "05:05 and 15 minutes and an hour are past 06:10: {said}");
    }

    async fn nothing_is_told_of_a_run_that_has_not_begun_or_of_water_that_cannot_be(house) {
        let yard = Yard::db_lay(house);
        let manager = house.manager().await;
        yard.plan(&manager, DAY).await;
        let water = water(&yard, &manager, DAY).await;
        let path = yard.path(&format!("/waterings/{}/told", runs(&water, "night_cycle")[0]["id"]));
        manager.post(&path, &json!({ "ran": true, "told_by": "meter" })).await.expect_problem(409);
        for body in [
            json!({ "ran": false, "real_ml": 1, "told_by": "meter" }),
            json!({ "ran": true, "real_ml": -1, "told_by": "meter" }),
        ] {
            let refused = manager.post(&path, &body).await;
            refused.expect_problem(422);
            assert_eq!(refused.fault(), "/real_ml");
        }
    }
}
