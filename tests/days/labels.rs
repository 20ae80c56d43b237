//! What the label of a chemical says: on the order, and in what weather it is put on. All labels here are invented.

use diesel::prelude::*;
use reqwest::Method;
use roundhand::store::Role;
use roundhand::store::schema::materials;
use serde_json::{Value, json};

use super::yard::{DAY, Yard, db, instant, local, orders};
use crate::pages::visitor::Visitor;
use crate::support::{Answer, Client, House, on_both_engines};

/// The moisture salt of the yard's stores.
fn db_salt(house: &House, yard: &Yard) -> i64 {
    db(house, |conn| {
        Ok(diesel::insert_into(materials::table)
            .values((
                materials::site_id.eq(yard.site),
                materials::code.eq("calcium_chloride"),
                materials::name.eq("Moisture salt"),
                materials::unit.eq("gram"),
                materials::pack_name.eq("bag"),
                materials::pack_quantity.eq(22_680),
                materials::on_hand.eq(0),
                materials::value_cents.eq(0),
                materials::version.eq(1),
            ))
            .returning(materials::id)
            .get_result(conn)?)
    })
}

fn label() -> Value {
    json!({
        "sheet": "https://example.org/salt", "gear": ["gloves", "goggles"], "max_wind_mmps": 3_000,
        "min_air_mc": 5_000, "max_air_mc": null, "dry_s": 14_400, "rest_s": null,
    })
}

async fn set_label(yard: &Yard, manager: &Client, salt: i64, label: &Value) -> Answer {
    let path = yard.path(&format!("/materials/{salt}"));
    let tag = manager.get(&path).await;
    let tag = tag.header("etag").expect("a version").to_owned();
    let body = json!({ "label": label });
    let with = [("if-match", tag.as_str())];
    manager.send(Method::PATCH, &path, &with, Some(&body)).await
}

/// Moisture salt is due every day, and the court need not rest after it.
async fn take_salting(yard: &Yard, manager: &Client) {
    let path = yard.path("/care-standard");
    let mut standard = manager.get(&path).await.expect(200);
    let tasks = standard["tasks"].as_array_mut().expect("tasks");
    tasks.retain(|task| task["code"] == "calcium_chloride");
    tasks[0]["rule"] = json!("daily");
    tasks[0]["urgency"] = json!("today");
    tasks[0]["skill"] = Value::Null;
    tasks[0]["rest_s"] = json!(0);
    manager.post(&path, &standard).await.expect(200);
}

async fn foretell(
    yard: &Yard,
    manager: &Client,
    hours: impl Iterator<Item = u32>,
    member: &str,
    value: i64,
) {
    let reading = |hour: u32| {
        let mut one =
            json!({ "read_at": local(DAY, &format!("{hour:02}:00")), "kind": "forecast" });
        one[member] = json!(value);
        one
    };
    let body = json!({ "readings": hours.map(reading).collect::<Vec<_>>() });
    manager
        .post(&yard.path("/weather"), &body)
        .await
        .expect(201);
}

/// The orders of the day on which salt is spread.
fn salted(day: &Value) -> Vec<&Value> {
    let takes = |order: &&Value| {
        let mut steps = order["steps"].as_array().expect("steps").iter();
        steps.any(|step| step["code"] == "calcium_chloride")
    };
    orders(day).into_iter().filter(takes).collect()
}

fn why(day: &Value) -> Vec<&Value> {
    let unfitted = day["unfitted"].as_array().expect("unfitted").iter();
    unfitted
        .filter(|one| one["title"] == "Calcium chloride")
        .collect()
}

on_both_engines! {
    async fn the_order_shows_what_is_worn_where_the_sheet_is_and_in_what_weather(house) {
        let yard = Yard::db_lay(house);
        let manager = house.manager().await;
        let salt = db_salt(house, &yard);
        set_label(&yard, &manager, salt, &label()).await.expect(200);
        take_salting(&yard, &manager).await;
        let day = yard.plan(&manager, DAY).await;
        let step = &salted(&day)[0]["steps"][0];
        assert_eq!(step["labels"], json!([{ "code": "calcium_chloride", "name": "Moisture salt", "label": label() }]));
        assert_eq!(step["max_wind_mmps"], 3_000, "the standard would allow 4,500: the stricter holds");
        let visitor = Visitor::signed_in(house, Role::Manager).await;
        let page = visitor.get(&format!("/sites/{}/days/{DAY}", yard.site)).await;
        let page = page.page(200);
        for part in ["gloves, goggles", "at most 11\u{a0}km/h", "at least 5 °C", "none for 4 h after it",
            "href=\"https://example.org/salt\"", "it comes first"] {
            assert!(page.contains(part), "{part}: {page}");
        }
    }

    async fn in_more_wind_than_the_label_allows_nothing_is_put_on(house) {
        let yard = Yard::db_lay(house);
        let manager = house.manager().await;
        let salt = db_salt(house, &yard);
        set_label(&yard, &manager, salt, &label()).await.expect(200);
        take_salting(&yard, &manager).await;
        foretell(&yard, &manager, 4..7, "wind_mmps", 2_000).await;
        foretell(&yard, &manager, 7..24, "wind_mmps", 4_000).await;
        let day = yard.plan(&manager, DAY).await;
        let calm = salted(&day);
        assert!(!calm.is_empty(), "{day}");
        for order in calm {
            assert!(instant(&order["planned_end"]) <= local(DAY, "07:00"), "{order}");
        }

        foretell(&yard, &manager, 4..7, "wind_mmps", 3_001).await;
        let day = yard.plan(&manager, DAY).await;
        assert!(salted(&day).is_empty(), "{day}");
        let told = why(&day);
        assert_eq!(told.len(), 3, "three courts are salted at all: {day}");
        // The last reading holds three hours.
        let until = local("2031-06-11", "02:00");
        assert!(told.iter().all(|one| one["reason"] == "wind" && instant(&one["until_at"]) == until), "{told:?}");
    }

    async fn it_is_put_on_in_time_before_rain_and_not_in_the_cold(house) {
        let yard = Yard::db_lay(house);
        let manager = house.manager().await;
        let salt = db_salt(house, &yard);
        set_label(&yard, &manager, salt, &label()).await.expect(200);
        take_salting(&yard, &manager).await;
        // What fell by 11:00 fell from 10:00 on: nothing from 06:00 on.
        foretell(&yard, &manager, 11..12, "rain_um", 500).await;
        let day = yard.plan(&manager, DAY).await;
        for order in salted(&day) {
            let in_time = instant(&order["planned_end"]) <= local(DAY, "06:00");
            assert!(in_time || instant(&order["planned_start"]) >= local(DAY, "11:00"), "{order}");
        }
        foretell(&yard, &manager, 3..24, "temp_mc", 4_900).await;
        let told = yard.plan(&manager, DAY).await;
        assert!(why(&told).iter().any(|one| one["reason"] == "air_outside_label"), "{told}");
        assert!(salted(&told).is_empty());
    }

    async fn a_label_is_set_by_the_manager_whole_or_not_at_all(house) {
        let yard = Yard::db_lay(house);
        let manager = house.manager().await;
        let salt = db_salt(house, &yard);
        let path = yard.path(&format!("/materials/{salt}"));
        let body = json!({ "label": label() });
        manager.send(Method::PATCH, &path, &[], Some(&body)).await.expect_problem(428);
        let stale = manager.send(Method::PATCH, &path, &[("if-match", "\"99\"")], Some(&body)).await;
        stale.expect_problem(412);
        for (member, value, field) in [
            ("sheet", json!("http://example.org"), "/label/sheet"),
            ("sheet", json!(" "), "/label/sheet"),
            ("gear", json!(["gloves", "a\nb"]), "/label/gear/1"),
            ("max_wind_mmps", json!(0), "/label/max_wind_mmps"),
            ("max_air_mc", json!(4_000), "/label/max_air_mc"),
        ] {
            let mut wrong = label();
            wrong[member] = value;
            let refused = set_label(&yard, &manager, salt, &wrong).await;
            refused.expect_problem(422);
            assert_eq!(refused.fault(), field);
        }
        let set = set_label(&yard, &manager, salt, &label()).await.expect(200);
        assert_eq!((&set["label"], &set["version"]), (&label(), &json!(2)));
        let none = set_label(&yard, &manager, salt, &Value::Null).await.expect(200);
        assert_eq!(none["label"], Value::Null);
    }
}
