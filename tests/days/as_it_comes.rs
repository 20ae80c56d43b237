//! Play that does not go as it was set: over late, called off, short after short.

use diesel::prelude::*;
use roundhand::store::schema::play_sessions;
use serde_json::{Value, json};

use super::yard::{DAY, THREE, Yard, db, instant, local, orders};
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
        let sessions = &[("Open", "08:00", "10:00", false), ("Next", "11:40", "12:30", false)];
        yard.db_day(house, DAY, sessions);
        let court = yard.courts[0];
        db(house, |conn| {
            let open = play_sessions::table.filter(
                play_sessions::court_id.eq(court).and(play_sessions::name.eq("Open")),
            );
            Ok(diesel::update(open)
                .set((play_sessions::open_ended.eq(true), play_sessions::over_at.eq(local(DAY, "10:50"))))
                .execute(conn)?)
        });
        let day = yard.plan(&house.manager().await, DAY).await;
        assert!(first_start(&day, court) >= local(DAY, "10:50"), "{day}");
        let others = yard.courts[1..].iter().map(|court| first_start(&day, *court));
        assert!(others.min() < Some(local(DAY, "10:50")), "{day}");
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

    async fn on_a_tournament_day_the_courts_get_a_match_service_and_reopen_in_the_managers_order(house) {
        let yard = Yard::db_lay_empty(house);
        let matches = &[("First", "08:00", "10:00", false), ("Second", "11:40", "13:00", false)];
        yard.db_day(house, DAY, matches);
        let manager = house.manager().await;
        let [one, two, three, _] = yard.courts;
        let path = format!("/api/v1/sites/{}/days/{DAY}/tournament", yard.site);
        let set = manager.post(&path, &json!({ "court_ids": [three, one, two] })).await.expect(200);
        assert_eq!(set["court_ids"], json!([three, one, two]));

        let day = yard.plan(&manager, DAY).await;
        let after_first = |court| {
            let all = orders(&day).into_iter().filter(|o| o["court_id"] == court);
            let mut turned: Vec<_> = all.filter(|o| o["kind"].as_str().unwrap().ends_with("turnaround")).collect();
            turned.sort_by_key(|o| instant(&o["planned_start"]));
            turned.first().copied().cloned().expect("a turnaround")
        };
        for court in [one, two, three] {
            let service = after_first(court);
            let codes: Vec<_> = service["steps"].as_array().unwrap().iter().map(|s| s["code"].as_str().unwrap()).collect();
            assert!(!codes.contains(&"raise_net") && codes.contains(&"groom"), "{codes:?}");
        }
        let ready = |court| instant(&after_first(court)["planned_end"]);
        assert!(ready(three) <= ready(one) && ready(one) <= ready(two), "{day}");

        let twice = manager.post(&path, &json!({ "court_ids": [one, one] })).await;
        assert_eq!(twice.fault(), "/court_ids/1");
        let none = manager.post(&path, &json!({ "court_ids": [] })).await.expect(200);
        assert_eq!(none["court_ids"], json!([]));
    }

    /// The clocks of the yard change on these dates.
    async fn work_between_two_sessions_stays_between_them_on_the_days_when_clocks_change(house) {
        let yard = Yard::db_lay_empty(house);
        let manager = house.manager().await;
        for date in ["2031-03-09", "2031-11-02"] {
            yard.db_day(house, date, THREE);
            let day = yard.plan(&manager, date).await;
            let turned: Vec<_> = orders(&day).into_iter().filter(|o| o["kind"].as_str().unwrap().ends_with("turnaround")).collect();
            assert!(turned.len() >= 4, "{day}");
            for order in turned {
                let (from, until) = (instant(&order["planned_start"]), instant(&order["planned_end"]));
                for (_, begins, ends, _) in THREE {
                    let (begins, ends) = (local(date, begins), local(date, ends));
                    assert!(until <= begins || from >= ends, "{date}: {order}");
                }
            }
        }
    }

    async fn a_session_past_midnight_is_of_the_date_it_starts_on_and_holds_the_court_to_its_end(house) {
        let yard = Yard::db_lay_empty(house);
        let manager = house.manager().await;
        let (eve, next) = ("2031-06-09", DAY);
        for date in [eve, next] {
            yard.db_day(house, date, &[("Morning", "08:00", "10:00", false)]);
        }
        let court = yard.courts[0];
        let path = format!("/api/v1/sites/{}/play-sessions", yard.site);
        let play = json!({ "name": "Night match", "turnaround": "full",
            "starts_at": local(eve, "22:00"), "ends_at": local(next, "06:30") });
        manager.post(&path, &json!({ "court_ids": [court], "play": play })).await.expect(201);

        let first = yard.plan(&manager, next).await;
        let on_court = orders(&first).into_iter().filter(|o| o["court_id"] == court);
        for order in on_court {
            assert!(instant(&order["planned_start"]) >= local(next, "06:30"), "{order}");
        }
        let listed = |date: &str| format!("{path}?from={date}&to={date}&court_id={court}");
        for date in [eve, next] {
            let names: Vec<_> = manager.get(&listed(date)).await.items();
            assert!(names.iter().any(|s| s["name"] == "Night match"), "{date}");
        }
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
