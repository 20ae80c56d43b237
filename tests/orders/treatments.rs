//! Chemicals: what was put on, where, in which wind and by whom is kept, and only by whose skill is in date.
//!
//! Common practice, no source: the label and local law say what may be put on and by whom; the office only keeps it.

use diesel::prelude::*;
use roundhand::store::Role;
use roundhand::store::schema::{care_tasks, order_steps, people, skill_dates};
use serde_json::{Value, json};

use crate::support::{Ground, House, on_both_engines};

/// The order's first step takes a chemical.
fn db_chemical(house: &House, order: i64) {
    db_task(house, order, r#"{"chemical":true}"#);
}

/// Gives the task of the order's first step this detail.
fn db_task(house: &House, order: i64, detail: &str) {
    let done = house
        .office
        .db
        .write_shared(|conn| -> roundhand::store::Result<_> {
            let task: i64 = order_steps::table
                .filter(
                    order_steps::order_id
                        .eq(order)
                        .and(order_steps::position.eq(1)),
                )
                .select(order_steps::care_task_id)
                .first(conn)?;
            Ok(diesel::update(care_tasks::table.find(task))
                .set(care_tasks::detail.eq(detail))
                .execute(conn)?)
        });
    assert_eq!(done.expect("the tables"), 1);
}

fn db_skill_until(house: &House, person: i64, date: &str) {
    let date: chrono::NaiveDate = date.parse().expect("a date");
    let done = house
        .office
        .db
        .write_shared(|conn| -> roundhand::store::Result<_> {
            Ok(diesel::insert_into(skill_dates::table)
                .values((
                    skill_dates::site_id.eq(house.set_up.site_id),
                    skill_dates::person_id.eq(person),
                    skill_dates::skill.eq("chemicals"),
                    skill_dates::valid_until.eq(date),
                ))
                .execute(conn)?)
        });
    assert_eq!(done.expect("the tables"), 1);
}

fn finish(person: i64, treatments: &Value) -> Value {
    json!({
        "fit": { "is": "yes" }, "steps_done": [1],
        "people": [{ "person_id": person, "minutes": 25 }],
        "treatments": treatments,
    })
}

fn salt(person: i64) -> Value {
    json!({
        "person_id": person, "product": "Moisture salt", "lot": "L 204", "amount": 20_000, "unit": "gram",
        "place": "both baselines", "wind_mmps": 2_000,
    })
}

on_both_engines! {
    async fn a_chemical_is_told_whole_or_the_order_is_not_taken_back(house) {
        let ground = Ground::db_lay(house);
        let order = ground.db_issue_plain(house);
        db_chemical(house, order);
        let crew = house.as_role(Role::CrewLead).await;
        let path = house.path(&format!("/orders/{order}/finish"));
        let mut no_lot = salt(ground.dear);
        no_lot["lot"] = json!(" ");
        let mut stormy = salt(ground.dear);
        stormy["wind_mmps"] = json!(-1);
        for (treatments, field) in [
            (json!([]), "/treatments"),
            (json!([no_lot]), "/treatments/0/lot"),
            (json!([stormy]), "/treatments/0/wind_mmps"),
            (json!([salt(987_654)]), "/treatments/0/person_id"),
        ] {
            let refused = crew.post(&path, &finish(ground.dear, &treatments)).await;
            refused.expect_problem(422);
            assert_eq!(refused.fault(), field, "{treatments}");
        }
        let kept = house.path("/treatments");
        assert!(crew.get(&kept).await.items().is_empty(), "nothing is half written");

        crew.post(&path, &finish(ground.dear, &json!([salt(ground.dear)]))).await.expect(200);
        let kept = crew.get(&kept).await.items();
        assert_eq!(kept.len(), 1);
        for (field, value) in salt(ground.dear).as_object().unwrap() {
            assert_eq!(&kept[0][field], value, "{field}");
        }
        assert_eq!(kept[0]["order_id"], order);
    }

    // It happened: it is kept as it was told, and shown as what it was.
    async fn more_wind_than_was_allowed_is_not_refused_but_kept_and_shown(house) {
        let ground = Ground::db_lay(house);
        let crew = house.as_role(Role::CrewLead).await;
        let mut over = Vec::new();
        for (limit, person) in [(1_999, ground.dear), (2_000, ground.cheap)] {
            let order = ground.db_issue_plain(house);
            db_task(house, order, &format!(r#"{{"chemical":true,"max_wind_mmps":{limit}}}"#));
            let path = house.path(&format!("/orders/{order}/finish"));
            let told = crew.post(&path, &finish(person, &json!([salt(person)]))).await.expect(200);
            assert_eq!(told["treatments"][0]["wind_limit_mmps"], limit);
            over.push(told["treatments"][0]["over_wind_limit"].clone());
        }
        assert_eq!(over, [true, false]);
        let kept = crew.get(&house.path("/treatments")).await.items();
        let kept: Vec<_> = kept.iter().map(|one| one["over_wind_limit"].clone()).collect();
        assert_eq!(kept, over);
    }

    async fn who_does_not_have_the_skill_puts_no_chemical_on(house) {
        let ground = Ground::db_lay(house);
        let order = ground.db_issue_plain(house);
        db_chemical(house, order);
        let done = house.office.db.write_shared(|conn| -> roundhand::store::Result<_> {
            Ok(diesel::update(people::table.find(ground.dear)).set(people::skills.eq("[]")).execute(conn)?)
        });
        assert_eq!(done.expect("the tables"), 1);
        let crew = house.as_role(Role::CrewLead).await;
        let path = house.path(&format!("/orders/{order}/finish"));
        let refused = crew.post(&path, &finish(ground.dear, &json!([salt(ground.dear)]))).await;
        assert_eq!(refused.fault(), "/treatments/0/person_id");
        refused.expect_problem(422);
    }

    async fn whose_skill_has_run_out_puts_no_chemical_on(house) {
        let ground = Ground::db_lay(house);
        let order = ground.db_issue_plain(house);
        db_chemical(house, order);
        db_skill_until(house, ground.dear, "2031-06-09");
        let crew = house.as_role(Role::CrewLead).await;
        let path = house.path(&format!("/orders/{order}/finish"));
        let refused = crew.post(&path, &finish(ground.dear, &json!([salt(ground.dear)]))).await;
        assert_eq!(refused.fault(), "/treatments/0/person_id");
    }

    async fn where_no_step_takes_a_chemical_none_is_told(house) {
        let ground = Ground::db_lay(house);
        let order = ground.db_issue_plain(house);
        let crew = house.as_role(Role::CrewLead).await;
        let path = house.path(&format!("/orders/{order}/finish"));
        let refused = crew.post(&path, &finish(ground.dear, &json!([salt(ground.dear)]))).await;
        assert_eq!(refused.fault(), "/treatments");
    }
}
