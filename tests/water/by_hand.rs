//! Valves that somebody opens and comes back to close.

use reqwest::Method;
use roundhand::desk::plan_runs::{Limit, plan_day};
use roundhand::mail::Settings;
use serde_json::{Value, json};

use super::{runs, water};
use crate::days::resort::permit_at;
use crate::days::yard::{DAY, THREE, Yard, instant, local, orders};
use crate::pages::visitor::Visitor;
use crate::planner::referee::{accepts, shared};
use crate::support::{Client, Engine, House, on_both_engines};

/// The valve over both courts of the north bank.
const FLOW: i64 = 3_500;
/// Two cycles of 15 minutes in one run.
const RUN_S: i64 = 1_800;
/// So that the evening, an hour and a half for one crew, holds two turnarounds and the run.
const SLACK_S: i64 = 240;

/// Lays the valve over these courts; gives its id.
async fn valve(yard: &Yard, manager: &Client, courts: &[i64]) -> i64 {
    let court = yard.path(&format!("/courts/{}", courts[0]));
    let bank = manager.get(&court).await.expect(200)["bank_id"].clone();
    let valve = json!({ "bank_id": bank, "name": "North main", "opened": "by_hand", "flow_mlps": FLOW, "court_ids": courts });
    let valve = manager
        .post(&yard.path("/valves"), &valve)
        .await
        .expect(201);
    valve["id"].as_i64().unwrap()
}

fn visit<'a>(day: &'a Value, valve: i64, kind: &str, end: &str) -> Option<&'a Value> {
    let key = format!("valve:{valve}:{kind}:{end}");
    let mut all = orders(day).into_iter();
    all.find(|order| order["visit_key"] == key.as_str())
}

fn seconds(from: &Value, until: &Value) -> i64 {
    (instant(until).utc() - instant(from).utc()).num_seconds()
}

async fn set(yard: &Yard, manager: &Client, settings: &Value) {
    let path = yard.path("/settings");
    let tag = manager.get(&path).await.header("etag").unwrap().to_owned();
    let tag = [("if-match", tag.as_str())];
    let set = manager
        .send(Method::PATCH, &path, &tag, Some(settings))
        .await;
    set.expect(200);
}

/// A yard in play all day, with one crew of three on shift at these hours.
fn db_one_shift(house: &House, hours: (&str, &str)) -> Yard {
    let yard = Yard::db_lay_empty(house);
    for court in yard.courts {
        yard.db_play(house, court, DAY, THREE);
    }
    yard.db_shift(house, 0, DAY, hours, 3);
    yard
}

on_both_engines! {
    async fn a_crew_opens_it_after_the_last_turnaround_and_closes_it_before_it_goes_home(house) {
        let yard = Yard::db_lay(house);
        let manager = house.manager().await;
        set(&yard, &manager, &json!({ "valve_slack_s": SLACK_S })).await;
        let id = valve(&yard, &manager, &yard.courts[..2]).await;
        let day = yard.plan(&manager, DAY).await;
        let open = visit(&day, id, "night_cycle", "open").unwrap_or_else(|| panic!("{day}"));
        let close = visit(&day, id, "night_cycle", "close").unwrap_or_else(|| panic!("{day}"));
        assert_eq!((&open["valve"], &close["valve"]), (&json!("North main"), &json!("North main")));
        assert_eq!((&open["steps"][0]["name"], &close["steps"][0]["name"]), (&json!("Open a valve"), &json!("Close a valve")));
        assert_eq!(close["steps"][0]["caution"], "mains_pump");
        let run_s = seconds(&open["planned_end"], &close["planned_start"]);
        assert!((RUN_S..=RUN_S + 2 * SLACK_S).contains(&run_s), "{run_s}");
        assert!(instant(&close["planned_end"]) <= local(DAY, "22:00"), "{close}");
        for order in orders(&day) {
            if order["court_id"] == yard.courts[0] || order["court_id"] == yard.courts[1] {
                assert!(instant(&order["planned_end"]) <= instant(&open["planned_start"]), "{order}");
            }
        }
        let evening = orders(&day).into_iter().filter(|order| {
            let on_it = order["court_id"] == yard.courts[0] || order["court_id"] == yard.courts[1];
            on_it && instant(&order["planned_start"]) >= local(DAY, "20:30")
        });
        assert_eq!(evening.count(), 2, "both courts are turned around first: {day}");

        // The run is what the plan makes of it, and stays planned until the opening walk says that it came.
        let water = water(&yard, &manager, DAY).await;
        let night = runs(&water, "night_cycle");
        assert_eq!(night.len(), 1, "{water}");
        let run = night[0];
        assert_eq!((&run["starts_at"], &run["ends_at"]), (&open["planned_end"], &close["planned_start"]));
        assert_eq!((&run["planned_ml"], &run["state"]), (&json!(FLOW * run_s), &json!("planned")));
        assert_eq!((&run["opens"]["order_id"], &run["closes"]["order_id"]), (&open["id"], &close["id"]));
        assert!(water["courts"].as_array().unwrap().iter().all(|court| court["short_ml"] == 0), "{water}");
        let visitor = Visitor::signed_in(house, roundhand::store::Role::Manager).await;
        let page = visitor.get(&format!("/sites/{}/water/{DAY}", yard.site)).await;
        let page = page.page(200);
        assert!(page.contains("Late opens it at") && page.contains("Late closes it at"), "{page}");
        let page = visitor.get(&format!("/sites/{}/days/{DAY}", yard.site)).await;
        let page = page.page(200);
        assert!(page.contains("Open valve North main") && page.contains("Close valve North main"), "{page}");
        let sheet = manager.get(&yard.path(&format!("/days/{DAY}/water/sheet"))).await.text;
        assert!(sheet.contains("North main,by_hand,2031-06-10,") && sheet.contains(",planned,Late,"), "{sheet}");
    }

    async fn at_midday_it_runs_between_the_turnarounds_and_the_next_players(house) {
        let yard = Yard::db_lay(house);
        let manager = house.manager().await;
        set(&yard, &manager, &json!({ "valve_slack_s": SLACK_S })).await;
        let id = valve(&yard, &manager, &yard.courts[..2]).await;
        let day = yard.plan(&manager, DAY).await;
        let open = visit(&day, id, "soak", "open").unwrap_or_else(|| panic!("{day}"));
        let close = visit(&day, id, "soak", "close").unwrap_or_else(|| panic!("{day}"));
        let run_s = seconds(&open["planned_end"], &close["planned_start"]);
        assert!((480..=480 + 2 * SLACK_S).contains(&run_s), "{run_s}");
        // Ten minutes of draining before one o'clock.
        assert!(instant(&close["planned_end"]) <= local(DAY, "12:50"), "{close}");
        for order in orders(&day) {
            let on_it = order["court_id"] == yard.courts[0] || order["court_id"] == yard.courts[1];
            let apart = instant(&order["planned_end"]) <= instant(&open["planned_start"])
                || instant(&order["planned_start"]) >= local(DAY, "13:00");
            assert!(!on_it || apart, "{order}");
            let codes: Vec<_> = order["steps"].as_array().unwrap().iter().map(|step| &step["code"]).collect();
            assert!(!on_it || !codes.contains(&&json!("soak")), "nobody starts sprinklers that have a valve: {order}");
        }
        assert_eq!(runs(&water(&yard, &manager, DAY).await, "soak").len(), 1);
    }

    async fn where_the_shift_is_too_short_its_courts_are_named_and_nobody_is_sent(house) {
        // From twenty past seven until nine: half an hour after the last play, forty minutes before the first.
        let yard = db_one_shift(house, ("07:20", "21:00"));
        let manager = house.manager().await;
        let id = valve(&yard, &manager, &yard.courts[..2]).await;
        let day = yard.plan(&manager, DAY).await;
        assert!(visit(&day, id, "night_cycle", "open").is_none(), "{day}");
        assert!(visit(&day, id, "night_cycle", "close").is_none(), "{day}");
        let water = water(&yard, &manager, DAY).await;
        assert!(runs(&water, "night_cycle").is_empty(), "{water}");
        for court in water["courts"].as_array().unwrap() {
            assert_eq!((&court["short_why"], &court["short_ml"]), (&json!("nobody_there"), &json!(FLOW * RUN_S / 2)), "{water}");
        }
        let told = day["unfitted"].as_array().unwrap().iter().filter(|one| one["reason"] == "nobody_there");
        assert!(told.clone().count() >= 2, "{}", day["unfitted"]);
    }

    async fn where_nobody_is_there_in_the_evening_it_runs_before_the_first_play(house) {
        let yard = db_one_shift(house, ("05:00", "14:00"));
        let manager = house.manager().await;
        let id = valve(&yard, &manager, &yard.courts[..2]).await;
        let day = yard.plan(&manager, DAY).await;
        let open = visit(&day, id, "night_cycle", "open").unwrap_or_else(|| panic!("{day}"));
        let close = visit(&day, id, "night_cycle", "close").unwrap_or_else(|| panic!("{day}"));
        assert!(instant(&open["planned_start"]) >= local(DAY, "05:00"), "{open}");
        // An hour to drain before eight.
        assert!(instant(&close["planned_end"]) <= local(DAY, "07:00"), "{close}");
    }

    async fn who_leaves_one_end_out_by_hand_leaves_the_run_out(house) {
        let yard = Yard::db_lay(house);
        let manager = house.manager().await;
        set(&yard, &manager, &json!({ "valve_slack_s": SLACK_S })).await;
        let id = valve(&yard, &manager, &yard.courts[..2]).await;
        yard.plan(&manager, DAY).await;
        manager.post(&yard.path(&format!("/days/{DAY}/issue")), &json!({})).await.expect(200);
        for end in ["close", "open"] {
            let drop = json!({ "kind": "drop", "visit_key": format!("valve:{id}:night_cycle:{end}") });
            let path = yard.path(&format!("/days/{DAY}/replan"));
            manager.post(&path, &json!({ "changes": [drop], "take": true })).await.expect(200);
            let day = yard.day(&manager, DAY).await;
            assert!(visit(&day, id, "night_cycle", "open").is_none(), "{end}: nobody opens what nobody closes: {day}");
            assert!(visit(&day, id, "night_cycle", "close").is_none(), "{end}: {day}");
            let water = water(&yard, &manager, DAY).await;
            assert!(runs(&water, "night_cycle").is_empty(), "{end}: {water}");
            assert_eq!(water["courts"][0]["short_why"], "nobody_there", "{end}: {water}");
        }
    }

    async fn a_crew_that_is_late_to_open_it_still_opens_it(house) {
        let yard = Yard::db_lay(house);
        let manager = house.manager().await;
        set(&yard, &manager, &json!({ "valve_slack_s": SLACK_S })).await;
        let id = valve(&yard, &manager, &yard.courts[..2]).await;
        let day = yard.plan(&manager, DAY).await;
        manager.post(&yard.path(&format!("/days/{DAY}/issue")), &json!({})).await.expect(200);
        let planned = instant(&visit(&day, id, "night_cycle", "open").unwrap()["planned_start"]);
        let now = planned.utc() + chrono::TimeDelta::seconds(60);
        let open_house = house.on_day(now);
        let later = house.manager_at(&open_house.base).await;
        later.post(&yard.path(&format!("/days/{DAY}/replan")), &json!({ "take": true })).await.expect(200);
        let after = yard.day(&later, DAY).await;
        let open = visit(&after, id, "night_cycle", "open").unwrap_or_else(|| panic!("{after}"));
        let close = visit(&after, id, "night_cycle", "close").unwrap_or_else(|| panic!("{after}"));
        assert!(instant(&open["planned_start"]).utc() >= now, "{open}");
        assert!(seconds(&open["planned_end"], &close["planned_start"]) >= RUN_S, "{after}");
        assert!(instant(&close["planned_end"]) <= local(DAY, "22:00"), "{close}");
        assert_eq!(runs(&water(&yard, &later, DAY).await, "night_cycle").len(), 1);
    }

    async fn what_was_opened_is_closed_whatever_becomes_of_the_day(house) {
        let yard = Yard::db_lay(house);
        let manager = house.manager().await;
        set(&yard, &manager, &json!({ "valve_slack_s": SLACK_S })).await;
        let id = valve(&yard, &manager, &yard.courts[..2]).await;
        let day = yard.plan(&manager, DAY).await;
        manager.post(&yard.path(&format!("/days/{DAY}/issue")), &json!({})).await.expect(200);
        let open = visit(&day, id, "night_cycle", "open").unwrap().clone();
        let close = visit(&day, id, "night_cycle", "close").unwrap().clone();

        // Ten minutes after it was opened somebody plans the rest of the evening anew.
        let opened = instant(&open["planned_end"]);
        let open_house = house.on_day(opened.utc() + chrono::TimeDelta::minutes(10));
        let later = house.manager_at(&open_house.base).await;
        let of = |rest: &str| yard.path(&format!("/orders/{}{rest}", open["id"]));
        later.post(&of("/start"), &json!({ "happened_at": open["planned_start"] })).await.expect(200);
        let person = later.get(&yard.path("/people")).await.items()[0]["id"].clone();
        let finish = json!({ "happened_at": opened, "fit": { "is": "yes" }, "steps_done": [1],
            "people": [{ "person_id": person, "minutes": 2 }] });
        later.post(&of("/finish"), &finish).await.expect(200);
        let rain = json!({ "kind": "person_away", "person_id": person });
        let path = yard.path(&format!("/days/{DAY}/replan"));
        later.post(&path, &json!({ "happened": [rain], "take": true })).await.expect(200);

        let after = yard.day(&later, DAY).await;
        let begun = visit(&after, id, "night_cycle", "open").unwrap_or_else(|| panic!("{after}"));
        assert_eq!((&begun["id"], &begun["state"]), (&open["id"], &json!("finished")));
        let still = visit(&after, id, "night_cycle", "close").unwrap_or_else(|| panic!("{after}"));
        assert_eq!(still["id"], close["id"], "the same order closes it");
        let run_s = seconds(&open["planned_end"], &still["planned_start"]);
        assert!((RUN_S..=RUN_S + 2 * SLACK_S).contains(&run_s), "{run_s}");
        let water = water(&yard, &later, DAY).await;
        let night = runs(&water, "night_cycle");
        assert_eq!(night.len(), 1, "it stands once: {water}");
        assert_eq!((&night[0]["starts_at"], &night[0]["ends_at"]), (&json!(opened), &still["planned_start"]));
        assert_eq!(night[0]["state"], "planned");
    }
}

/// The referee of the day problem's contract takes the days of a yard whose valves somebody opens.
#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn the_referee_accepts_a_day_with_valves_by_hand() {
    let Some(planning) = shared("planning") else {
        return;
    };
    let house = House::open(Engine::Sqlite).expect("SQLite is always at hand");
    let yard = Yard::db_lay(&house);
    let manager = house.manager().await;
    set(&yard, &manager, &json!({ "valve_slack_s": SLACK_S })).await;
    let id = valve(&yard, &manager, &yard.courts[..2]).await;
    let office = house.another_office(
        Settings::new(None, None, Some("https://courts.example.org")).unwrap(),
        house.office.now().utc(),
    );
    let permit = permit_at(&house, yard.site);
    let date = DAY.parse().unwrap();
    let planned = plan_day(&office, &permit, date, 1, &Limit::Steps(400)).unwrap();
    assert!(
        planned
            .problem_text
            .contains(&format!("valve:{id}:soak:open"))
    );
    let folder = tempfile::tempdir().unwrap();
    let (problem, plan) = (
        folder.path().join("problem.json"),
        folder.path().join("plan.json"),
    );
    std::fs::write(&problem, &planned.problem_text).unwrap();
    std::fs::write(&plan, &planned.plan_text).unwrap();
    accepts(&planning, &problem, &plan);
}
