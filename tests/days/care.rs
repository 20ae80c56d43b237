//! The care standard: taken, told, and what of it is due, withheld or makes a court rest.

use serde_json::{Value, json};

use super::yard::{DAY, THREE, Yard, instant, local, orders};
use crate::support::{Client, on_both_engines};

async fn shipped(yard: &Yard, client: &Client) -> Value {
    client.get(&yard.path("/care-standard")).await.expect(200)
}

/// Takes the shipped tasks of these codes, as `change` leaves them.
pub async fn take(
    yard: &Yard,
    client: &Client,
    codes: &[&str],
    change: impl Fn(&mut Value),
) -> Value {
    let mut standard = shipped(yard, client).await;
    let tasks = standard["tasks"].as_array_mut().expect("tasks");
    tasks.retain(|task| codes.contains(&task["code"].as_str().expect("a code")));
    tasks.iter_mut().for_each(change);
    client
        .post(&yard.path("/care-standard"), &standard)
        .await
        .expect(200)
}

pub async fn id_of(yard: &Yard, client: &Client, code: &str) -> i64 {
    let all = client
        .get(&yard.path("/care-tasks?limit=200"))
        .await
        .expect(200);
    let mut tasks = all["items"].as_array().expect("items").iter();
    let task = tasks.find(|task| task["code"] == code).expect("the task");
    task["id"].as_i64().expect("an id")
}

/// Tells when a task was last done on a court.
async fn told(yard: &Yard, client: &Client, code: &str, court: usize, on: &str) {
    let care_task_id = id_of(yard, client, code).await;
    let told = json!({ "told": [{ "care_task_id": care_task_id, "court_id": yard.courts[court], "done_on": on }] });
    client
        .post(&yard.path("/care-told"), &told)
        .await
        .expect(200);
}

fn care_of(day: &Value, court: i64) -> Vec<&str> {
    let care = orders(day)
        .into_iter()
        .filter(|o| o["court_id"] == court && o["kind"] == "care");
    care.flat_map(|order| order["steps"].as_array().expect("steps"))
        .map(|step| step["code"].as_str().expect("a code"))
        .collect()
}

fn withheld<'a>(day: &'a Value, place: &str, title: &str) -> Option<&'a Value> {
    let mut all = day["unfitted"].as_array().expect("unfitted").iter();
    all.find(|one| one["place"] == place && one["title"] == title)
}

/// The steps of a turnaround.
pub const TURNAROUND: [&str; 7] = [
    "look_over",
    "raise_net",
    "groom",
    "clear_lines",
    "lower_net",
    "soak",
    "hand_watering",
];

on_both_engines! {
    async fn the_shipped_standard_is_taken_whole_and_speaks_english_and_spanish(house) {
        let yard = Yard::db_lay(house);
        let manager = house.manager().await;
        let standard = shipped(&yard, &manager).await;
        let report = manager.post(&yard.path("/care-standard"), &standard).await.expect(200);
        assert_eq!(report["refused"], json!([]));
        let taken = report["taken"].as_array().unwrap().len();
        assert_eq!(taken, standard["tasks"].as_array().unwrap().len());
        for (language, name) in [("en", "Top dressing"), ("es", "Recebo")] {
            let path = yard.path(&format!("/care-tasks?limit=200&language={language}"));
            let all = manager.get(&path).await.expect(200);
            let names: Vec<_> = all["items"].as_array().unwrap().iter().map(|t| t["name"].as_str().unwrap()).collect();
            assert!(names.contains(&name), "{names:?}");
            assert_eq!(names.len(), taken);
        }
        let planned = yard.plan(&manager, DAY).await;
        assert!(!orders(&planned).is_empty());
    }

    async fn what_cannot_stand_is_refused_by_its_field_and_the_rest_is_taken(house) {
        let yard = Yard::db_lay(house);
        let manager = house.manager().await;
        let codes = ["look_over", "roll", "patch", "low_spots", "edges_and_weeds"];
        let report = take(&yard, &manager, &codes, |task| match task["code"].as_str() {
            Some("roll") => task["comes_after"] = json!(["patch"]),
            Some("patch") => task["comes_after"] = json!(["roll"]),
            Some("low_spots") => task["tool_action"] = json!("polishes"),
            Some("edges_and_weeds") => task["rule"] = json!("hourly"),
            _ => {}
        }).await;
        assert_eq!(report["taken"], json!(["look_over"]));
        assert_eq!(report["retired"], json!([]), "nothing is given up while something is refused");
        let of = |code: &str| -> Vec<String> {
            let mut all = report["refused"].as_array().unwrap().iter();
            let one = all.find(|one| one["code"] == code || (code.is_empty() && one["code"].is_null())).unwrap();
            let faults = one["faults"].as_array().unwrap().iter();
            faults.map(|f| format!("{} {}", f["field"].as_str().unwrap(), f["detail"].as_str().unwrap())).collect()
        };
        for code in ["roll", "patch"] {
            let said = of(code).concat();
            assert!(said.contains("/comes_after") && said.contains("patch, roll"), "{said}");
        }
        assert!(of("low_spots")[0].contains("/tool_action"), "{:?}", of("low_spots"));
        assert!(of("")[0].contains("/rule"), "{:?}", of(""));
    }

    async fn work_counts_from_the_day_that_was_told(house) {
        let yard = Yard::db_lay(house);
        let manager = house.manager().await;
        let mut codes = TURNAROUND.to_vec();
        codes.push("net_and_strap");
        take(&yard, &manager, &codes, |_| {}).await;
        told(&yard, &manager, "net_and_strap", 0, "2031-06-09").await;
        told(&yard, &manager, "net_and_strap", 1, "2031-06-03").await;
        let day = yard.plan(&manager, DAY).await;
        assert_eq!(care_of(&day, yard.courts[0]), Vec::<&str>::new());
        assert_eq!(care_of(&day, yard.courts[1]), ["net_and_strap"]);

        let task = id_of(&yard, &manager, "net_and_strap").await;
        let tomorrow = json!({ "told": [{ "care_task_id": task, "court_id": yard.courts[0], "done_on": "2031-06-11" }] });
        let refused = manager.post(&yard.path("/care-told"), &tomorrow).await.expect(422);
        assert!(refused.to_string().contains("/told/0/done_on"), "{refused}");
    }

    // 48 h without play after top dressing: a public club's maintenance page.
    async fn a_court_rests_after_top_dressing_and_is_not_dressed_where_people_have_booked(house) {
        let yard = Yard::db_lay_empty(house);
        let manager = house.manager().await;
        let mut codes = TURNAROUND.to_vec();
        codes.push("top_dressing");
        take(&yard, &manager, &codes, |task| {
            if task["code"] == "top_dressing" {
                task["skill"] = Value::Null;
                task["base_s"] = json!(7_200);
                task["comes_after"] = json!([]);
            }
        }).await;
        for court in 0..4 {
            told(&yard, &manager, "top_dressing", court, "2030-06-01").await;
        }
        for date in [DAY, "2031-06-11"] {
            yard.db_shift(house, 0, date, ("05:30", "14:00"), 3);
        }
        // The first court is booked tomorrow, and then for three days not.
        yard.db_play(house, yard.courts[0], "2031-06-11", THREE);
        let day = yard.plan(&manager, DAY).await;
        let told = withheld(&day, "Court 1", "Top dressing").expect("withheld");
        assert_eq!(told["reason"], "bookings_in_rest");
        assert_eq!(instant(&told["until_at"]), local("2031-06-12", "00:00"));
        assert_eq!(care_of(&day, yard.courts[1]), ["top_dressing"]);

        yard.db_play(house, yard.courts[1], "2031-06-11", THREE);
        let next = yard.plan(&manager, "2031-06-11").await;
        let on_it = orders(&next).into_iter().filter(|o| o["court_id"] == yard.courts[1]);
        assert_eq!(on_it.count(), 0, "nobody works on a court that rests");
    }

    async fn a_manager_says_how_pressing_a_task_is_and_never_what_it_costs(house) {
        let yard = Yard::db_lay(house);
        let manager = house.manager().await;
        take(&yard, &manager, &["look_over", "roll"], |_| {}).await;
        let path = yard.path(&format!("/care-tasks/{}", id_of(&yard, &manager, "roll").await));
        let read = manager.get(&path).await;
        let tag = read.header("etag").unwrap().to_owned();
        let patch = |body: Value, tag: String| {
            let (manager, path) = (&manager, &path);
            async move {
                manager.send(reqwest::Method::PATCH, path, &[("if-match", &tag)], Some(&body)).await
            }
        };
        let changed = patch(json!({ "urgency": "today", "rule": { "every_days": 4 } }), tag.clone()).await.expect(200);
        assert_eq!(changed["urgency"], "today");
        assert_eq!(changed["rule"], json!({ "every_days": 4 }));
        patch(json!({ "urgency": "can_wait" }), tag.clone()).await.expect(412);
        let tag = manager.get(&path).await.header("etag").unwrap().to_owned();
        patch(json!({ "skip_cents": 5 }), tag.clone()).await.expect(400);
        patch(json!({ "rest_s": -1 }), tag).await.expect(422);
    }
}
