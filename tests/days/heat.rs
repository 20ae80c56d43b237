//! A hot day: rests come into the rounds, and who is not used to the heat begins on less.

use chrono::TimeDelta;
use reqwest::Method;
use roundhand::store::Role;
use serde_json::{Value, json};

use super::yard::{DAY, THREE, Yard, instant, local, orders};
use crate::pages::visitor::Visitor;
use crate::support::{Client, on_both_engines};

/// 34 °C (93.2 °F) at 60 % from noon to six, cool before and after.
async fn hot_afternoon(yard: &Yard, manager: &Client, date: &str) {
    let reading = |time: &str, mc: i64| json!({ "read_at": local(date, time), "kind": "forecast", "temp_mc": mc, "humidity_permille": 600 });
    let hot = ["12:00", "13:00", "14:00", "15:00", "16:00", "17:00"];
    let mut readings = vec![reading("06:00", 20_000)];
    readings.extend(hot.map(|time| reading(time, 34_000)));
    readings.push(reading("18:00", 24_000));
    let body = json!({ "readings": readings });
    manager
        .post(&yard.path("/weather"), &body)
        .await
        .expect(201);
}

/// How long a crew works between noon and six, s.
fn worked_while_hot(day: &Value, date: &str, crew: i64) -> i64 {
    let hot = (local(date, "12:00").utc(), local(date, "18:00").utc());
    let mine = orders(day)
        .into_iter()
        .filter(|order| order["crew_id"] == crew);
    mine.map(|order| {
        let from = instant(&order["planned_start"]).utc().max(hot.0);
        let until = instant(&order["planned_end"]).utc().min(hot.1);
        (until - from).num_seconds().max(0)
    })
    .sum()
}

/// Who of a crew begins on shorter work, as its round says.
fn begins(day: &Value, crew: i64) -> &Value {
    let mut rounds = day["rounds"].as_array().expect("rounds").iter();
    let round = rounds.find(|round| round["crew_id"] == crew);
    &round.expect("the crew's round")["begins"]
}

async fn person(yard: &Yard, manager: &Client, name: &str) -> Value {
    let all = manager.get(&yard.path("/people?limit=200")).await.items();
    let one = all.iter().find(|person| person["name"] == name);
    one.expect("somebody").clone()
}

on_both_engines! {
    // Source: 89 FR 70698, a proposed US rule: at a heat index of 90 °F and above, 15 minutes of rest at least every two
    // hours. 34 °C (93.2 °F) at 60 % is an index of about 110 °F.
    async fn from_noon_to_six_at_110_degrees_nobody_works_over_two_hours_without_a_rest(house) {
        let yard = Yard::db_lay(house);
        let manager = house.manager().await;
        hot_afternoon(&yard, &manager, DAY).await;

        let day = yard.plan(&manager, DAY).await;
        // The late crew comes at noon: two rests and its own break lie between noon and six, so that it is free of work for
        // a quarter of an hour at least every two hours.
        let late: Vec<_> = orders(&day)
            .into_iter()
            .filter(|order| order["crew_id"] == yard.crews[1])
            .map(|order| (instant(&order["planned_start"]).utc(), instant(&order["planned_end"]).utc()))
            .filter(|(from, _)| *from < local(DAY, "18:00").utc())
            .collect();
        let mut since = local(DAY, "12:00").utc();
        for window in late.windows(2) {
            if window[1].0 - window[0].1 >= TimeDelta::minutes(15) {
                since = window[1].0;
            }
            assert!(window[1].1 - since <= TimeDelta::hours(2), "{late:?}");
        }
    }

    // A fifth on the first day: advice of the US National Institute for Occupational Safety and Health, from memory; not
    // law. Six hot hours are 21,600 s.
    async fn who_is_new_works_a_fifth_of_the_hot_hours_and_the_crew_with_them(house) {
        let yard = Yard::db_lay(house);
        let manager = house.manager().await;
        hot_afternoon(&yard, &manager, DAY).await;
        let [early, late] = yard.crews;
        let before = yard.plan(&manager, DAY).await;
        assert!(worked_while_hot(&before, DAY, late) > 21_600 / 5, "the day asks for more");
        assert_eq!(begins(&before, late), &json!([]));

        let one = person(&yard, &manager, "Crew 1 person 0").await;
        let path = yard.path(&format!("/people/{}", one["id"]));
        let tag = format!("\"{}\"", one["version"]);
        let came = json!({ "came_on": DAY });
        manager.send(Method::PATCH, &path, &[("if-match", &tag)], Some(&came)).await.expect(200);
        manager.send(Method::PATCH, &path, &[("if-match", &tag)], Some(&came)).await.expect_problem(412);
        let day = yard.plan(&manager, DAY).await;
        assert!(worked_while_hot(&day, DAY, late) <= 21_600 / 5, "{day}");
        assert_eq!(begins(&day, late), &json!([{
            "person_id": one["id"], "name": "Crew 1 person 0", "is_new": true, "day": 1, "share_pct": 20,
        }]));
        assert_eq!(begins(&day, early), &json!([]));
        let visitor = Visitor::signed_in(house, Role::CrewLead).await;
        let page = visitor.get(&format!("/sites/{}/days/{DAY}", yard.site)).await;
        let page = page.page(200);
        for part in ["Crew 1 person 0 is new: day 1.", "20 % of the hot hours today.", "not law", "anyone may stop"] {
            assert!(page.contains(part), "{part}: {page}");
        }
    }

    async fn who_was_a_week_on_no_shift_begins_with_half_and_six_days_are_no_week(house) {
        let yard = Yard::db_lay(house);
        let manager = house.manager().await;
        let (date, before) = ("2031-06-18", "2031-06-17");
        yard.db_day(house, date, THREE);
        hot_afternoon(&yard, &manager, date).await;
        let [_, late] = yard.crews;
        let day = yard.plan(&manager, date).await;
        let all = begins(&day, late).as_array().expect("people");
        assert_eq!(all.len(), 2, "nobody of the late crew was there since the tenth: {all:?}");
        assert!(all.iter().all(|one| one["is_new"] == false && one["day"] == 1 && one["share_pct"] == 50), "{all:?}");
        assert!(worked_while_hot(&day, date, late) <= 21_600 / 2, "{day}");

        yard.db_day(house, before, THREE);
        hot_afternoon(&yard, &manager, before).await;
        for date in [before, date] {
            let day = yard.plan(&manager, date).await;
            assert_eq!(begins(&day, late), &json!([]), "from the tenth to the seventeenth they were six days away");
        }
    }

    async fn on_a_cool_day_nobody_begins_on_shorter_work(house) {
        let yard = Yard::db_lay(house);
        let manager = house.manager().await;
        let date = "2031-06-18";
        yard.db_day(house, date, THREE);
        let day = yard.plan(&manager, date).await;
        assert_eq!(begins(&day, yard.crews[1]), &json!([]));
    }
}
