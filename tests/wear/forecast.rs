//! When parts will be worn out, and which readings count for that.

use roundhand::store::Role;
use serde_json::{Value, json};

use crate::support::{Client, Ground, House, on_both_engines};

async fn measure(house: &House, client: &Client, ground: &Ground, um: i64) -> Value {
    let check = json!({ "tool_id": ground.drag, "readings": [
        { "wear_part_id": ground.brush, "points_um": [um], "read_in": "mm" }] });
    let taken = client.post(&house.path("/tool-checks"), &check).await;
    taken.expect(201)["readings"][0].clone()
}

async fn pull(house: &House, client: &Client, ground: &Ground, metres: i64) {
    let path = house.path(&format!("/wear-parts/{}/uses", ground.brush));
    client
        .post(&path, &json!({ "metres": metres }))
        .await
        .expect(201);
}

async fn brush(house: &House, client: &Client, ground: &Ground) -> Value {
    let path = house.path(&format!("/wear-parts/{}/wear", ground.brush));
    client.get(&path).await.expect(200)
}

on_both_engines! {
    async fn a_new_brush_has_a_forecast_on_day_one_and_its_own_record_takes_over(house) {
        let ground = Ground::db_lay(house);
        let manager = house.manager().await;
        let new = brush(house, &manager, &ground).await;
        assert_eq!((&new["readings"], &new["is_worn_out"]), (&json!(0), &json!(false)));
        let left = |wear: &Value, at: usize| wear["left_m"][at].as_i64().unwrap();
        assert!(left(&new, 0) < left(&new, 1) && left(&new, 1) < left(&new, 2), "{new}");
        let start = new["start_um"].as_i64().unwrap();
        // It wears half as fast as its class: 1 mm where the class says 2 for so much use.
        let a_step = left(&new, 1) / 40;
        let (mut length, mut of_class) = (start, start);
        for _ in 0..8 {
            pull(house, &manager, &ground, a_step).await;
            let worn = (start - new["worn_out_at_um"].as_i64().unwrap()) / 40;
            length -= worn / 2;
            of_class -= worn;
            let taken = measure(house, &manager, &ground, length).await;
            assert_eq!(taken["doubt"], Value::Null, "{taken}");
        }
        let used = brush(house, &manager, &ground).await;
        assert_eq!(used["readings"], 8);
        let now = used["length_um"].as_i64().unwrap();
        assert!((now - length).abs() < (now - of_class).abs(), "its own record, not the class: {used}");
        assert!(left(&used, 1) > left(&new, 1) - 8 * a_step, "it lasts longer than its class: {used}");
        assert_eq!(used["fitted"].as_array().unwrap().len(), 8);
    }

    async fn a_reading_that_cannot_well_be_is_kept_and_moves_nothing_until_somebody_confirms_it(house) {
        let ground = Ground::db_lay(house);
        let lead = house.as_role(Role::CrewLead).await;
        let start = brush(house, &lead, &ground).await["start_um"].as_i64().unwrap();
        for step in 1..=4 {
            pull(house, &lead, &ground, 5_000).await;
            measure(house, &lead, &ground, start - step * 3_000).await;
        }
        let before = brush(house, &lead, &ground).await;
        // Bristles do not grow.
        let odd = measure(house, &lead, &ground, start).await;
        assert_eq!(odd["doubt"], "too_long");
        let after = brush(house, &lead, &ground).await;
        assert_eq!((&after["length_um"], &after["left_m"]), (&before["length_um"], &before["left_m"]));
        let now = lead.get(&house.path("/wear")).await.expect(200);
        let doubted = now["doubted"].as_array().unwrap();
        assert_eq!((doubted.len(), &doubted[0]["id"]), (1, &odd["id"]));

        let confirm = house.path(&format!("/readings/{}/confirm", odd["id"]));
        house.as_role(Role::CrewMember).await.post(&confirm, &json!({})).await.expect_problem(403);
        let counts = lead.post(&confirm, &json!({})).await.expect(200);
        assert_eq!((&counts["state"], &counts["doubt"]), (&json!("standing"), &json!("too_long")));
        assert_ne!(brush(house, &lead, &ground).await["left_m"], before["left_m"]);
        lead.post(&confirm, &json!({})).await.expect_problem(409);
    }

    async fn a_wrong_reading_is_struck_with_a_reason_and_stays_to_be_seen(house) {
        let ground = Ground::db_lay(house);
        let lead = house.as_role(Role::CrewLead).await;
        let taken = measure(house, &lead, &ground, 100_000).await;
        let strike = house.path(&format!("/readings/{}/strike", taken["id"]));
        let silent = lead.post(&strike, &json!({ "why": " " })).await;
        silent.expect_problem(422);
        assert_eq!(silent.fault(), "/why");
        lead.post(&strike, &json!({ "why": "read on another brush" })).await.expect(200);
        let whole = brush(house, &lead, &ground).await;
        assert_eq!((&whole["readings"], &whole["all_readings"][0]["state"]), (&json!(0), &json!("struck")));
        lead.post(&strike, &json!({ "why": "again" })).await.expect_problem(409);
        lead.post(&house.path("/readings/999999/strike"), &json!({ "why": "x" })).await.expect_problem(404);
    }

    async fn two_readings_that_say_the_same_confirm_each_other(house) {
        let ground = Ground::db_lay(house);
        let lead = house.as_role(Role::CrewLead).await;
        let start = brush(house, &lead, &ground).await["start_um"].as_i64().unwrap();
        for step in 1..=4 {
            pull(house, &lead, &ground, 5_000).await;
            measure(house, &lead, &ground, start - step * 500).await;
        }
        // Half an inch went at once: a stone, or the ruler.
        let first = measure(house, &lead, &ground, start - 20_000).await;
        assert_eq!(first["doubt"], "further_than_forecast");
        let second = measure(house, &lead, &ground, start - 20_500).await;
        assert_eq!(second["doubt"], Value::Null, "the brush is so: {second}");
        assert_eq!(brush(house, &lead, &ground).await["readings"], 6);
    }

    async fn a_part_that_is_judged_by_eye_has_no_forecast_and_says_so(house) {
        let manager = house.manager().await;
        let parts = manager.get(&house.path("/wear-parts?limit=200")).await.items();
        let by_eye = parts.iter().find(|part| part["start_um"].is_null()).expect("a net");
        let path = house.path(&format!("/wear-parts/{}/wear", by_eye["id"]));
        manager.get(&path).await.expect_problem(409);
        let uses = house.path(&format!("/wear-parts/{}/uses", by_eye["id"]));
        manager.post(&uses, &json!({ "metres": 10 })).await.expect_problem(422);
    }

    async fn a_brush_whose_ends_differ_is_to_be_turned_and_one_that_is_nearly_down_to_be_changed(house) {
        let ground = Ground::db_lay(house);
        let lead = house.as_role(Role::CrewLead).await;
        let new = brush(house, &lead, &ground).await;
        assert_eq!((&new["across"], &new["change"]), (&Value::Null, &Value::Null));
        let limit = new["worn_out_at_um"].as_i64().unwrap();
        pull(house, &lead, &ground, new["left_m"][1].as_i64().unwrap()).await;
        // A seventh left, and a half inch longer on the right: the site turns from a quarter inch on.
        let points = [limit + 1_000, limit + 7_000, limit + 13_700];
        let check = json!({ "tool_id": ground.drag, "readings": [
            { "wear_part_id": ground.brush, "points_um": points, "read_in": "mm" }] });
        lead.post(&house.path("/tool-checks"), &check).await.expect(201);
        let worn = brush(house, &lead, &ground).await;
        assert_eq!(worn["across"]["verdict"], "turn_end_for_end", "{worn}");
        assert_eq!(worn["across"]["ends_differ_um"], 12_700);
        let change = &worn["change"];
        assert!(change["saving_cents"].as_i64().unwrap() >= 0, "{worn}");
        assert!(["now", "quiet_day", "at_limit"].contains(&change["when"].as_str().unwrap()));
        let visitor = crate::pages::visitor::Visitor::signed_in(house, Role::CrewLead).await;
        let page = visitor.get(&format!("/sites/{}/wear", house.set_up.site_id)).await;
        assert!(page.page(200).contains("Turn it end for end"));
    }

    async fn a_brush_that_had_been_used_before_anybody_counted_is_reckoned_from_its_first_length(house) {
        let ground = Ground::db_lay(house);
        let lead = house.as_role(Role::CrewLead).await;
        let new = brush(house, &lead, &ground).await;
        let half = i64::midpoint(new["start_um"].as_i64().unwrap(), new["worn_out_at_um"].as_i64().unwrap());
        let taken = measure(house, &lead, &ground, half).await;
        assert_eq!(taken["doubt"], Value::Null, "nothing speaks against the first");
        let used = brush(house, &lead, &ground).await;
        let off = used["length_um"].as_i64().unwrap() - half;
        assert!(off.abs() < 1_500, "{used}");
        let left = |wear: &Value| wear["left_m"][1].as_i64().unwrap();
        let share = left(&used) * 100 / left(&new);
        assert!((35..65).contains(&share), "about half its class's life is left: {share} %");
    }
}
