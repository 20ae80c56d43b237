//! A house that was lived in: a past, a day that was planned, handed out and begun, and some of it
//! given back.

use std::time::Duration;

use roundhand::desk::set_up::lay_demo_history;
use roundhand::store::Role;
use serde_json::{Value, json};

use crate::support::{Engine, House, skip};

const DAY: &str = "2031-06-10";

/// Runs a check in a lived-in house on each engine that is at hand.
pub async fn on_each_engine<F: Future<Output = ()>>(check: impl Fn(House) -> F) {
    for engine in [Engine::Sqlite, Engine::Postgres] {
        match lived_in(engine).await {
            Some(house) => check(house).await,
            None => {
                skip("no PostgreSQL: tests/run starts one and sets ROUNDHAND_TEST_POSTGRES_URL");
            }
        }
    }
}

/// The house at ten in the evening, the day's work behind it.
pub async fn lived_in(engine: Engine) -> Option<House> {
    let house = House::open_at(engine, "2031-06-11T02:00:00Z".parse().unwrap())?;
    lay_demo_history(&house.office, house.set_up.site_id, 1, 1).unwrap();
    let manager = house.manager().await;
    let asked = manager
        .post(
            &house.path(&format!("/days/{DAY}/plan-runs")),
            &json!({ "seconds": 1, "seed": 7 }),
        )
        .await;
    let run = asked.header("location").expect("a run").to_owned();
    for _ in 0..600 {
        let state = manager.get(&run).await.expect(200)["state"].clone();
        if state == "ready" {
            break;
        }
        tokio::time::sleep(Duration::from_millis(50)).await;
    }
    let take = format!("{run}/take");
    manager.post(&take, &json!({})).await.expect(200);
    let issue = house.path(&format!("/days/{DAY}/issue"));
    manager.post(&issue, &json!({})).await.expect(200);
    for nth in 0..3 {
        work_a_little(&house, nth).await;
    }
    Some(house)
}

/// The nth order of the day is done by somebody, with a dozen nails.
pub async fn work_a_little(house: &House, nth: usize) {
    let lead = house.as_role(Role::CrewLead).await;
    let day = lead
        .get(&house.path(&format!("/days/{DAY}")))
        .await
        .expect(200);
    let rounds = day["rounds"].as_array().unwrap().iter();
    let orders: Vec<&Value> = rounds
        .flat_map(|round| round["orders"].as_array().unwrap())
        .filter(|order| order["kind"] == "full_turnaround")
        .collect();
    let order = orders[nth];
    let at = house.path(&format!("/orders/{}", order["id"]));
    let shifts = house.path(&format!("/shifts?date={DAY}"));
    let shifts = lead.get(&shifts).await.items();
    let shift = shifts
        .iter()
        .find(|s| s["crew_id"] == order["crew_id"])
        .unwrap();
    let materials = lead.get(&house.path("/materials")).await.items();
    let nails = materials
        .iter()
        .find(|m| m["code"] == "line_nails")
        .unwrap();
    let (start, end) = (&order["planned_start"], &order["planned_end"]);
    lead.post(&format!("{at}/start"), &json!({ "happened_at": start }))
        .await
        .expect(200);
    let steps = order["steps"].as_array().unwrap().iter();
    let told = json!({
        "happened_at": end,
        "fit": { "is": "yes" },
        "steps_done": steps.map(|step| step["position"].clone()).collect::<Vec<_>>(),
        "people": [{
            "person_id": shift["people"][0]["person_id"], "started_at": start, "ended_at": end,
        }],
        "materials": [{ "material_id": nails["id"], "quantity": 12 }],
    });
    lead.post(&format!("{at}/finish"), &told).await.expect(200);
}
