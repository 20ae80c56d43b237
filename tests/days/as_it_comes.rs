//! Play that does not go as it was set: over late, called off, short after short.

use diesel::prelude::*;
use roundhand::store::schema::play_sessions;
use serde_json::Value;

use super::yard::{DAY, Yard, db, instant, local, orders};
use crate::support::on_both_engines;

fn first_start(day: &Value, court: i64) -> roundhand::store::Instant {
    let turned = orders(day)
        .into_iter()
        .filter(|o| o["court_id"] == court && o["kind"].as_str().unwrap().ends_with("turnaround"));
    turned
        .map(|o| instant(&o["planned_start"]))
        .min()
        .expect("a turnaround")
}

fn kinds(day: &Value, court: i64) -> Vec<&str> {
    let turned = orders(day).into_iter().filter(|o| o["court_id"] == court);
    let kinds = turned.map(|o| o["kind"].as_str().unwrap());
    kinds.filter(|kind| kind.ends_with("turnaround")).collect()
}

on_both_engines! {
    async fn the_turnaround_starts_from_the_tap_and_not_from_the_end_that_was_expected(house) {
        let yard = Yard::db_lay_empty(house);
        yard.db_day(house, DAY, &[("Open", "08:00", "10:00", false)]);
        let court = yard.courts[0];
        db(house, |conn| {
            let of_court = play_sessions::table.filter(play_sessions::court_id.eq(court));
            Ok(diesel::update(of_court)
                .set((play_sessions::open_ended.eq(true), play_sessions::over_at.eq(local(DAY, "11:10"))))
                .execute(conn)?)
        });
        let day = yard.plan(&house.manager().await, DAY).await;
        assert!(first_start(&day, court) >= local(DAY, "11:10"), "{day}");
        assert!(first_start(&day, yard.courts[1]) < local(DAY, "11:10"), "{day}");
    }

    async fn what_was_called_off_is_not_turned_around(house) {
        let yard = Yard::db_lay(house);
        let court = yard.courts[0];
        db(house, |conn| {
            let of_court = play_sessions::table.filter(play_sessions::court_id.eq(court));
            Ok(diesel::update(of_court).set(play_sessions::cancelled_at.eq(local(DAY, "06:00"))).execute(conn)?)
        });
        let day = yard.plan(&house.manager().await, DAY).await;
        assert_eq!(kinds(&day, court), [""; 0]);
        assert_eq!(kinds(&day, yard.courts[1]).len(), 3);
    }

    async fn no_court_gets_two_short_turnarounds_running_without_the_managers_yes(house) {
        let yard = Yard::db_lay_empty(house);
        // Gaps of a quarter of an hour bear only the short one.
        let tight = &[("One", "08:00", "09:00", true), ("Two", "09:15", "10:00", true), ("Three", "10:15", "11:00", true)];
        yard.db_day(house, DAY, tight);
        db(house, |conn| {
            Ok(diesel::update(play_sessions::table.filter(play_sessions::site_id.eq(yard.site)))
                .set(play_sessions::short_ok.eq(false))
                .execute(conn)?)
        });
        let day = yard.plan(&house.manager().await, DAY).await;
        for court in yard.courts {
            let kinds = kinds(&day, court);
            let running = kinds.windows(2).any(|two| two == ["short_turnaround"; 2]);
            assert!(!running, "{kinds:?}");
        }
    }
}
