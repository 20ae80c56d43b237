//! What the night's plan obeys.

use chrono::TimeDelta;
use roundhand::store::Instant;
use serde_json::{Value, json};

use super::{runs, water};
use crate::days::yard::{DAY, THREE, Yard, instant, local, orders};
use crate::support::on_both_engines;

const NEXT: &str = "2031-06-11";

fn span(run: &Value) -> (Instant, Instant) {
    (instant(&run["starts_at"]), instant(&run["ends_at"]))
}

fn banks(courts: &Value) -> i64 {
    courts["bank_id"].as_i64().unwrap()
}

/// How much of its ordinary run the first court gets, in a plan made now.
async fn need(yard: &Yard, manager: &crate::support::Client) -> Value {
    yard.plan(manager, DAY).await;
    water(yard, manager, DAY).await["courts"][0].clone()
}

on_both_engines! {
    async fn a_valve_over_two_courts_runs_only_while_both_are_free_and_shares_its_water(house) {
        let yard = Yard::db_lay(house);
        yard.db_play(house, yard.courts[1], DAY, &[("Late", "21:00", "23:00", false)]);
        yard.db_play(house, yard.courts[0], NEXT, THREE);
        let manager = house.manager().await;
        let court = manager.get(&yard.path(&format!("/courts/{}", yard.courts[0]))).await.expect(200);
        let valve = json!({
            "bank_id": banks(&court), "name": "North 1", "opened": "controller", "flow_mlps": 3_501,
            "court_ids": [yard.courts[0], yard.courts[1]],
        });
        manager.post(&yard.path("/valves"), &valve).await.expect(201);
        let day = yard.plan(&manager, DAY).await;
        let water = water(&yard, &manager, DAY).await;
        let night = runs(&water, "night_cycle");
        assert_eq!(night.len(), 2, "{water}");
        for run in &night {
            assert_eq!((&run["valve"], &run["courts"]), (&json!("North 1"), &json!(["Court 1", "Court 2"])));
            assert!(span(run).0 >= local(DAY, "23:00"), "{run}");
            assert!(span(run).1 <= local(NEXT, "07:00"), "an hour to drain before eight: {run}");
            assert_eq!(run["planned_ml"], 3_501 * 900);
        }
        assert!(span(night[1]).0.utc() - span(night[0]).1.utc() >= TimeDelta::hours(1), "they are spaced");
        // Each court bears its own part, and the parts sum to the whole.
        let parts = day["waterings"].as_array().unwrap().iter().filter(|run| run["kind"] == "night_cycle");
        assert_eq!(parts.clone().count(), 4);
        assert_eq!(parts.map(|run| run["volume_ml"].as_i64().unwrap()).sum::<i64>(), 2 * 3_501 * 900);
        for soak in runs(&water, "soak") {
            let (from, until) = span(soak);
            for order in orders(&day) {
                let on_it = order["court_id"] == yard.courts[0] || order["court_id"] == yard.courts[1];
                let apart = instant(&order["planned_end"]) <= from || instant(&order["planned_start"]) >= until;
                assert!(!on_it || apart, "nobody works where water runs: {order}, {soak}");
            }
            assert!(from >= local(DAY, "11:30") && until <= local(DAY, "13:00"), "{soak}");
        }
    }

    async fn water_runs_only_in_the_hours_that_the_line_and_local_rules_allow(house) {
        let yard = Yard::db_lay(house);
        let manager = house.manager().await;
        let rules = yard.path("/water-rules");
        let town = json!({ "name": "Town", "kind": "local_hours", "weekdays": [1, 2, 3, 4, 5, 6, 7],
            "from_time": "22:00", "until_time": "05:00" });
        manager.post(&rules, &town).await.expect(201);
        let court = manager.get(&yard.path(&format!("/courts/{}", yard.courts[0]))).await.expect(200);
        let line = json!({ "name": "Line", "kind": "line_free", "bank_id": banks(&court),
            "weekdays": [3], "from_time": "00:00", "until_time": "04:00" });
        manager.post(&rules, &line).await.expect(201);
        yard.plan(&manager, DAY).await;
        let water = water(&yard, &manager, DAY).await;
        assert!(runs(&water, "soak").is_empty(), "not at midday: {water}");
        let night = runs(&water, "night_cycle");
        assert_eq!(night.len(), 4, "{water}");
        for run in night {
            let (from, until) = span(run);
            assert!(from >= local(NEXT, "00:00") && until <= local(NEXT, "04:00"), "{run}");
        }
    }

    async fn a_night_that_a_days_allowance_does_not_hold_says_which_courts_stay_short_and_by_how_much(house) {
        let yard = Yard::db_lay(house);
        let manager = house.manager().await;
        // The soaks of both courts take 2 x 1,440 l; of the nights' 4 x 2,700 l one run is left for today.
        let rule = json!({ "name": "Permit", "kind": "allowance", "weekdays": [2], "ml_a_day": 2 * 1_440_000 + 2_700_000 });
        manager.post(&yard.path("/water-rules"), &rule).await.expect(201);
        let none = json!({ "name": "Dry Wednesday", "kind": "allowance", "weekdays": [3], "ml_a_day": 0 });
        manager.post(&yard.path("/water-rules"), &none).await.expect(201);
        let day = yard.plan(&manager, DAY).await;
        let water = water(&yard, &manager, DAY).await;
        assert_eq!(runs(&water, "soak").len(), 2, "{water}");
        assert_eq!(runs(&water, "night_cycle").len(), 1, "{water}");
        let short: i64 = water["courts"].as_array().unwrap().iter().map(|court| court["short_ml"].as_i64().unwrap()).sum();
        assert_eq!(short, 3 * 2_700_000);
        let told = day["unfitted"].as_array().unwrap().iter().filter(|one| one["reason"] == "over_allowance");
        assert_eq!(told.clone().count(), 2, "{}", day["unfitted"]);
        assert!(told.clone().all(|one| one["title"].as_str().unwrap().starts_with("Night water, ")));
    }

    async fn a_court_that_drains_longer_is_done_earlier(house) {
        let yard = Yard::db_lay(house);
        yard.db_play(house, yard.courts[0], NEXT, THREE);
        let manager = house.manager().await;
        let path = yard.path(&format!("/courts/{}/water", yard.courts[0]));
        let before = manager.get(&path).await;
        let tag = before.header("etag").unwrap().to_owned();
        // Ten hours: the evening's play ends at half past eight, the next day's begins at eight.
        let edit = json!({ "drain_s": 36_000 });
        let done = manager.send(reqwest::Method::PATCH, &path, &[("if-match", &tag)], Some(&edit)).await;
        assert_eq!(done.expect(200)["drain_s"], 36_000);
        yard.plan(&manager, DAY).await;
        let water = water(&yard, &manager, DAY).await;
        for run in runs(&water, "night_cycle").into_iter().filter(|run| run["valve"] == "Court 1") {
            assert!(span(run).1 <= local(DAY, "22:00"), "{run}");
        }
        let one = &water["courts"][0];
        assert_eq!((&one["court"], &one["short_why"]), (&json!("Court 1"), &json!("night_too_short")), "{water}");
    }

    // Common practice, no source: a court found dry gets more the next night.
    async fn a_court_found_dry_in_the_morning_gets_more_and_the_manager_sees_why(house) {
        let yard = Yard::db_lay(house);
        yard.db_found(house, yard.courts[0], local(DAY, "06:00"), "powdery");
        yard.db_found(house, yard.courts[1], local(DAY, "18:00"), "powdery");
        let manager = house.manager().await;
        yard.plan(&manager, DAY).await;
        let water = water(&yard, &manager, DAY).await;
        let court = |name: &str| {
            let all = water["courts"].as_array().unwrap().iter();
            all.clone().find(|court| court["court"] == name).unwrap().clone()
        };
        // A tenth more of 15 minutes, to the whole minute (16.5 to the even one).
        assert_eq!((&court("Court 1")["permille"], &court("Court 1")["run_s"]), (&json!(1_100), &json!(960)));
        let why: Vec<_> = court("Court 1")["why"].as_array().unwrap().iter().map(|why| why["why"].clone()).collect();
        assert_eq!(why, [json!("weather_unknown"), json!("mornings")]);
        assert_eq!(court("Court 2")["permille"], 1_000, "an evening is no morning");
    }

    // Common practice, no source: as the condition told, so the look of whoever walks the courts in the morning.
    async fn who_finds_a_court_dry_on_the_opening_walk_gets_it_more_water(house) {
        let yard = Yard::db_lay(house);
        let manager = house.manager().await;
        let path = yard.path(&format!("/courts/{}/inspections", yard.courts[0]));
        let look = json!({ "seen_at": local(DAY, "04:50"), "moisture": "dry" });
        manager.post(&path, &look).await.expect(201);
        let dry = need(&yard, &manager).await;
        assert_eq!(dry["permille"], 1_100, "{dry}");
    }

    // FAO Irrigation and Drainage Paper 56: the air draws more on a hot day; that rain takes from the run is common
    // practice, no source.
    async fn a_hot_day_asks_for_more_water_than_the_season_and_rain_for_less(house) {
        let yard = Yard::db_lay(house);
        let manager = house.manager().await;
        let at = |days: i64, time: &str| Instant::from(local(DAY, time).utc() - TimeDelta::days(days));
        let reading = |at: Instant, kind: &str, mc: i64| json!({ "read_at": at, "kind": kind, "temp_mc": mc });
        let mut readings = Vec::new();
        for days in 1..=10 {
            readings.push(reading(at(days, "05:00"), "observed", 15_000));
            readings.push(reading(at(days, "15:00"), "observed", 25_000));
        }
        readings.push(reading(local(DAY, "04:45"), "observed", 17_000));
        readings.push(reading(local(DAY, "15:00"), "forecast", 37_000));
        manager.post(&yard.path("/weather"), &json!({ "readings": readings })).await.expect(201);
        let hot = need(&yard, &manager).await;
        assert!(hot["permille"].as_i64().unwrap() > 1_200, "{hot}");
        assert_eq!(hot["why"][0]["why"], "weather", "{hot}");

        let rain = json!({ "read_at": at(1, "23:00"), "kind": "observed", "rain_um": 12_000 });
        manager.post(&yard.path("/weather"), &json!({ "readings": [rain] })).await.expect(201);
        let wet = need(&yard, &manager).await;
        assert!(wet["permille"].as_i64() < hot["permille"].as_i64(), "{wet}");
        assert!(wet["why"].as_array().unwrap().iter().any(|why| why["why"] == "rain"), "{wet}");
    }

    // Common practice, no source: sprinklers wait above a wind the site sets.
    async fn sprinklers_wait_while_the_wind_would_carry_the_water_away(house) {
        let yard = Yard::db_lay(house);
        let manager = house.manager().await;
        let wind = |at: Instant, mmps: i64| json!({ "read_at": at, "kind": "forecast", "wind_mmps": mmps });
        let readings = [
            wind(local(DAY, "20:00"), 9_000), wind(local(DAY, "22:00"), 9_000), wind(local(DAY, "23:30"), 2_000),
        ];
        manager.post(&yard.path("/weather"), &json!({ "readings": readings })).await.expect(201);
        yard.plan(&manager, DAY).await;
        let water = water(&yard, &manager, DAY).await;
        let night = runs(&water, "night_cycle");
        assert!(!night.is_empty(), "{water}");
        for run in night {
            assert!(span(run).0 >= local(DAY, "23:30"), "{run}");
        }
    }

    async fn rain_that_was_read_off_does_not_hide_the_wind_that_was_foretold_for_its_hour(house) {
        let yard = Yard::db_lay(house);
        let manager = house.manager().await;
        let strong = json!({ "read_at": local(DAY, "20:00"), "kind": "forecast", "wind_mmps": 9_000 });
        manager.post(&yard.path("/weather"), &json!({ "readings": [strong] })).await.expect(201);
        // At eight in the evening somebody reads the gauge off: it says nothing of the wind.
        let open = house.on_day(local(DAY, "20:05").utc());
        let later = house.manager_at(&open.base).await;
        let dry = json!({ "read_at": local(DAY, "20:00"), "kind": "observed", "rain_um": 0 });
        later.post(&yard.path("/weather"), &json!({ "readings": [dry] })).await.expect(201);
        yard.plan(&later, DAY).await;
        let water = water(&yard, &later, DAY).await;
        let night = runs(&water, "night_cycle");
        assert!(!night.is_empty(), "{water}");
        for run in night {
            assert!(span(run).0 >= local(DAY, "23:00"), "three hours after the wind: {run}");
        }
    }

    async fn the_sheet_for_the_controller_lists_every_run_and_the_page_shows_it(house) {
        let yard = Yard::db_lay(house);
        let manager = house.manager().await;
        yard.plan(&manager, DAY).await;
        let water = water(&yard, &manager, DAY).await;
        let sheet = manager.get(&yard.path(&format!("/days/{DAY}/water/sheet"))).await;
        assert_eq!(sheet.status, 200);
        assert!(sheet.header("content-type").unwrap().starts_with("text/csv"));
        // RFC 4180 section 2: lines end in CRLF, the first may name the fields.
        let lines: Vec<&str> = sheet.text.split("\r\n").filter(|line| !line.is_empty()).collect();
        assert_eq!(lines[0], "valve,opened,date,from,until,run_s,kind,cycle,courts,planned_l,state,opened_by,opened_at,closed_by,closed_at");
        assert_eq!(lines.len(), 1 + water["runs"].as_array().unwrap().len());
        assert!(lines.iter().any(|line| line.starts_with("Court 1,controller,2031-06-10,") && line.contains(",900,night_cycle,1,Court 1,2700,planned,,,,")), "{lines:?}");
        let visitor = crate::pages::visitor::Visitor::signed_in(house, roundhand::store::Role::Manager).await;
        let page = visitor.get(&format!("/sites/{}/water/{DAY}", yard.site)).await;
        assert_eq!(page.status, 200, "{}", page.html);
        assert!(page.html.contains("Cycle 2") && page.html.contains("Court 3"), "{}", page.html);
    }
}
