//! When a net is to be gauged and looked at: it becomes work of the day.

use reqwest::Method;
use roundhand::store::Role;
use serde_json::{Value, json};

use super::{by_gauge, db_part};
use crate::days::care::{id_of, take};
use crate::days::yard::{DAY, Yard, orders};
use crate::pages::visitor::Visitor;
use crate::support::{Client, Ground, on_both_engines};

const TOMORROW: &str = "2031-06-11";
const NAME: &str = "Net and strap by gauge";

/// That a court's net was gauged and was right.
async fn gauged(yard: &Yard, client: &Client, court: usize, at: &str) {
    let told = by_gauge(yard.courts[court], 914_000, at);
    client
        .post(&yard.path("/tool-checks"), &told)
        .await
        .expect(201);
}

/// The courts on which work of this name is due on a date.
async fn due(yard: &Yard, client: &Client, date: &str, name: &str) -> Vec<i64> {
    let due = client
        .get(&yard.path(&format!("/days/{date}/due")))
        .await
        .expect(200);
    let due = due["due"].as_array().expect("due work").iter();
    due.filter(|work| work["title"] == name)
        .map(|work| work["court_id"].as_i64().expect("a court"))
        .collect()
}

/// How the net of a court stands.
async fn net(yard: &Yard, client: &Client, court: usize) -> Value {
    let nets = client.get(&yard.path("/nets")).await.expect(200)["nets"].clone();
    let mut nets = nets.as_array().expect("nets").iter();
    let one = nets.find(|net| net["court_id"] == yard.courts[court]);
    one.expect("the court's net").clone()
}

on_both_engines! {
    async fn a_net_that_was_not_gauged_for_a_week_becomes_a_task_of_the_next_day_and_one_gauged_today_does_not(house) {
        let yard = Yard::db_lay(house);
        let manager = house.manager().await;
        take(&yard, &manager, &["look_over", "net_and_strap"], |_| {}).await;
        for court in 0..4 {
            gauged(&yard, &manager, court, "2031-06-04T12:00:00Z").await;
        }
        assert_eq!(due(&yard, &manager, DAY, NAME).await, [0; 0]);
        gauged(&yard, &manager, 1, "2031-06-10T08:45:00Z").await;
        let mut courts = due(&yard, &manager, TOMORROW, NAME).await;
        courts.sort_unstable();
        assert_eq!(courts, [yard.courts[0], yard.courts[2], yard.courts[3]]);
        yard.db_day(house, TOMORROW, &[]);
        let day = yard.plan(&manager, TOMORROW).await;
        let care = orders(&day).into_iter().filter(|order| order["kind"] == "care");
        let mut planned: Vec<i64> = care.map(|order| order["court_id"].as_i64().unwrap()).collect();
        planned.sort_unstable();
        assert_eq!(planned, courts);
    }

    async fn the_site_s_own_number_of_days_makes_a_net_due_before_the_care_standard_does(house) {
        let yard = Yard::db_lay(house);
        let manager = house.manager().await;
        take(&yard, &manager, &["look_over", "net_and_strap"], |_| {}).await;
        for court in 0..4 {
            gauged(&yard, &manager, court, "2031-06-07T12:00:00Z").await;
        }
        assert_eq!(net(&yard, &manager, 0).await["gauge"]["due_on"], "2031-06-14");
        let path = yard.path("/settings");
        let tag = manager.get(&path).await.header("etag").unwrap().to_owned();
        let fewer = json!({ "net_gauge_days": 2 });
        manager.send(Method::PATCH, &path, &[("if-match", &tag)], Some(&fewer)).await.expect(200);
        assert_eq!(due(&yard, &manager, DAY, NAME).await.len(), 4);
        let gauge = net(&yard, &manager, 0).await["gauge"].clone();
        assert_eq!((&gauge["due_on"], &gauge["is_overdue"]), (&json!("2031-06-09"), &json!(true)));
    }

    async fn a_look_at_every_part_of_a_net_is_the_month_s_look_and_one_at_some_is_not(house) {
        let yard = Yard::db_lay(house);
        let manager = house.manager().await;
        take(&yard, &manager, &["look_over", "strap_and_cable"], |_| {}).await;
        let task = id_of(&yard, &manager, "strap_and_cable").await;
        let told: Vec<Value> = yard.courts.iter()
            .map(|court| json!({ "care_task_id": task, "court_id": court, "done_on": "2031-05-01" })).collect();
        manager.post(&yard.path("/care-told"), &json!({ "told": told })).await.expect(200);
        assert_eq!(due(&yard, &manager, TOMORROW, "Strap and cable").await.len(), 4);
        let look = async |court: usize, parts: &[i64]| {
            let by_eye: Vec<Value> = parts.iter().map(|part| json!({ "wear_part_id": part, "verdict": "worn" })).collect();
            let told = json!({ "court_id": yard.courts[court], "happened_at": "2031-06-10T08:45:00Z", "by_eye": by_eye });
            manager.post(&yard.path("/tool-checks"), &told).await.expect(201);
        };
        for court in 0..2 {
            let parts = ["centre_strap", "cable"].map(|kind| db_part(house, yard.site, yard.courts[court], kind));
            // On the second court at the strap alone.
            look(court, &parts[..2 - court]).await;
        }
        let mut courts = due(&yard, &manager, TOMORROW, "Strap and cable").await;
        courts.sort_unstable();
        assert_eq!(courts, yard.courts[1..]);
        let seen = net(&yard, &manager, 0).await;
        assert_eq!((&seen["look"]["done_on"], &seen["look"]["is_overdue"]), (&json!(DAY), &json!(false)));
        assert_eq!((&seen["parts"][0]["kind"], &seen["parts"][0]["verdict"]), (&json!("centre_strap"), &json!("worn")));
        assert_eq!(net(&yard, &manager, 1).await["look"]["is_overdue"], true);
    }

    async fn the_page_of_nets_says_what_came_out_and_what_is_overdue_with_its_cautions(house) {
        let ground = Ground::db_lay(house);
        db_part(house, house.set_up.site_id, ground.courts[0], "centre_strap");
        let lead = house.as_role(Role::CrewLead).await;
        lead.post(&house.path("/tool-checks"), &by_gauge(ground.courts[0], 900_000, "2031-05-20T12:00:00Z")).await.expect(201);
        let visitor = Visitor::signed_in(house, Role::Manager).await;
        let here = format!("/sites/{}/nets", house.set_up.site_id);
        assert!(visitor.get(&format!("/sites/{}/wear", house.set_up.site_id)).await.page(200).contains(&here));
        let page = visitor.get(&here).await;
        let page = page.page(200);
        let own = page.split("<li class=\"wear-part").find(|card| card.contains("Test court 901")).expect("its net");
        for words in ["Gauged Tue, May 20", "Too low: tighten the cable", "overdue", "nobody looked yet"] {
            assert!(own.contains(words), "{words}: {own}");
        }
        assert!(page.contains("Release the tension before any work"), "{page}");
        Visitor::signed_in(house, Role::Finance).await.get(&here).await.page(403);
    }
}
