//! Planning runs, and what becomes of their plans.

use chrono::TimeDelta;
use diesel::prelude::*;
use roundhand::store::schema::{audit_events, order_events, plan_runs, work_orders};
use serde_json::json;

use super::yard::{DAY, Yard, db, orders};
use crate::support::on_both_engines;

on_both_engines! {
    async fn a_day_is_planned_taken_read_and_issued(house) {
        let yard = Yard::db_lay(house);
        let manager = house.manager().await;
        let unplanned = yard.day(&manager, DAY).await;
        assert_eq!(unplanned["plan"], json!(null));
        let issue = yard.path(&format!("/days/{DAY}/issue"));
        manager.post(&issue, &json!({})).await.expect(409);

        let day = yard.plan(&manager, DAY).await;
        assert_eq!(day["plan"]["state"], "planned");
        let cost = day["plan"]["cost_cents"].as_i64().unwrap();
        assert!(cost > 0 && cost >= day["plan"]["lower_bound_cents"].as_i64().unwrap());
        let planned = orders(&day);
        let turnarounds = planned.iter().filter(|o| o["kind"] != "care").count();
        assert_eq!(turnarounds, 12, "every court after each of its three sessions: {}", day["unfitted"]);
        assert!(planned.iter().all(|o| o["state"] == "planned"));
        let rounds = manager.get(&yard.path(&format!("/days/{DAY}/rounds"))).await.expect(200);
        assert_eq!(rounds["items"], day["rounds"]);

        let issued = manager.post(&issue, &json!({})).await;
        assert!(issued.header("etag").is_some());
        assert_eq!(issued.expect(200)["state"], "issued");
        let day = yard.day(&manager, DAY).await;
        assert!(orders(&day).iter().all(|o| o["state"] == "issued"));
        manager.post(&issue, &json!({})).await.expect(409);
        let again = yard.path(&format!("/days/{DAY}/plan-runs"));
        manager.post(&again, &json!({ "seconds": 1 })).await.expect(409);

        let (events, verbs): (i64, Vec<String>) = db(house, |conn| {
            let of_site = order_events::site_id.eq(yard.site).and(order_events::kind.eq("issued"));
            let events = order_events::table.filter(of_site).count().get_result(conn)?;
            let verbs = audit_events::table
                .filter(audit_events::site_id.eq(yard.site))
                .order(audit_events::seq)
                .select(audit_events::verb)
                .load(conn)?;
            Ok((events, verbs))
        });
        assert_eq!(usize::try_from(events).unwrap(), orders(&day).len());
        assert_eq!(verbs, ["asked_for", "taken", "issued"]);
    }

    async fn an_issue_sent_twice_under_one_key_is_done_once(house) {
        let yard = Yard::db_lay(house);
        let manager = house.manager().await;
        yard.plan(&manager, DAY).await;
        let issue = yard.path(&format!("/days/{DAY}/issue"));
        let key = "\"6a1d0c4e-0c5c-4f33-9a53-6a6c7d5b1f01\"";
        let first = manager.post_with_key(&issue, &json!({}), key).await.expect(200);
        let second = manager.post_with_key(&issue, &json!({}), key).await.expect(200);
        assert_eq!(first, second);
    }

    async fn a_plan_is_not_taken_once_the_day_has_changed(house) {
        let yard = Yard::db_lay(house);
        let manager = house.manager().await;
        let run = yard.ask(&manager, DAY, 1).await;
        let run = yard.ended(&manager, &run).await;
        let take = yard.path(&format!("/plan-runs/{}/take", run["id"]));
        yard.db_retire(house, "drag_broom 1");
        let refused = manager.post(&take, &json!({})).await;
        assert!(refused.text.contains("start a new run"), "{}", refused.text);
        refused.expect(409);
        assert_eq!(yard.day(&manager, DAY).await["plan"], json!(null));

        yard.plan(&manager, DAY).await;
        manager.post(&take, &json!({})).await.expect(409);
    }

    async fn a_later_plan_takes_the_place_of_one_that_is_not_issued(house) {
        let yard = Yard::db_lay(house);
        let manager = house.manager().await;
        let first = yard.plan(&manager, DAY).await;
        let second = yard.plan(&manager, DAY).await;
        assert_ne!(first["plan"]["id"], second["plan"]["id"]);
        let withdrawn: i64 = db(house, |conn| {
            Ok(work_orders::table
                .filter(work_orders::site_id.eq(yard.site))
                .filter(work_orders::state.eq("withdrawn"))
                .count()
                .get_result(conn)?)
        });
        assert_eq!(usize::try_from(withdrawn).unwrap(), orders(&first).len());
        // The searches end by the clock, so that times may differ.
        let runs = |day: &serde_json::Value| {
            let all = day["waterings"].as_array().unwrap().iter();
            let mut all: Vec<String> = all.map(|run| format!("{} {}", run["court_id"], run["kind"])).collect();
            all.sort();
            all
        };
        assert_eq!(runs(&second), runs(&first), "none stands twice");
    }

    async fn of_two_who_take_a_plan_at_once_one_loses(house) {
        let yard = Yard::db_lay(house);
        let (one, other) = (house.manager().await, house.manager().await);
        let run = yard.ask(&one, DAY, 1).await;
        yard.ended(&one, &run).await;
        let take = yard.path(&format!("/plan-runs/{}/take", run["id"]));
        let nothing = json!({});
        let (a, b) = tokio::join!(one.post(&take, &nothing), other.post(&take, &nothing));
        let mut all = [a.status.as_u16(), b.status.as_u16()];
        all.sort_unstable();
        assert_eq!(all, [200, 409], "{} {}", a.text, b.text);
    }

    async fn a_run_that_is_stopped_early_still_gives_a_plan(house) {
        let yard = Yard::db_lay(house);
        let manager = house.manager().await;
        let begun = std::time::Instant::now();
        let run = yard.ask(&manager, DAY, 60).await;
        let second = yard.path(&format!("/days/{DAY}/plan-runs"));
        manager.post(&second, &json!({})).await.expect(409);
        let stop = yard.path(&format!("/plan-runs/{}/stop", run["id"]));
        assert_eq!(manager.post(&stop, &json!({})).await.expect(200)["stop_asked"], true);
        let run = yard.ended(&manager, &run).await;
        assert_eq!(run["state"], "ready", "{run}");
        assert!(begun.elapsed().as_secs() < 50, "it did not search to its end");
        manager.post(&stop, &json!({})).await.expect(409);
        let take = yard.path(&format!("/plan-runs/{}/take", run["id"]));
        manager.post(&take, &json!({})).await.expect(200);
        assert!(!orders(&yard.day(&manager, DAY).await).is_empty());
    }

    async fn a_run_whose_process_stopped_is_told_as_failed_and_bars_no_other(house) {
        let yard = Yard::db_lay(house);
        let manager = house.manager().await;
        let run = yard.ask(&manager, DAY, 1).await;
        yard.ended(&manager, &run).await;
        let id = run["id"].as_i64().unwrap();
        let long_ago: roundhand::store::Instant = (house.office.now().utc() - TimeDelta::seconds(62)).into();
        db(house, |conn| {
            diesel::update(plan_runs::table.find(id))
                .set((plan_runs::state.eq("running"), plan_runs::started_at.eq(long_ago)))
                .execute(conn)?;
            Ok(())
        });
        let path = yard.path(&format!("/plan-runs/{id}"));
        let told = manager.get(&path).await.expect(200);
        assert_eq!(told["state"], "failed");
        assert!(told["message"].as_str().unwrap().contains("start a new one"));
        manager.post(&format!("{path}/take"), &json!({})).await.expect(409);
        yard.plan(&manager, DAY).await;
    }

    async fn a_run_is_asked_for_in_words_the_service_knows(house) {
        let yard = Yard::db_lay(house);
        let manager = house.manager().await;
        let path = yard.path(&format!("/days/{DAY}/plan-runs"));
        manager.post(&path, &json!({ "seconds": 0 })).await.expect(422);
        manager.post(&path, &json!({ "seconds": 61 })).await.expect(422);
        manager.post(&path, &json!({ "seed": -1 })).await.expect(422);
        manager.post(&path, &json!({ "hours": 1 })).await.expect(400);
        let nowhere = yard.path("/days/2031-02-30/plan-runs");
        manager.post(&nowhere, &json!({})).await.expect(400);
        let nobody_on = yard.path("/days/2031-06-11/plan-runs");
        let refused = manager.post(&nobody_on, &json!({})).await;
        assert!(refused.text.contains("nobody is on shift"), "{}", refused.text);
        refused.expect(409);
    }

    async fn another_sites_run_is_not_found(house) {
        let yard = Yard::db_lay(house);
        let manager = house.manager().await;
        let run = yard.ask(&manager, DAY, 1).await;
        yard.ended(&manager, &run).await;
        let elsewhere = house.path(&format!("/plan-runs/{}", run["id"]));
        manager.get(&elsewhere).await.expect(404);
        manager.post(&format!("{elsewhere}/take"), &json!({})).await.expect(404);
        manager.post(&format!("{elsewhere}/stop"), &json!({})).await.expect(404);
    }

    async fn only_the_manager_plans_and_issues_and_finance_does_not_see_rounds(house) {
        use roundhand::store::Role;
        let yard = Yard::db_lay(house);
        let lead = house.as_role(Role::CrewLead).await;
        let day = yard.path(&format!("/days/{DAY}"));
        lead.get(&day).await.expect(200);
        lead.post(&format!("{day}/plan-runs"), &json!({})).await.expect(403);
        lead.post(&format!("{day}/issue"), &json!({})).await.expect(403);
        let finance = house.as_role(Role::Finance).await;
        finance.get(&day).await.expect(403);
    }
}
