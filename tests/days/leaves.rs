//! Leaves: off before any brush or roller comes. Common practice, no source.

use diesel::prelude::*;
use reqwest::Method;
use roundhand::store::schema::{tool_classes, tools};
use serde_json::{Value, json};

use super::care::{TURNAROUND, take};
use super::yard::{DAY, THREE, Yard, db, orders};
use crate::support::{Client, House, on_both_engines};

/// A Tuesday in October.
const OCTOBER: &str = "2031-10-14";

/// The turnaround's steps, taking leaves off as the site's standard has it, and rolling every day.
async fn take_all(yard: &Yard, manager: &Client) {
    let mut codes = TURNAROUND.to_vec();
    codes.extend(["leaves_off", "roll"]);
    take(yard, manager, &codes, |task| {
        if task["code"] == "roll" {
            task["rule"] = json!("daily");
            task["urgency"] = json!("today");
            task["skill"] = Value::Null;
        }
    })
    .await;
}

fn steps(order: &Value) -> Vec<&str> {
    let steps = order["steps"].as_array().expect("steps").iter();
    steps
        .map(|step| step["code"].as_str().expect("a code"))
        .collect()
}

fn of_court(day: &Value, court: i64) -> Vec<Vec<&str>> {
    let all = orders(day).into_iter();
    all.filter(|order| order["court_id"] == court)
        .map(steps)
        .collect()
}

/// A blower in the shed.
fn db_blower(house: &House, yard: &Yard) {
    db(house, |conn| {
        let class: i64 = diesel::insert_into(tool_classes::table)
            .values((
                tool_classes::site_id.eq(yard.site),
                tool_classes::code.eq("blower"),
                tool_classes::name.eq("Blower"),
                tool_classes::action.eq("clears_leaves"),
                tool_classes::wear_cents.eq(9_000),
                tool_classes::wear_uses.eq(400),
            ))
            .returning(tool_classes::id)
            .get_result(conn)?;
        diesel::insert_into(tools::table)
            .values((
                tools::site_id.eq(yard.site),
                tools::tool_class_id.eq(class),
                tools::number.eq("blower 1"),
                tools::state.eq("in_service"),
                tools::in_service_from
                    .eq("2031-01-01".parse::<chrono::NaiveDate>().expect("a date")),
                tools::version.eq(1),
            ))
            .execute(conn)?;
        Ok(())
    });
}

/// How long taking leaves off is to take, of every order that begins with it, s: by the standard for the crew.
fn leaves_s(day: &Value) -> Vec<i64> {
    let mut all = Vec::new();
    for order in orders(day) {
        let step = &order["steps"][0];
        if step["code"] == "leaves_off" {
            all.push(step["planned_s"].as_i64().expect("seconds"));
        }
    }
    all
}

on_both_engines! {
    async fn in_october_whatever_brushes_or_rolls_begins_with_leaves_off_and_in_june_nothing_does(house) {
        let yard = Yard::db_lay_empty(house);
        let manager = house.manager().await;
        take_all(&yard, &manager).await;
        for date in [DAY, OCTOBER] {
            yard.db_day(house, date, THREE);
        }
        let day = yard.plan(&manager, OCTOBER).await;
        let (mut groomed, mut rolled) = (0, 0);
        for order in orders(&day) {
            let steps = steps(order);
            let brushes = steps.contains(&"groom");
            let rolls = steps.contains(&"roll");
            assert_eq!(steps[0] == "leaves_off", brushes || rolls, "{steps:?}");
            assert!(steps.iter().filter(|code| **code == "leaves_off").count() <= 1, "{steps:?}");
            groomed += usize::from(brushes);
            rolled += usize::from(rolls);
        }
        assert!(groomed >= 4 && rolled >= 1, "{day}");

        let june = yard.plan(&manager, DAY).await;
        assert!(orders(&june).into_iter().all(|order| !steps(order).contains(&"leaves_off")), "{june}");
    }

    async fn leaves_that_the_walk_sees_in_june_come_off_that_day(house) {
        let yard = Yard::db_lay(house);
        let manager = house.manager().await;
        take_all(&yard, &manager).await;
        let path = yard.path(&format!("/courts/{}/inspections", yard.courts[2]));
        let seen = manager.post(&path, &json!({ "leaves": true })).await.expect(201);
        assert_eq!(seen["leaves"], true);
        let day = yard.plan(&manager, DAY).await;
        let swept = of_court(&day, yard.courts[2]);
        let groomed = swept.iter().filter(|steps| steps.contains(&"groom"));
        assert!(groomed.clone().count() > 0 && groomed.clone().all(|steps| steps[0] == "leaves_off"), "{swept:?}");
        for court in [0, 1, 3] {
            assert!(of_court(&day, yard.courts[court]).iter().all(|steps| !steps.contains(&"leaves_off")));
        }
    }

    async fn a_court_without_play_has_its_leaves_taken_off_once_by_what_rolls_it_or_by_itself(house) {
        let yard = Yard::db_lay_empty(house);
        let manager = house.manager().await;
        take_all(&yard, &manager).await;
        yard.db_shift(house, 0, OCTOBER, ("05:30", "14:00"), 3);
        let day = yard.plan(&manager, OCTOBER).await;
        for (nth, court) in yard.courts.into_iter().enumerate() {
            let visits = of_court(&day, court);
            let all: Vec<&str> = visits.concat();
            assert_eq!(all.iter().filter(|code| **code == "leaves_off").count(), 1, "{visits:?}");
            // The third court is watered from below, and not rolled.
            assert_eq!(all.contains(&"roll"), nth != 2, "{visits:?}");
        }
    }

    async fn the_site_says_when_leaves_fall_or_that_none_do(house) {
        let yard = Yard::db_lay(house);
        let manager = house.manager().await;
        let mut codes = TURNAROUND.to_vec();
        codes.push("leaves_off");
        take(&yard, &manager, &codes, |_| {}).await;
        let path = yard.path("/settings");
        for (until, begins) in [("06-30", true), ("", false)] {
            let tag = manager.get(&path).await;
            let tag = tag.header("etag").expect("a version").to_owned();
            let season = json!({ "leaf_season_from": "06-01", "leaf_season_until": until });
            manager.send(Method::PATCH, &path, &[("if-match", &tag)], Some(&season)).await.expect(200);
            let day = yard.plan(&manager, DAY).await;
            assert_eq!(!leaves_s(&day).is_empty(), begins, "{until}");
        }
    }

    async fn with_a_blower_it_takes_half_as_long_and_a_second_crew_does_it_by_hand(house) {
        let yard = Yard::db_lay_empty(house);
        let manager = house.manager().await;
        take_all(&yard, &manager).await;
        yard.db_day(house, OCTOBER, THREE);
        // Three people need 45 % of one person's time, two 58 %: by hand of 1,200 s, with the blower of 600 s.
        let by_hand = yard.plan(&manager, OCTOBER).await;
        assert!(leaves_s(&by_hand).iter().all(|s| [540, 696].contains(s)), "{by_hand}");
        db_blower(house, &yard);
        let day = yard.plan(&manager, OCTOBER).await;
        let all = leaves_s(&day);
        assert!(all.iter().any(|s| [270, 348].contains(s)), "{all:?}");
        assert!(!all.is_empty() && all.iter().all(|s| [270, 348, 540, 696].contains(s)), "{all:?}");
    }
}
