//! What stands in a day's plan.

use std::collections::{BTreeSet, HashMap};

use chrono::TimeDelta;
use roundhand::store::Instant;
use serde_json::Value;

use super::yard::{DAY, Sessions, THREE, Yard, instant, local, orders};
use crate::support::on_both_engines;

fn hours(from: &str, until: &str) -> (Instant, Instant) {
    (local(DAY, from), local(DAY, until))
}

fn of_court(day: &Value, court: i64) -> Vec<&Value> {
    orders(day)
        .into_iter()
        .filter(|o| o["court_id"] == court)
        .collect()
}

fn planned(order: &Value) -> (Instant, Instant) {
    (
        instant(&order["planned_start"]),
        instant(&order["planned_end"]),
    )
}

fn reasons(day: &Value) -> Vec<(&str, &str, &str)> {
    day["unfitted"]
        .as_array()
        .unwrap()
        .iter()
        .map(|visit| {
            let of = |key: &str| visit[key].as_str().unwrap();
            (of("place"), of("title"), of("reason"))
        })
        .collect()
}

on_both_engines! {
    async fn a_court_in_play_is_never_visited_and_every_order_is_done_before_the_players_come(house) {
        let yard = Yard::db_lay(house);
        let day = yard.plan(&house.manager().await, DAY).await;
        let play: Vec<_> = THREE.iter().map(|(_, from, until, _)| hours(from, until)).collect();
        for order in orders(&day).into_iter().filter(|o| !o["court_id"].is_null()) {
            let (start, end) = planned(order);
            let in_play = play.iter().any(|(from, until)| start < *until && end > *from);
            assert!(!in_play, "{order}");
            assert!(end <= instant(&order["due_at"]), "{order}");
        }
    }

    // Common practice, no source: while water stands, nobody grooms on the court.
    async fn a_court_seen_under_water_this_morning_is_not_groomed(house) {
        let yard = Yard::db_lay(house);
        let manager = house.manager().await;
        let look = serde_json::json!({ "standing_water": true });
        let path = yard.path(&format!("/courts/{}/inspections", yard.courts[0]));
        manager.post(&path, &look).await.expect(201);
        let day = yard.plan(&manager, DAY).await;
        let groomed = |court| {
            of_court(&day, court).into_iter().any(|order| {
                order["steps"].as_array().unwrap().iter().any(|step| step["code"] == "groom")
            })
        };
        assert!(!groomed(yard.courts[0]));
        assert!(groomed(yard.courts[1]));
    }

    async fn every_step_has_its_time_and_they_sum_to_the_orders(house) {
        let yard = Yard::db_lay(house);
        let day = yard.plan(&house.manager().await, DAY).await;
        for order in orders(&day) {
            let steps = order["steps"].as_array().unwrap();
            let sum: i64 = steps.iter().map(|step| step["planned_s"].as_i64().unwrap()).sum();
            let (start, end) = planned(order);
            assert_eq!(TimeDelta::seconds(sum), end.utc() - start.utc(), "{order}");
        }
        let full = orders(&day).into_iter().find(|o| o["kind"] == "full_turnaround").unwrap();
        let codes: Vec<_> = full["steps"].as_array().unwrap().iter().map(|s| s["code"].as_str().unwrap()).collect();
        assert_eq!(codes[..5], ["look_over", "raise_net", "groom", "clear_lines", "lower_net"]);
    }

    // Common practice, no source: the everyday drag goes on a sound court.
    async fn a_crew_takes_numbered_tools_and_no_tool_is_with_two_crews_at_once(house) {
        let yard = Yard::db_lay(house);
        yard.db_retire(house, "drag_broom 2");
        yard.db_found(house, yard.courts[0], local("2031-06-09", "18:00"), "newly_dressed");
        let day = yard.plan(&house.manager().await, DAY).await;
        let mut holders: HashMap<String, BTreeSet<i64>> = HashMap::new();
        for order in orders(&day) {
            let tools = order["tools"].as_array().unwrap();
            for tool in tools {
                let crew = order["crew_id"].as_i64().unwrap();
                holders.entry(tool["number"].as_str().unwrap().to_owned()).or_default().insert(crew);
            }
            if order["kind"] != "care" {
                let classes: BTreeSet<_> = tools.iter().map(|t| t["class"].as_str().unwrap()).collect();
                let drag = if order["court_id"] == yard.courts[0] { "soft_drag" } else { "drag_broom" };
                // A crew without the one drag broom may have to make do with the soft drag.
                let softer = BTreeSet::from(["soft_drag", "line_sweeper"]);
                assert!(classes == BTreeSet::from([drag, "line_sweeper"]) || classes == softer, "{order}");
                assert_eq!(order["groom_class"].as_str().map(|class| classes.contains(class)), Some(true));
            }
        }
        assert!(!holders.contains_key("drag_broom 2"), "it is out of service");
        assert!(holders.values().all(|crews| crews.len() == 1), "the shifts overlap: {holders:?}");
    }

    async fn a_closed_court_gets_no_order_and_a_court_closed_for_a_while_is_left_alone_meanwhile(house) {
        let yard = Yard::db_lay(house);
        yard.db_close(house, yard.courts[0], local(DAY, "00:00"), local("2031-06-11", "00:00"));
        // Storm on the second court from the middle of the afternoon's play until after it.
        let (from, until) = hours("15:00", "18:00");
        yard.db_close(house, yard.courts[1], from, until);
        let day = yard.plan(&house.manager().await, DAY).await;
        assert!(of_court(&day, yard.courts[0]).is_empty());
        let told = reasons(&day);
        assert!(told.iter().all(|(place, _, why)| *place != "Court 1" || *why == "closed"), "{told:?}");
        for order in of_court(&day, yard.courts[1]) {
            let (start, end) = planned(order);
            assert!(end <= from || start >= until, "{order}");
        }
        let after = of_court(&day, yard.courts[1])
            .into_iter()
            .filter(|o| o["kind"] != "care" && planned(o).0 >= until && planned(o).1 <= local(DAY, "18:30"));
        assert_eq!(after.count(), 1, "the afternoon's turnaround waits for the end of the storm");
    }

    // Common practice, no source: a soaked court is not groomed until it is firm.
    async fn a_soaked_court_is_not_groomed_and_the_manager_is_told(house) {
        let yard = Yard::db_lay(house);
        yard.db_found(house, yard.courts[0], local("2031-06-09", "22:00"), "soaked");
        let day = yard.plan(&house.manager().await, DAY).await;
        assert!(of_court(&day, yard.courts[0]).is_empty());
        let told = reasons(&day);
        for session in ["Morning", "Afternoon", "Evening"] {
            let title = format!("Turnaround after {session}");
            assert!(told.contains(&("Court 1", title.as_str(), "ground_forbids")), "{told:?}");
        }
        let watered = day["waterings"].as_array().unwrap().iter();
        assert!(watered.clone().count() > 0);
        assert!(watered.clone().all(|run| run["court"] != "Court 1"));
    }

    // Common practice, no source: a sprinkler-watered court gets a full soak at midday and spaced
    // cycles at night, the last of which leaves it dry enough for the first players.
    async fn sprinkled_courts_are_soaked_at_midday_and_watered_in_the_night(house) {
        let yard = Yard::db_lay(house);
        yard.db_play(house, yard.courts[0], "2031-06-11", THREE);
        let day = yard.plan(&house.manager().await, DAY).await;
        let of = |court: &str, kind: &str| -> Vec<(Instant, Instant)> {
            let all = day["waterings"].as_array().unwrap().iter();
            all.filter(|run| run["court"] == court && run["kind"] == kind)
                .map(|run| (instant(&run["starts_at"]), instant(&run["ends_at"])))
                .collect()
        };
        for court in ["Court 1", "Court 2"] {
            let soaks = of(court, "soak");
            let (noon, one) = hours("11:30", "13:00");
            assert_eq!(soaks.len(), 1, "{court}");
            assert!(soaks.iter().all(|(from, until)| *from >= noon && *until <= one));
            let night = of(court, "night_cycle");
            assert_eq!(night.len(), 2, "{court}");
            assert!(night[0].0 >= local(DAY, "20:30"));
            assert!(night[1].0.utc() - night[0].1.utc() >= TimeDelta::hours(1), "they are spaced");
        }
        assert!(of("Court 1", "night_cycle")[1].1 <= local("2031-06-11", "07:00"));
        assert!(of("Court 3", "soak").is_empty() && of("Court 3", "night_cycle").is_empty());
        let last_work = of_court(&day, yard.courts[0]).iter().map(|o| planned(o).1).max().unwrap();
        assert!(of("Court 1", "night_cycle")[0].0 >= last_work, "water runs after the last work");
        let by_hose = of_court(&day, yard.courts[3]).into_iter().filter(|order| {
            let steps = order["steps"].as_array().unwrap();
            steps.iter().any(|step| step["code"] == "hand_watering")
        });
        assert_eq!(by_hose.count(), 1, "a court watered by hose is watered as a step of its midday turnaround");
    }

    // Common practice, no source: along the court one day, across it the next day groomed.
    async fn all_groomings_of_a_court_and_day_share_a_direction(house) {
        let yard = Yard::db_lay(house);
        let day = yard.plan(&house.manager().await, DAY).await;
        for court in yard.courts {
            let ways: BTreeSet<_> = of_court(&day, court)
                .iter()
                .filter_map(|order| order["direction"].as_str().map(str::to_owned))
                .collect();
            assert_eq!(ways, BTreeSet::from(["along".to_owned()]), "never groomed before");
        }
    }

    async fn what_stands_in_todays_orders_is_not_planned_again_tomorrow_and_the_direction_turns(house) {
        let yard = Yard::db_lay(house);
        let tomorrow = "2031-06-11";
        yard.db_day(house, tomorrow, THREE);
        let manager = house.manager().await;
        let today = yard.plan(&manager, DAY).await;
        let next = yard.plan(&manager, tomorrow).await;
        let care = |day: &Value| -> BTreeSet<String> {
            let court_tasks = |order: &&&Value| order["kind"] == "care" && !order["court_id"].is_null();
            orders(day).iter().filter(court_tasks).map(|o| o["visit_key"].as_str().unwrap().to_owned()).collect()
        };
        assert!(!care(&today).is_empty() && !care(&next).is_empty());
        assert!(care(&today).is_disjoint(&care(&next)), "weekly work is not done two days running");
        let ways: BTreeSet<_> = orders(&next).iter().filter_map(|o| o["direction"].as_str().map(str::to_owned)).collect();
        assert_eq!(ways, BTreeSet::from(["across".to_owned()]));
    }

    async fn a_court_not_turned_around_in_the_evening_is_done_before_the_first_players(house) {
        let yard = Yard::db_lay_empty(house);
        let tomorrow = "2031-06-11";
        for date in [DAY, tomorrow] {
            yard.db_play(house, yard.courts[0], date, THREE);
            yard.db_shift(house, 0, date, ("05:30", "14:00"), 3);
        }
        let manager = house.manager().await;
        let today = yard.plan(&manager, DAY).await;
        assert!(reasons(&today).contains(&("Court 1", "Turnaround after Evening", "no_crew_on_shift_in_window")), "{}", today["unfitted"]);
        let next = yard.plan(&manager, tomorrow).await;
        let owed: Vec<_> = of_court(&next, yard.courts[0])
            .into_iter()
            .filter(|order| order["kind"] == "full_turnaround" && planned(order).1 <= local(tomorrow, "08:00"))
            .collect();
        assert_eq!(owed.len(), 1, "{next}");
        assert!(planned(owed[0]).0 >= local(tomorrow, "05:30"));
    }

    // America/New_York sets its clocks on 2031-11-02 and 2031-03-09 (IANA time zone database).
    async fn a_day_when_the_clocks_change_keeps_the_sites_own_times(house) {
        let yard = Yard::db_lay_empty(house);
        let manager = house.manager().await;
        for date in ["2031-11-02", "2031-03-09"] {
            // Play begins before the clocks change.
            let night: Sessions<'_> = &[("Night", "00:30", "05:00", false), ("Morning", "08:00", "11:30", false)];
            yard.db_play(house, yard.courts[0], date, night);
            yard.db_shift(house, 0, date, ("05:00", "14:00"), 3);
            let day = yard.plan(&manager, date).await;
            let turnarounds: Vec<_> = of_court(&day, yard.courts[0])
                .into_iter()
                .filter(|order| order["kind"] != "care")
                .map(planned)
                .collect();
            assert_eq!(turnarounds.len(), 2, "{}", day["unfitted"]);
            assert!(turnarounds[0].0 >= local(date, "05:00") && turnarounds[0].1 <= local(date, "08:00"));
            assert!(turnarounds[1].0 >= local(date, "11:30") && turnarounds[1].1 <= local(date, "15:00"));
            let leaves = instant(&day["rounds"][0]["leaves_at"]);
            assert!(leaves >= local(date, "05:00"), "nobody leaves before the shift begins: {leaves}");
        }
    }

    async fn a_late_session_belongs_to_the_day_it_starts_on_and_its_turnaround_may_end_after_midnight(house) {
        let yard = Yard::db_lay_empty(house);
        yard.db_play(house, yard.courts[2], DAY, &[("Night", "22:00", "23:50", false)]);
        yard.db_shift(house, 1, DAY, ("18:00", "23:59"), 2);
        yard.db_shift(house, 0, "2031-06-11", ("05:30", "14:00"), 3);
        let manager = house.manager().await;
        let day = yard.plan(&manager, DAY).await;
        let done = of_court(&day, yard.courts[2]).into_iter().find(|o| o["kind"] != "care").map(planned);
        assert!(done.unwrap().1 > local("2031-06-11", "00:00"));
        let next = yard.plan(&manager, "2031-06-11").await;
        assert!(of_court(&next, yard.courts[2]).iter().all(|order| order["kind"] == "care"));
    }
}
