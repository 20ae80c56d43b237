//! What happens when a calendar says something else than before.

use serde_json::json;

use super::{add, calendar, counts, db_sessions, listed, of_one_court, send};
use crate::support::on_both_engines;

fn at(uid: &str, day: u32, hour: u32) -> String {
    format!("UID:{uid}\nSUMMARY:{uid}\nDTSTART:203110{day:02}T{hour:02}0000Z\nDURATION:PT1H")
}

fn file(events: &[String]) -> String {
    calendar(&events.iter().map(String::as_str).collect::<Vec<_>>())
}

on_both_engines! {
    async fn a_booking_that_is_gone_stays_on_record_as_called_off_and_is_put_back_when_it_comes_again(house) {
        let manager = house.manager().await;
        let (id, court_id) = of_one_court(&manager, house).await;
        let both = file(&[at("A", 1, 10), at("B", 1, 12), at("C", 1, 14)]);
        counts(&manager, house, id, &both).await;
        let without = file(&[at("A", 1, 10), at("C", 1, 14)]);
        assert_eq!(counts(&manager, house, id, &without).await, [0, 2, 0, 1, 0, 0]);
        let before = listed(&manager, house, court_id, "2031-10-01").await;
        assert_eq!(before.len(), 3);
        let off: Vec<_> = before.iter().filter(|one| !one["cancelled_at"].is_null()).collect();
        assert_eq!((off.len(), &off[0]["name"]), (1, &json!("B")));
        // What is gone is taken back once.
        assert_eq!(counts(&manager, house, id, &without).await, [0, 2, 0, 0, 0, 0]);
        assert_eq!(counts(&manager, house, id, &both).await, [1, 2, 0, 0, 0, 0]);
        let after = listed(&manager, house, court_id, "2031-10-01").await;
        assert_eq!(after.len(), 3);
        assert!(after.iter().all(|one| one["cancelled_at"].is_null()));
    }

    async fn another_booking_may_take_the_time_of_one_that_is_gone(house) {
        let manager = house.manager().await;
        let (id, court_id) = of_one_court(&manager, house).await;
        counts(&manager, house, id, &file(&[at("A", 1, 10), at("B", 1, 12)])).await;
        assert_eq!(counts(&manager, house, id, &file(&[at("A", 1, 10), at("N", 1, 12)])).await, [1, 1, 0, 1, 0, 0]);
        assert_eq!(db_sessions(house, court_id, "2031-10-01"), ["A 10-01T10:00 10-01T11:00", "N 10-01T12:00 10-01T13:00"]);
        // It moves to where one was called off, too.
        counts(&manager, house, id, &file(&[at("A", 1, 10), at("N", 1, 14), at("Z", 1, 16)])).await;
        counts(&manager, house, id, &file(&[at("A", 1, 10), at("N", 1, 12), at("Z", 1, 16)])).await;
        assert_eq!(db_sessions(house, court_id, "2031-10-01"),
            ["A 10-01T10:00 10-01T11:00", "N 10-01T12:00 10-01T13:00", "Z 10-01T16:00 10-01T17:00"]);
    }

    async fn bookings_change_places_though_each_is_in_the_other_s_way(house) {
        let manager = house.manager().await;
        let (id, court_id) = of_one_court(&manager, house).await;
        counts(&manager, house, id, &file(&[at("A", 1, 10), at("B", 1, 12), at("C", 1, 14)])).await;
        let round = file(&[at("A", 1, 12), at("B", 1, 14), at("C", 1, 10)]);
        assert_eq!(counts(&manager, house, id, &round).await, [0, 0, 3, 0, 0, 0]);
        assert_eq!(db_sessions(house, court_id, "2031-10-01"),
            ["C 10-01T10:00 10-01T11:00", "A 10-01T12:00 10-01T13:00", "B 10-01T14:00 10-01T15:00"]);
        assert_eq!(counts(&manager, house, id, &round).await, [0, 3, 0, 0, 0, 0]);
        // Two of them change places again, and a new one finds the time of one of them taken.
        let jam = file(&[at("A", 1, 14), at("B", 1, 12), at("C", 1, 10), at("D", 1, 14)]);
        let told = counts(&manager, house, id, &jam).await;
        assert_eq!(told, [0, 1, 2, 0, 0, 1]);
    }

    async fn a_session_called_off_by_hand_stays_off_until_the_calendar_says_something_new_of_it(house) {
        let manager = house.manager().await;
        let (id, court_id) = of_one_court(&manager, house).await;
        counts(&manager, house, id, &file(&[at("A", 1, 10), at("B", 1, 12)])).await;
        let session = listed(&manager, house, court_id, "2031-10-01").await[0]["id"].clone();
        manager.post(&house.path(&format!("/play-sessions/{session}/cancel")), &json!(null)).await.expect(200);
        assert_eq!(counts(&manager, house, id, &file(&[at("A", 1, 10), at("B", 1, 12)])).await, [0, 2, 0, 0, 0, 0]);
        assert_eq!(db_sessions(house, court_id, "2031-10-01"), ["B 10-01T12:00 10-01T13:00"]);
        assert_eq!(counts(&manager, house, id, &file(&[at("A", 1, 9), at("B", 1, 12)])).await, [1, 1, 0, 0, 0, 0]);
        assert_eq!(db_sessions(house, court_id, "2031-10-01")[0], "A 10-01T09:00 10-01T10:00");
    }

    async fn an_event_that_was_played_and_gets_a_new_date_is_a_new_session(house) {
        let manager = house.manager().await;
        let (id, court_id) = of_one_court(&manager, house).await;
        counts(&manager, house, id, &file(&[at("A", 1, 10)])).await;
        // Played in May, as the note of it tells.
        crate::support::db_run(house, "UPDATE play_sessions SET starts_at = '2031-05-01 10:00:00', ends_at = '2031-05-01 11:00:00'
            WHERE name = 'A'").unwrap();
        assert_eq!(counts(&manager, house, id, &file(&[at("A", 2, 10)])).await, [1, 0, 0, 0, 0, 0]);
        assert_eq!(db_sessions(house, court_id, "2031-04-30").iter().filter(|name| name.starts_with("A ")).count(), 2);
        assert_eq!(db_sessions(house, court_id, "2031-10-01"), ["A 10-02T10:00 10-02T11:00"]);
    }

    async fn what_was_said_of_a_session_by_hand_outlives_its_move(house) {
        let manager = house.manager().await;
        let (id, court_id) = of_one_court(&manager, house).await;
        counts(&manager, house, id, &file(&[at("A", 1, 10)])).await;
        crate::support::db_run(house, "UPDATE play_sessions SET players_brush = TRUE WHERE name = 'A'").unwrap();
        assert_eq!(counts(&manager, house, id, &file(&[at("A", 1, 15)])).await, [0, 0, 1, 0, 0, 0]);
        assert_eq!(listed(&manager, house, court_id, "2031-10-01").await[0]["players_brush"], true);
    }

    async fn a_fault_of_a_rule_is_told_once_and_a_session_of_two_days_is_refused(house) {
        let manager = house.manager().await;
        let (_, court_id) = of_one_court(&manager, house).await;
        let id = add(&manager, house, json!({ "name": "All" })).await;
        let weekly = "UID:w\nLOCATION:Pool\nDTSTART:20311001T100000Z\nDURATION:PT1H\nRRULE:FREQ=WEEKLY;COUNT=9";
        let long = "UID:l\nLOCATION:Nowhere\nDTSTART:20311001T100000Z\nDURATION:P2D";
        assert_eq!(counts(&manager, house, id, &calendar(&[weekly, long])).await, [0, 0, 0, 0, 0, 2]);
        let one = add(&manager, house, json!({ "name": "One", "court_id": court_id })).await;
        let report = send(&manager, house, one, &calendar(&[long])).await.expect(200);
        assert_eq!((&report["refused"], &report["lines"][0]["field"]), (&json!(1), &json!("DTEND")));
    }
}
