//! What the next days ask for, against who is on shift.

use serde_json::Value;

use super::yard::{DAY, THREE, Yard};
use crate::support::{Client, on_both_engines};

const NEXT: &str = "2031-06-11";

async fn ahead(yard: &Yard, client: &Client, from: &str, days: u64) -> Vec<Value> {
    let path = yard.path(&format!("/look-ahead?from={from}&days={days}"));
    let seen = client.get(&path).await.expect(200);
    seen["days"].as_array().expect("dates").clone()
}

fn part<'a>(day: &'a Value, part: &str) -> &'a Value {
    let parts = day["parts"].as_array().expect("parts");
    parts.iter().find(|one| one["part"] == part).expect("known")
}

fn seconds(value: &Value) -> i64 {
    value.as_i64().expect("whole seconds")
}

on_both_engines! {
    async fn thursday_s_overload_shows_on_tuesday(house) {
        let yard = Yard::db_lay(house);
        // On Wednesday everybody plays as on Tuesday, and only one of the late crew comes.
        for court in yard.courts {
            yard.db_play(house, court, NEXT, THREE);
        }
        yard.db_shift(house, 1, NEXT, ("12:00", "13:30"), 1);
        let days = ahead(&yard, &house.manager().await, DAY, 3).await;
        let [today, tomorrow, after] = &days[..] else { panic!("{days:?}") };
        assert!(today["tight"].is_null(), "{today}");
        let tight = &tomorrow["tight"];
        assert!(seconds(&tight["work_s"]) > seconds(&tight["cover_s"]), "{tomorrow}");
        assert_eq!(seconds(&tomorrow["cover_s"]), 3_600, "an hour and a half less the break");
        assert_eq!((&after["rostered"], seconds(&after["cover_s"])), (&Value::Bool(false), 0));
    }

    async fn the_parts_of_a_day_sum_to_its_work_and_to_its_hours(house) {
        let yard = Yard::db_lay(house);
        let day = ahead(&yard, &house.manager().await, DAY, 1).await.remove(0);
        let parts = day["parts"].as_array().unwrap();
        let sum = |key: &str| parts.iter().filter_map(|part| part[key].as_i64()).sum::<i64>();
        assert_eq!(sum("work_s"), seconds(&day["work_s"]));
        assert_eq!(sum("cover_s"), seconds(&day["cover_s"]));
        let of_tasks: i64 = day["tasks"].as_array().unwrap().iter().map(|task| seconds(&task["work_s"])).sum();
        assert_eq!(of_tasks, seconds(&day["work_s"]));
        // Play ends at 20:30; the turnarounds after it can be made only then.
        assert!(seconds(&part(&day, "after_play")["work_s"]) >= 4 * 1_000, "{day}");
        // Three people from 05:30 and two from 12:00; the first play is at 08:00.
        let before = seconds(&part(&day, "before_play")["cover_s"]);
        assert_eq!(before, 3 * 9_000 * 16 / 17, "the break is taken out in proportion");
    }

    async fn looking_two_weeks_ahead_asks_no_more_than_looking_at_one_day(house) {
        let yard = Yard::db_lay(house);
        let manager = house.manager().await;
        let mut counts = Vec::new();
        for days in [1, 14] {
            let before = house.queries();
            ahead(&yard, &manager, DAY, days).await;
            counts.push(house.queries() - before);
        }
        assert_eq!(counts[0], counts[1]);
    }

    async fn a_look_of_no_days_or_of_a_year_is_refused(house) {
        let yard = Yard::db_lay_empty(house);
        let manager = house.manager().await;
        for days in [0, 29, 365] {
            let path = yard.path(&format!("/look-ahead?from={DAY}&days={days}"));
            assert_eq!(manager.get(&path).await.expect(422)["faults"][0]["field"], "days");
        }
    }
}
