//! The figures of a week, against the rows they are made of.

use chrono::NaiveDate;
use roundhand::store::Role;
use serde_json::{Value, json};

use super::{WEEK, report, work_a_week};
use crate::support::{Ground, Place, on_both_engines};

on_both_engines! {
    async fn the_cost_of_the_week_is_that_of_the_costs_to_the_cent(house) {
        let ground = Ground::db_lay(house);
        work_a_week(house, &ground).await;
        let figures = report(house).await["figures"].clone();
        let manager = house.manager().await;
        let costs = manager.get(&house.path("/costs?from=2031-06-09&to=2031-06-15")).await.expect(200);
        let cost = &figures["cost"];
        assert_eq!((&cost["cents"], &cost["kinds"]), (&costs["cents"], &costs["kinds"]));
        let of = |all: &Value| -> Vec<(Value, Value, Value)> {
            let courts = all["courts"].as_array().unwrap().iter();
            courts.map(|c| (c["court_id"].clone(), c["cents"].clone(), c["kinds"].clone())).collect()
        };
        assert_eq!(of(cost), of(&costs));
        // And the lines themselves sum to it.
        let lines = manager.get(&house.path("/cost-lines?from=2031-06-09&to=2031-06-15&limit=200")).await.items();
        let sum: i64 = lines.iter().map(|line| line["cents"].as_i64().unwrap()).sum();
        assert_eq!(cost["cents"], sum);
    }

    async fn what_gives_out_next_is_told_of_the_newest_week_in_words_and_drawn(house) {
        let ground = Ground::db_lay(house);
        // Half of what it was when new is the limit where the site does not say otherwise.
        let check = json!({ "tool_id": ground.drag,
            "readings": [{ "wear_part_id": ground.brush, "points_um": [49_000], "read_in": "mm" }] });
        let manager = house.manager().await;
        manager.post(&house.path("/tool-checks"), &check).await.expect(201);
        let told = report(house).await;
        let parts = told["figures"]["gives_out_next"].as_array().unwrap();
        assert!(!parts.is_empty() && parts.len() <= 5, "{parts:#?}");
        assert_eq!((&parts[0]["wear_part_id"], &parts[0]["is_worn_out"]), (&json!(ground.brush), &json!(true)));
        let (text, html) = (told["text"].as_str().unwrap(), told["html"].as_str().unwrap());
        let section = text.split("GIVES OUT NEXT").nth(1).expect("a section");
        assert!(section.contains("T-901: at its limit") && section.contains("change it now"), "{section}");
        assert_eq!(html.matches("<svg").count(), parts.len(), "a drawing a part");
        // A week long past has no news of what gives out.
        let past = manager.get(&house.path("/week-reports/2031-W22")).await.expect(200);
        assert_eq!(past["figures"]["gives_out_next"], json!([]));
        assert!(!past["html"].as_str().unwrap().contains("<svg"));
    }

    async fn turnarounds_are_told_in_time_late_and_left_undone(house) {
        let ground = Ground::db_lay(house);
        work_a_week(house, &ground).await;
        let told = report(house).await["figures"]["turnarounds"].clone();
        let counts = ["due", "finished", "in_time", "left_undone", "not_given_back"]
            .map(|name| told[name].as_i64().unwrap());
        assert_eq!(counts, [4, 3, 2, 1, 0]);
        let misses = told["misses"].as_array().unwrap();
        // Due on Monday at 11:25 UTC, given back at 15:00.
        assert_eq!((&misses[0]["kind"], &misses[0]["late_s"]), (&json!("late"), &json!(12_900)));
        assert_eq!(misses[1]["kind"], "left_undone");
        assert_eq!(misses[1]["undone_reason"], "weather");
        assert_eq!(misses[1]["note"], "water stood at the net");
    }

    async fn paid_time_and_used_material_are_those_that_were_told(house) {
        let ground = Ground::db_lay(house);
        work_a_week(house, &ground).await;
        let figures = report(house).await["figures"].clone();
        // Three orders of 25 and 13 minutes.
        assert_eq!(figures["hours"]["paid_s"], 3 * (25 + 13) * 60);
        let bags = figures["materials"].as_array().unwrap().iter()
            .find(|m| m["material_id"] == ground.bags).unwrap();
        // 40 bags for $400, two an order.
        assert_eq!((&bags["used"], &bags["used_cents"]), (&json!(6), &json!(6_000)));
        assert_eq!(bags["on_hand"], 34);
    }

    /// A week without a line is left out of the mean: nothing was booked here then.
    async fn a_week_stands_against_the_mean_of_the_weeks_before_that_have_cost(house) {
        let ground = Ground::db_lay(house);
        let manager = house.manager().await;
        ground.db_pay(house, ground.cheap, "2031-05-01", 1_200);
        for (on, minutes) in [("2031-05-20", 60), ("2031-06-03", 30)] {
            let id = ground.db_issue(house, Place::Court(ground.courts[0]), on, 0);
            let told = json!({
                "fit": { "is": "yes" }, "steps_done": [1], "tool_uses": [],
                "happened_at": format!("{on}T15:00:00Z"),
                "people": [{ "person_id": ground.cheap, "minutes": minutes }],
            });
            manager.post(&house.path(&format!("/orders/{id}/finish")), &told).await.expect(200);
        }
        let cost = report(house).await["figures"]["cost"].clone();
        // $12.00 in one week and $6.00 in another.
        assert_eq!((&cost["weeks_compared"], &cost["usual_cents"]), (&json!(2), &json!(900)));
        let court = cost["courts"].as_array().unwrap().iter()
            .find(|court| court["court_id"] == ground.courts[0]).unwrap();
        assert_eq!(court["usual_cents"], 900);
    }

    async fn a_court_that_was_held_is_told_until_it_is_fit(house) {
        let ground = Ground::db_lay(house);
        let manager = house.manager().await;
        let close = async |fit: Value| {
            let id = ground.db_issue_plain(house);
            let told = json!({
                "fit": fit, "steps_done": [1],
                "people": [{ "person_id": ground.dear, "minutes": 2 }],
                "happened_at": "2031-06-10T08:30:00Z",
            });
            manager.post(&house.path(&format!("/orders/{id}/finish")), &told).await.expect(200);
        };
        close(json!({ "is": "held", "reason": "a nail stands up" })).await;
        let held = report(house).await["figures"]["not_fit"].clone();
        assert_eq!((&held[0]["fit"], &held[0]["reason"]), (&json!("held"), &json!("a nail stands up")));
        let text = report(house).await["text"].as_str().unwrap().to_owned();
        assert!(text.contains("held shut since"), "{text}");
    }

    async fn a_week_is_named_as_the_standard_names_it_and_must_have_begun(house) {
        let manager = house.manager().await;
        let ask = async |week: &str| manager.get(&house.path(&format!("/week-reports/{week}"))).await;
        for bad in ["2031-24", "2031-W54", "2031-W00", "2031-w24", "last"] {
            let refused = ask(bad).await.expect(400);
            assert_eq!(refused["faults"][0]["field"], "iso_week");
            assert!(refused["detail"].as_str().unwrap().contains("2031-W24"));
        }
        for early in ["2031-W25", "9999-W52"] {
            ask(early).await.expect(422);
        }
        let running = ask(WEEK).await.expect(200);
        assert_eq!(running["figures"]["complete"], false);
        assert!(running["text"].as_str().unwrap().contains("The week still runs"));
        for past in ["2031-W23", "2026-W53", "0000-W01"] {
            assert_eq!(ask(past).await.expect(200)["figures"]["complete"], true);
        }
    }

    async fn the_same_rows_give_the_same_report(house) {
        let ground = Ground::db_lay(house);
        work_a_week(house, &ground).await;
        let first = report(house).await;
        assert_eq!(report(house).await, first);
        let monday: NaiveDate = first["figures"]["from"].as_str().unwrap().parse().unwrap();
        assert_eq!(monday.to_string(), "2031-06-09");
        let finance = house.as_role(Role::Finance).await;
        let seen = finance.get(&house.path(&format!("/week-reports/{WEEK}"))).await.expect(200);
        assert_eq!(seen, first);
    }
}
