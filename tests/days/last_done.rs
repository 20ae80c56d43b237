//! When work was last done: told a bank at a time, and what nobody knows spread.

use chrono::NaiveDate;
use serde_json::{Value, json};

use super::care::{id_of, take};
use super::yard::{DAY, Yard, orders};
use crate::support::{Client, on_both_engines};

/// One task on the courts, and nothing else beside the turnarounds.
async fn only(yard: &Yard, client: &Client, code: &str) -> i64 {
    take(yard, client, &["look_over", "groom", code], |_| {}).await;
    id_of(yard, client, code).await
}

async fn banks(yard: &Yard, client: &Client) -> Vec<i64> {
    let banks = client.get(&yard.path("/banks")).await.items();
    banks
        .iter()
        .map(|bank| bank["id"].as_i64().expect("an id"))
        .collect()
}

async fn tell(yard: &Yard, client: &Client, told: Value) {
    let told = json!({ "told": told });
    client
        .post(&yard.path("/care-told"), &told)
        .await
        .expect(200);
}

/// What is known of a task on each court of a bank.
async fn known(yard: &Yard, client: &Client, bank: i64, task: i64) -> Vec<Value> {
    let path = yard.path(&format!("/banks/{bank}/care-told"));
    let view = client.get(&path).await.expect(200);
    let mut tasks = view["tasks"].as_array().expect("tasks").iter();
    let one = tasks
        .find(|one| one["care_task_id"] == task)
        .expect("the task");
    one["places"].as_array().expect("places").clone()
}

/// In how many days from a date the task falls due at each place.
fn due_in(places: &[Value], from: &str) -> Vec<i64> {
    let from: NaiveDate = from.parse().expect("a date");
    let on = |place: &Value| -> NaiveDate {
        place["due_on"]
            .as_str()
            .expect("a day")
            .parse()
            .expect("a date")
    };
    places
        .iter()
        .map(|place| (on(place) - from).num_days())
        .collect()
}

on_both_engines! {
    async fn a_task_never_recorded_is_not_overdue_even_where_it_is_taken_up_a_year_later(house) {
        let yard = Yard::db_lay(house);
        let later = "2032-06-08";
        let open = house.on_day("2032-06-08T09:00:00Z".parse().unwrap());
        let manager = house.manager_at(&open.base).await;
        let task = only(&yard, &manager, "edges_and_weeds").await;
        for bank in banks(&yard, &manager).await {
            let places = known(&yard, &manager, bank, task).await;
            assert!(places.iter().all(|place| place["done_on"].is_null()), "{places:?}");
            assert!(due_in(&places, later).iter().all(|days| (0..14).contains(days)), "{places:?}");
        }
        let due = manager.get(&yard.path(&format!("/days/{later}/due"))).await.expect(200);
        let late = due["due"].as_array().unwrap().iter().filter(|one| one["late_days"] != 0);
        assert_eq!(late.count(), 0, "{due}");
    }

    // Every 14 days on two courts: a week apart.
    async fn the_unknown_ones_of_a_bank_are_spread_evenly_over_the_interval(house) {
        let yard = Yard::db_lay(house);
        let manager = house.manager().await;
        let task = only(&yard, &manager, "edges_and_weeds").await;
        let all = banks(&yard, &manager).await;
        tell(&yard, &manager, json!([{ "care_task_id": task, "bank_id": all[0], "done_on": null }])).await;
        let places = known(&yard, &manager, all[0], task).await;
        assert!(places.iter().all(|place| place["said_unknown"] == true));
        assert_eq!(due_in(&places, DAY), [0, 7]);
        // The other bank is told of a week later, and its courts lie over the days after that.
        let open = house.on_day("2031-06-17T09:00:00Z".parse().unwrap());
        let next_week = house.manager_at(&open.base).await;
        let both = json!([
            { "care_task_id": task, "bank_id": all[0], "done_on": null },
            { "care_task_id": task, "bank_id": all[1], "done_on": null },
        ]);
        tell(&yard, &next_week, both).await;
        let places = known(&yard, &next_week, all[1], task).await;
        assert_eq!(due_in(&places, "2031-06-17"), [0, 7]);
        let first = known(&yard, &next_week, all[0], task).await;
        assert_eq!(due_in(&first, DAY), [0, 7], "said again that nobody knows, nothing is put off");
    }

    async fn the_newest_word_mends_the_one_before(house) {
        let yard = Yard::db_lay(house);
        let manager = house.manager().await;
        let task = only(&yard, &manager, "net_and_strap").await;
        let bank = banks(&yard, &manager).await[0];
        for on in ["2031-06-09", "2031-06-05"] {
            tell(&yard, &manager, json!([{ "care_task_id": task, "bank_id": bank, "done_on": on }])).await;
        }
        let places = known(&yard, &manager, bank, task).await;
        assert!(places.iter().all(|place| place["done_on"] == "2031-06-05"), "{places:?}");
        assert_eq!(due_in(&places, DAY), [2, 2]);
        tell(&yard, &manager, json!([{ "care_task_id": task, "court_id": yard.courts[1], "done_on": null }])).await;
        let places = known(&yard, &manager, bank, task).await;
        assert_eq!((&places[0]["done_on"], &places[1]["done_on"]), (&json!("2031-06-05"), &Value::Null));
    }

    async fn a_told_day_counts_until_the_work_was_really_done(house) {
        let yard = Yard::db_lay(house);
        let manager = house.manager().await;
        let task = only(&yard, &manager, "net_and_strap").await;
        let bank = banks(&yard, &manager).await[0];
        tell(&yard, &manager, json!([
            { "care_task_id": task, "court_id": yard.courts[0], "done_on": "2031-06-03" },
            { "care_task_id": task, "court_id": yard.courts[1], "done_on": "2031-06-09" },
        ])).await;
        let day = yard.plan(&manager, DAY).await;
        manager.post(&yard.path(&format!("/days/{DAY}/issue")), &json!({})).await.expect(200);
        let due = orders(&day).into_iter().find(|o| o["court_id"] == yard.courts[0] && o["kind"] == "care");
        let order = due.expect("it is due a week after it was told");
        let steps: Vec<&Value> = order["steps"].as_array().unwrap().iter().map(|step| &step["position"]).collect();
        let person = &manager.get(&yard.path("/people")).await.items()[0]["id"];
        let finish = json!({ "fit": { "is": "yes" }, "steps_done": steps, "people": [{ "person_id": person, "minutes": 5 }] });
        let path = yard.path(&format!("/orders/{}/finish", order["id"]));
        manager.post(&path, &finish).await.expect(200);
        tell(&yard, &manager, json!([{ "care_task_id": task, "court_id": yard.courts[0], "done_on": "2031-06-01" }])).await;
        let places = known(&yard, &manager, bank, task).await;
        assert_eq!(places[0]["done_on"], DAY, "a finished order of a later day wins over what is told");
        assert_eq!(places[1]["done_on"], "2031-06-09");
    }
}
