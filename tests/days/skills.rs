//! Skills: work that takes one is planned for a crew in which somebody has it in date that day.

use reqwest::Method;
use serde_json::{Value, json};

use super::yard::{DAY, Yard, orders};
use crate::support::{Answer, Client, on_both_engines};

const NEXT: &str = "2031-06-11";

/// The first of the early crew.
async fn somebody(yard: &Yard, manager: &Client) -> i64 {
    let all = manager.get(&yard.path("/people?limit=200")).await.items();
    let one = all
        .iter()
        .find(|person| person["name"] == "Crew 0 person 0");
    one.expect("somebody")["id"].as_i64().expect("an id")
}

async fn set(yard: &Yard, manager: &Client, person: i64, skills: Value) -> Answer {
    let path = yard.path(&format!("/people/{person}/skills"));
    let tag = manager.get(&path).await;
    let tag = tag.header("etag").expect("a version").to_owned();
    let told = json!({ "skills": skills });
    let with = [("if-match", tag.as_str())];
    manager.send(Method::PUT, &path, &with, Some(&told)).await
}

/// Rolling is due every day, and takes somebody who may drive the roller.
async fn take_rolling(yard: &Yard, manager: &Client) {
    let path = yard.path("/care-standard");
    let mut standard = manager.get(&path).await.expect(200);
    let tasks = standard["tasks"].as_array_mut().expect("tasks");
    tasks.retain(|task| ["roll", "clear_lines"].contains(&task["code"].as_str().expect("a code")));
    let roll = tasks.iter_mut().find(|task| task["code"] == "roll");
    let roll = roll.expect("the task");
    roll["rule"] = json!("daily");
    roll["comes_after"] = json!([]);
    roll["heavy"] = json!(false);
    roll["urgency"] = json!("today");
    assert_eq!(roll["skill"], "roller");
    manager.post(&path, &standard).await.expect(200);
}

fn rolled(day: &Value) -> usize {
    let mut steps = Vec::new();
    for order in orders(day) {
        steps.extend(order["steps"].as_array().expect("steps"));
    }
    steps.iter().filter(|step| step["code"] == "roll").count()
}

/// Why rolling is not planned, court by court.
fn why(day: &Value) -> Vec<&str> {
    let unfitted = day["unfitted"].as_array().expect("unfitted").iter();
    let rolling = unfitted.filter(|one| one["title"] == "Roll");
    rolling
        .map(|one| one["reason"].as_str().expect("a word"))
        .collect()
}

on_both_engines! {
    async fn whose_skill_ended_yesterday_is_not_given_the_work_and_gets_it_again_once_it_is_renewed(house) {
        let yard = Yard::db_lay(house);
        let manager = house.manager().await;
        take_rolling(&yard, &manager).await;
        let driver = somebody(&yard, &manager).await;
        set(&yard, &manager, driver, json!([{ "skill": "roller", "until": "2031-06-09" }])).await.expect(200);
        let day = yard.plan(&manager, DAY).await;
        assert_eq!(rolled(&day), 0);
        assert_eq!(why(&day), ["no_crew_has_the_skill"; 3], "three courts are rolled at all");

        set(&yard, &manager, driver, json!([{ "skill": "roller", "until": DAY }])).await.expect(200);
        let day = yard.plan(&manager, DAY).await;
        assert_eq!((rolled(&day), why(&day)), (3, Vec::new()), "it is in date on its last day too");
    }

    async fn the_look_ahead_counts_a_skill_only_on_the_days_on_which_it_is_in_date(house) {
        let yard = Yard::db_lay(house);
        yard.db_shift(house, 0, NEXT, ("05:30", "14:00"), 3);
        let manager = house.manager().await;
        take_rolling(&yard, &manager).await;
        let driver = somebody(&yard, &manager).await;
        set(&yard, &manager, driver, json!([{ "skill": "roller", "until": DAY }, { "skill": "rake", "until": null }])).await.expect(200);
        let path = yard.path(&format!("/look-ahead?from={DAY}&days=2"));
        let seen = manager.get(&path).await.expect(200);
        let cover = |day: usize| {
            let mut skills = seen["days"][day]["skills"].as_array().expect("skills").iter();
            skills.find(|one| one["skill"] == "roller").map_or(0, |one| one["cover_s"].as_i64().expect("seconds"))
        };
        assert!(cover(0) > 0 && cover(1) == 0, "{seen}");
    }

    async fn skills_are_set_whole_with_their_dates_or_not_at_all(house) {
        let yard = Yard::db_lay(house);
        let manager = house.manager().await;
        let person = somebody(&yard, &manager).await;
        let path = yard.path(&format!("/people/{person}/skills"));
        let two = json!([{ "skill": "chemicals", "until": "2031-12-31" }, { "skill": "rake", "until": null }]);
        let view = set(&yard, &manager, person, two.clone()).await.expect(200);
        assert_eq!(view["skills"], two);
        assert_eq!(manager.get(&path).await.expect(200), view);
        let shown = manager.get(&yard.path(&format!("/people/{person}"))).await.expect(200);
        assert_eq!((&shown["skills"], &shown["version"]), (&json!(["chemicals", "rake"]), &view["version"]));

        for (skills, field) in [
            (json!([{ "skill": " ", "until": null }]), "/skills/0/skill"),
            (json!([{ "skill": "rake" }, { "skill": "rake " }]), "/skills/1/skill"),
            (json!([{ "skill": "rake", "until": "1066-10-14" }]), "/skills/0/until"),
        ] {
            let refused = set(&yard, &manager, person, skills).await;
            refused.expect_problem(422);
            assert_eq!(refused.fault(), field);
        }
        let none = json!({ "skills": [] });
        manager.send(Method::PUT, &path, &[], Some(&none)).await.expect_problem(428);
        let stale = manager.send(Method::PUT, &path, &[("if-match", "\"999\"")], Some(&none)).await;
        stale.expect_problem(412);
        assert_eq!(manager.get(&path).await.expect(200), view, "nothing of it is taken");
    }
}
