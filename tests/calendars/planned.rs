//! A calendar's changes on a date that is planned wait for a manager's yes.

use reqwest::Method;
use serde_json::json;

use super::{calendar, counts, db_sessions, of_one_court};
use crate::support::{House, db_run, on_both_engines};

pub const FIRST: &str = "UID:a\nSUMMARY:Match\nDTSTART:20311001T140000Z\nDURATION:PT1H";
pub const LATER: &str = "UID:a\nSUMMARY:Match\nDTSTART:20311001T160000Z\nDURATION:PT1H";

/// A plan in force for 1 October 2031.
pub fn db_plan(house: &House) {
    db_run(
        house,
        "INSERT INTO plan_runs (site_id, work_date, state, seed, limit_s, inputs_digest, problem, stop_asked,
                requested_by, created_at)
            SELECT MIN(id), '2031-10-01', 'taken', 1, 1, 'digest', '{}', FALSE, (SELECT MIN(id) FROM users),
                '2031-06-10 09:00:00' FROM sites;
        INSERT INTO day_plans (site_id, work_date, state, plan_run_id, cost_cents, lower_bound_cents, created_at, version)
            SELECT site_id, work_date, 'issued', id, 0, 0, '2031-06-10 09:00:00', 1 FROM plan_runs
            WHERE work_date = '2031-10-01';",
    )
    .unwrap();
}

on_both_engines! {
    async fn a_change_of_a_planned_date_is_shown_first_and_done_when_a_manager_says_yes(house) {
        let manager = house.manager().await;
        let (id, court_id) = of_one_court(&manager, house).await;
        counts(&manager, house, id, &calendar(&[FIRST])).await;
        db_plan(house);
        // Sent twice, it waits once.
        for _ in 0..2 {
            assert_eq!(counts(&manager, house, id, &calendar(&[LATER])).await, [0, 0, 0, 0, 1, 0]);
        }
        assert_eq!(db_sessions(house, court_id, "2031-10-01"), ["Match 10-01T14:00 10-01T15:00"]);
        let waiting = manager.get(&house.path("/calendar-changes")).await.items();
        assert_eq!(waiting.len(), 1);
        assert_eq!((&waiting[0]["kind"], &waiting[0]["was_starts_at"]), (&json!("move"), &json!("2031-10-01T14:00:00Z")));
        let path = house.path(&format!("/calendar-changes/{}/accept", waiting[0]["id"]));
        let done = manager.post(&path, &json!(null)).await.expect(200);
        assert_eq!(done["state"], "accepted");
        assert_eq!(db_sessions(house, court_id, "2031-10-01"), ["Match 10-01T16:00 10-01T17:00"]);
        manager.post(&path, &json!(null)).await.expect_problem(409);
        assert_eq!(counts(&manager, house, id, &calendar(&[LATER])).await, [0, 1, 0, 0, 0, 0]);
    }

    async fn a_change_that_was_refused_is_not_proposed_again_and_one_taken_back_waits_no_more(house) {
        let manager = house.manager().await;
        let (id, court_id) = of_one_court(&manager, house).await;
        counts(&manager, house, id, &calendar(&[FIRST])).await;
        db_plan(house);
        counts(&manager, house, id, &calendar(&[LATER])).await;
        let first = manager.get(&house.path("/calendar-changes")).await.items();
        let path = house.path(&format!("/calendar-changes/{}/refuse", first[0]["id"]));
        manager.post(&path, &json!(null)).await.expect(200);
        assert_eq!(counts(&manager, house, id, &calendar(&[LATER])).await, [0; 6]);
        assert!(manager.get(&house.path("/calendar-changes")).await.items().is_empty());
        // Another change is another question; when the calendar goes back, nothing is left to ask.
        let other = LATER.replace("T16", "T18");
        assert_eq!(counts(&manager, house, id, &calendar(&[&other])).await[4], 1);
        assert_eq!(counts(&manager, house, id, &calendar(&[FIRST])).await, [0, 1, 0, 0, 0, 0]);
        assert!(manager.get(&house.path("/calendar-changes")).await.items().is_empty());
        assert_eq!(db_sessions(house, court_id, "2031-10-01"), ["Match 10-01T14:00 10-01T15:00"]);
    }

    async fn on_a_planned_date_a_booking_is_neither_added_nor_taken_back_by_itself(house) {
        let manager = house.manager().await;
        let (id, court_id) = of_one_court(&manager, house).await;
        counts(&manager, house, id, &calendar(&[FIRST])).await;
        db_plan(house);
        let new = "UID:b\nSUMMARY:New\nDTSTART:20311001T100000Z\nDURATION:PT12H";
        let free = "UID:c\nSUMMARY:Free\nDTSTART:20311002T140000Z\nDURATION:PT1H";
        assert_eq!(counts(&manager, house, id, &calendar(&[new, free])).await, [1, 0, 0, 0, 2, 0]);
        let before = ["Match 10-01T14:00 10-01T15:00", "Free 10-02T14:00 10-02T15:00"];
        assert_eq!(db_sessions(house, court_id, "2031-10-01"), before);
        let waiting = manager.get(&house.path("/calendar-changes")).await.items();
        let accept = |kind: &str| {
            let change = waiting.iter().find(|change| change["kind"] == kind).unwrap();
            house.path(&format!("/calendar-changes/{}/accept", change["id"]))
        };
        // The new one would lie over the old one until that is gone.
        manager.post(&accept("add"), &json!(null)).await.expect_problem(409);
        manager.post(&accept("cancel"), &json!(null)).await.expect(200);
        manager.post(&accept("add"), &json!(null)).await.expect(200);
        assert_eq!(db_sessions(house, court_id, "2031-10-01")[0], "New 10-01T10:00 10-01T22:00");
    }

    async fn a_calendar_is_edited_by_version_and_removed_without_its_play(house) {
        let manager = house.manager().await;
        let (id, court_id) = of_one_court(&manager, house).await;
        counts(&manager, house, id, &calendar(&[FIRST])).await;
        let path = house.path(&format!("/calendars/{id}"));
        let tag = manager.get(&path).await.header("etag").unwrap().to_owned();
        let edit = json!({ "name": "Lessons", "court_id": court_id, "short_turnaround": true });
        let headers = [("if-match", tag.as_str())];
        manager.send(Method::PATCH, &path, &headers, Some(&edit)).await.expect(200);
        manager.send(Method::PATCH, &path, &headers, Some(&edit)).await.expect_problem(412);
        manager.send(Method::DELETE, &path, &[], None).await.expect(204);
        manager.get(&path).await.expect_problem(404);
        assert_eq!(db_sessions(house, court_id, "2031-10-01").len(), 1);
    }
}
