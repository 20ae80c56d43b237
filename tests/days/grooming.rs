//! How long a turnaround takes, with which tool, in which direction, and what water forbids after it.

use chrono::{NaiveDate, TimeDelta};
use diesel::prelude::*;
use roundhand::desk::access::{PlanDay, scope};
use roundhand::desk::day_build::{Built, JobWay, build};
use roundhand::desk::{Office, Permit};
use roundhand::store::schema::{
    care_tasks, materials, play_sessions, readings, tool_classes, tools, users, wear_parts,
};
use roundhand::store::{Actor, Instant, Role};
use serde_json::{Value, json};

use super::yard::{DAY, THREE, Yard, db, instant, local, orders};
use crate::support::{Client, House, on_both_engines};

const NEXT: &str = "2031-06-11";

/// The yard with play on two days and the early crew alone on shift, all day.
fn with_one_crew(house: &House) -> Yard {
    let yard = Yard::db_lay_empty(house);
    for day in [DAY, NEXT] {
        for court in yard.courts {
            yard.db_play(house, court, day, THREE);
        }
        yard.db_shift(house, 0, day, ("05:30", "21:30"), 3);
    }
    yard
}

fn built(house: &House, site: i64, date: &str, now: Instant) -> Built {
    let accounts = &house.set_up.accounts;
    let manager = accounts.iter().find(|a| a.role == Role::Manager).unwrap();
    let user = db(house, |conn| {
        Ok(users::table
            .filter(users::email.eq(&manager.email))
            .select(users::id)
            .first(conn)?)
    });
    let office: &Office = &house.office;
    let permit: Permit<PlanDay> =
        Permit::of(scope(office, Actor::of(user), site).unwrap()).unwrap();
    let date: NaiveDate = date.parse().unwrap();
    office
        .db
        .read(|conn| build(conn, &permit, date, now))
        .unwrap()
}

fn turnarounds(day: &Value, court: i64) -> Vec<&Value> {
    let mut found: Vec<_> = orders(day)
        .into_iter()
        .filter(|order| order["court_id"] == court && order["kind"] != "care")
        .collect();
    found.sort_by_key(|order| instant(&order["planned_start"]));
    found
}

fn sum(order: &Value, field: &str) -> i64 {
    let steps = order["steps"].as_array().unwrap();
    steps.iter().map(|step| step[field].as_i64().unwrap()).sum()
}

/// Issues the date and gives one order back done: it took one person of the early crew so long,
/// until now.
async fn done_in(house: &House, yard: &Yard, client: &Client, order: &Value, minutes: i64) {
    let path = yard.path(&format!("/orders/{}", order["id"]));
    let person: i64 = db(house, |conn| {
        use roundhand::store::schema::people;
        Ok(people::table
            .filter(
                people::site_id
                    .eq(yard.site)
                    .and(people::name.eq("Crew 0 person 0")),
            )
            .select(people::id)
            .first(conn)?)
    });
    let steps: Vec<_> = order["steps"]
        .as_array()
        .unwrap()
        .iter()
        .map(|step| step["position"].clone())
        .collect();
    let told = json!({
        "fit": { "is": "yes" }, "steps_done": steps,
        "people": [{ "person_id": person, "minutes": minutes }],
    });
    client
        .post(
            &format!("{path}/start"),
            &json!({ "happened_at": local(DAY, "00:05") }),
        )
        .await
        .expect(200);
    client
        .post(&format!("{path}/finish"), &told)
        .await
        .expect(200);
}

async fn set(yard: &Yard, client: &Client, change: &Value) {
    let path = yard.path("/settings");
    let tag = client.get(&path).await.header("etag").unwrap().to_owned();
    let sent = client
        .send(
            reqwest::Method::PATCH,
            &path,
            &[("if-match", &tag)],
            Some(change),
        )
        .await;
    sent.expect(200);
}

/// Has every court loosened each day before grooming, with 20 kg of dressing.
fn db_loosens_daily(house: &House, yard: &Yard) {
    let detail = r#"{"before_grooming":true,"materials":[{"code":"dressing","quantity":20000}]}"#;
    db(house, |conn| {
        diesel::insert_into(care_tasks::table)
            .values((
                care_tasks::site_id.eq(yard.site),
                care_tasks::code.eq("loosen"),
                care_tasks::name.eq("loosen"),
                care_tasks::position.eq(2),
                care_tasks::done_at.eq("court"),
                care_tasks::cadence.eq("daily"),
                care_tasks::base_s.eq(300),
                care_tasks::min_hands.eq(1),
                care_tasks::ground.eq("damp"),
                care_tasks::skip_cents.eq(0),
                care_tasks::source.eq("common_practice"),
                care_tasks::urgency.eq("today"),
                care_tasks::detail.eq(detail),
            ))
            .execute(conn)?;
        diesel::insert_into(materials::table)
            .values((
                materials::site_id.eq(yard.site),
                materials::code.eq("dressing"),
                materials::name.eq("Dressing"),
                materials::unit.eq("gram"),
                materials::pack_name.eq("bag"),
                materials::pack_quantity.eq(36_000),
                materials::on_hand.eq(0),
                materials::value_cents.eq(0),
                materials::version.eq(1),
            ))
            .execute(conn)?;
        Ok(())
    });
}

/// Measures the brush of a tool.
fn db_brush(house: &House, yard: &Yard, number: &str, limit_um: i64, lengths: &[(&str, i64)]) {
    db(house, |conn| {
        let tool: i64 = tools::table
            .filter(tools::site_id.eq(yard.site).and(tools::number.eq(number)))
            .select(tools::id)
            .first(conn)?;
        let part: i64 = diesel::insert_into(wear_parts::table)
            .values((
                wear_parts::site_id.eq(yard.site),
                wear_parts::tool_id.eq(tool),
                wear_parts::kind.eq("brush"),
                wear_parts::start_um.eq(139_700),
                wear_parts::limit_um.eq(limit_um),
                wear_parts::fitted_on.eq("2031-01-01".parse::<NaiveDate>().unwrap()),
            ))
            .returning(wear_parts::id)
            .get_result(conn)?;
        for (day, length) in lengths {
            diesel::insert_into(readings::table)
                .values((
                    readings::site_id.eq(yard.site),
                    readings::wear_part_id.eq(part),
                    readings::measured_on.eq(day.parse::<NaiveDate>().unwrap()),
                    readings::length_um.eq(*length),
                    readings::booked_at.eq(house.office.now()),
                ))
                .execute(conn)?;
        }
        Ok(())
    });
}

on_both_engines! {
    // One person's standard for the yard's sound courts: 270 s look over, 60 net up, 693 groom (11 strips of a
    // 6 ft drag and two edges in each half), 479 lines, 180 net down; three hands share looking over and lines.
    async fn an_order_says_what_the_standard_gives_beside_what_is_expected_on_its_court(house) {
        let yard = Yard::db_lay(house);
        let day = yard.plan(&house.manager().await, DAY).await;
        for order in orders(&day) {
            assert_eq!(sum(order, "standard_s"), sum(order, "planned_s"), "nothing was timed yet: {order}");
        }
        let groom = orders(&day).into_iter().flat_map(|order| order["steps"].as_array().unwrap());
        let mut groomings = groom.filter(|step| step["code"] == "groom").peekable();
        assert!(groomings.peek().is_some());
        assert!(groomings.all(|step| step["planned_s"] == 693));
    }

    async fn a_court_that_took_longer_is_given_longer_and_no_other(house) {
        let yard = with_one_crew(house);
        let manager = house.manager().await;
        let day = yard.plan(&manager, DAY).await;
        manager.post(&yard.path(&format!("/days/{DAY}/issue")), &json!({})).await.expect(200);
        let order = orders(&day).into_iter().find(|order| order["kind"] == "full_turnaround").unwrap().clone();
        let slow = order["court_id"].as_i64().unwrap();
        done_in(house, &yard, &manager, &order, 200).await;

        let at = |time| local(NEXT, time);
        let of = |built: &Built, court: i64| {
            let key = built.table.values()
                .filter(|entry| entry.at.court() == Some(court) && entry.key.starts_with("turnaround:"))
                .max_by_key(|entry| entry.opens).unwrap().key.clone();
            let way = &built.table[&key].ways[0].0;
            let total = |hands: fn(&roundhand::desk::day_build::JobStep) -> i64| way.steps.iter().map(hands).sum::<i64>();
            (total(|step| step.seconds(1)), total(|step| step.standard(1)))
        };
        let next = built(house, yard.site, NEXT, at("05:00"));
        // Two hundred minutes count as double: one record of eight and one is ln 2 / 9, a factor of 1.080.
        let (expected, standard) = of(&next, slow);
        let gain = (expected * 1_000 - standard * 1_080).abs();
        assert!(gain < standard * 2, "{expected} for {standard}");
        for court in yard.courts.into_iter().filter(|court| *court != slow) {
            let (expected, standard) = of(&next, court);
            assert_eq!(expected, standard);
        }
        // What is closed today does not change today's problem.
        let today = built(house, yard.site, DAY, local(DAY, "06:00"));
        let (expected, standard) = of(&today, slow);
        assert_eq!(expected, standard);
    }

    // Common practice, no source: a brush at its limit no longer levels.
    async fn a_drag_whose_brush_is_at_its_limit_stays_in_the_shed(house) {
        let yard = with_one_crew(house);
        db_brush(house, &yard, "drag_broom 1", 69_850, &[("2031-06-09", 69_850), ("2031-05-01", 100_000)]);
        // Long again: another brush was fitted, or the first reading was wrong.
        db_brush(house, &yard, "drag_broom 2", 69_850, &[("2031-05-01", 60_000), ("2031-06-09", 120_000)]);
        let manager = house.manager().await;
        let day = yard.plan(&manager, DAY).await;
        let numbers: Vec<_> = orders(&day).iter()
            .flat_map(|order| order["tools"].as_array().unwrap())
            .map(|tool| tool["number"].as_str().unwrap())
            .collect();
        assert!(numbers.contains(&"drag_broom 2") && !numbers.contains(&"drag_broom 1"), "{numbers:?}");
        let aside = day["tools_aside"].as_array().unwrap();
        assert_eq!(aside.len(), 1);
        assert_eq!(aside[0]["number"], "drag_broom 1");
        assert_eq!((&aside[0]["length_um"], &aside[0]["limit_um"]), (&json!(69_850), &json!(69_850)));
    }

    async fn of_equal_tools_the_one_less_used_goes_out(house) {
        let yard = with_one_crew(house);
        let manager = house.manager().await;
        let broom = |day: &Value| {
            let all = orders(day);
            let mut tools = all.iter().flat_map(|order| order["tools"].as_array().unwrap());
            tools.find(|tool| tool["class"] == "drag_broom").unwrap()["number"].clone()
        };
        let day = yard.plan(&manager, DAY).await;
        assert_eq!(broom(&day), "drag_broom 1");
        manager.post(&yard.path(&format!("/days/{DAY}/issue")), &json!({})).await.expect(200);
        let order = turnarounds(&day, yard.courts[1])[0].clone();
        done_in(house, &yard, &manager, &order, 30).await;
        assert_eq!(broom(&yard.plan(&manager, NEXT).await), "drag_broom 2");
    }

    // Lengthwise one time and crosswise the next: a public club's maintenance page.
    async fn all_groomings_of_a_day_share_their_direction_or_turn_each_time_where_the_site_prefers(house) {
        let yard = with_one_crew(house);
        let manager = house.manager().await;
        // By the session that the turnaround follows, from 0; one crew may not reach every court each time.
        let directions = |day: &Value, court: i64| -> Vec<(usize, String)> {
            let sessions: Vec<i64> = db(house, |conn| {
                Ok(play_sessions::table
                    .filter(play_sessions::site_id.eq(yard.site).and(play_sessions::court_id.eq(court)))
                    .order(play_sessions::starts_at)
                    .select(play_sessions::id)
                    .load(conn)?)
            });
            let nth = |key: &str| sessions.iter().position(|id| key == format!("turnaround:{id}")).unwrap();
            let all = turnarounds(day, court).into_iter();
            all.map(|order| (nth(order["visit_key"].as_str().unwrap()), order["direction"].as_str().unwrap().to_owned()))
                .collect()
        };
        let day = yard.plan(&manager, DAY).await;
        for court in yard.courts {
            let one_way = directions(&day, court);
            assert!(one_way.len() >= 2 && one_way.iter().all(|(_, way)| way == "along"), "{one_way:?}");
        }
        set(&yard, &manager, &json!({ "direction_per": "grooming" })).await;
        let day = yard.plan(&manager, DAY).await;
        for court in yard.courts {
            let turned = directions(&day, court);
            assert!(turned.len() >= 2);
            for (nth, way) in &turned {
                assert_eq!(way, ["along", "across", "along"][*nth], "{turned:?}");
            }
        }
    }

    // Common practice, no source: a court drains after its soak before anybody steps on it.
    async fn a_soak_is_over_in_time_for_the_court_to_drain_and_nobody_steps_on_it_meanwhile(house) {
        let yard = Yard::db_lay(house);
        let manager = house.manager().await;
        set(&yard, &manager, &json!({ "drain_after_soak_s": 1_800 })).await;
        let day = yard.plan(&manager, DAY).await;
        let waterings = day["waterings"].as_array().unwrap();
        let soaks: Vec<_> = waterings.iter().filter(|run| run["kind"] == "soak").collect();
        assert_eq!(soaks.len(), 2, "{}", day["unfitted"]);
        for soak in soaks {
            assert!(instant(&soak["ends_at"]) <= local(DAY, "12:30"), "players come at one: {soak}");
            for order in orders(&day).into_iter().filter(|o| o["court_id"] == soak["court_id"]) {
                let (from, to) = (instant(&order["planned_start"]), instant(&order["planned_end"]));
                let meanwhile = to > instant(&soak["starts_at"]) && from < local(DAY, "13:00");
                assert!(!meanwhile, "{order}");
            }
        }
    }

    async fn a_gap_too_short_for_soak_and_draining_is_told_and_the_court_groomed_all_the_same(house) {
        let yard = Yard::db_lay(house);
        let manager = house.manager().await;
        set(&yard, &manager, &json!({ "drain_after_soak_s": 5_000 })).await;
        let day = yard.plan(&manager, DAY).await;
        let left: Vec<_> = day["unfitted"].as_array().unwrap().iter()
            .filter(|visit| visit["title"] == "Midday soak")
            .map(|visit| visit["reason"].as_str().unwrap())
            .collect();
        assert_eq!(left, ["water_cannot_finish"; 2]);
        assert!(day["waterings"].as_array().unwrap().iter().all(|run| run["kind"] != "soak"));
        let noon = turnarounds(&day, yard.courts[0])[0];
        assert!(instant(&noon["planned_end"]) <= local(DAY, "13:00"));
        let codes: Vec<_> = noon["steps"].as_array().unwrap().iter().map(|s| s["code"].clone()).collect();
        assert!(!codes.contains(&json!("soak")), "{codes:?}");
    }

    async fn after_players_who_brush_and_sweep_a_court_is_looked_over_all_the_same_and_no_tool_taken(house) {
        let yard = Yard::db_lay(house);
        db(house, |conn| {
            diesel::update(play_sessions::table.filter(play_sessions::site_id.eq(yard.site)))
                .set(play_sessions::players_brush.eq(true))
                .execute(conn)?;
            Ok(())
        });
        let day = yard.plan(&house.manager().await, DAY).await;
        for court in yard.courts {
            let all = turnarounds(&day, court);
            assert_eq!(all.len(), 3, "{}", day["unfitted"]);
            for order in all {
                assert_eq!(order["steps"][0]["code"], "look_over");
                assert!(order["tools"].as_array().unwrap().is_empty(), "{order}");
                assert_eq!(order["direction"], Value::Null);
                let took = instant(&order["planned_end"]).utc() - instant(&order["planned_start"]).utc();
                assert!(took < TimeDelta::minutes(15));
            }
        }
    }

    // Common practice, no source: pulled too fast, a tool hops and leaves ridges.
    async fn the_order_names_the_pace_and_towing_only_where_a_tool_is_towed(house) {
        let yard = with_one_crew(house);
        let manager = house.manager().await;
        let groomings = |day: &Value| {
            let all: Vec<_> = orders(day).into_iter().flat_map(|order| order["steps"].as_array().unwrap().clone()).collect();
            all.into_iter().filter(|step| step["code"] == "groom").collect::<Vec<_>>()
        };
        let on_foot = groomings(&yard.plan(&manager, DAY).await);
        assert!(!on_foot.is_empty());
        for step in &on_foot {
            assert_eq!(step["caution"], "dust,pace");
        }
        db(house, |conn| {
            diesel::update(tool_classes::table.filter(tool_classes::site_id.eq(yard.site)))
                .set(tool_classes::pulled.eq("towed"))
                .execute(conn)?;
            Ok(())
        });
        for step in groomings(&yard.plan(&manager, DAY).await) {
            assert_eq!(step["caution"], "dust,pace,towing");
            assert!(step["planned_s"].as_i64() < on_foot[0]["planned_s"].as_i64(), "a cart is sooner done");
        }
    }

    // Common practice, no source: packed baselines are loosened before grooming.
    async fn what_comes_before_grooming_is_done_in_the_turnaround_s_one_visit_and_takes_its_materials_along(house) {
        let yard = with_one_crew(house);
        db_loosens_daily(house, &yard);
        let built = built(house, yard.site, DAY, local(DAY, "05:00"));
        let row = built.inputs.tasks.iter().find(|row| row.code == "loosen").unwrap();
        let loosens = |way: &JobWay| way.steps.iter().position(|step| step.care_task_id == row.id);
        for court in yard.courts {
            let hosts: Vec<_> = built.problem.visits.iter()
                .filter(|visit| built.table[&visit.id].at.court() == Some(court))
                .filter(|visit| built.table[&visit.id].ways.iter().any(|(way, _)| loosens(way).is_some()))
                .collect();
            let [host] = &hosts[..] else { panic!("one visit loosens court {court}: {}", hosts.len()) };
            assert!(host.id.starts_with("turnaround:") && host.after.is_empty() && host.ways.len() <= 12);
            let (mut with, mut without) = (Vec::new(), Vec::new());
            for (way, (order, _)) in host.ways.iter().zip(&built.table[&host.id].ways) {
                match loosens(order) {
                    // Right after the look-over.
                    Some(at) => { assert_eq!(at, 1); with.push(way.extra_cost); }
                    None => without.push(way.extra_cost),
                }
            }
            assert_eq!(with.iter().min(), Some(&0));
            assert!(without.iter().min() > Some(&0), "the shorter way carries what it leaves out");
        }
        let day = yard.plan(&house.manager().await, DAY).await;
        let loosened: Vec<_> = orders(&day).into_iter()
            .filter(|order| order["steps"].as_array().unwrap().iter().any(|step| step["code"] == "loosen"))
            .collect();
        assert!(!loosened.is_empty(), "{}", day["unfitted"]);
        for order in loosened {
            assert_eq!(order["kind"], "full_turnaround");
            let id = &order["materials"][0]["id"];
            let dressing = json!([{ "id": id, "code": "dressing", "name": "Dressing", "quantity": 20_000, "unit": "gram" }]);
            assert_eq!(order["materials"], dressing);
        }
    }
}
