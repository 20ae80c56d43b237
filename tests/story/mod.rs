//! The main job, end to end, over HTTP: a day is planned, handed out, worked, costed, and the
//! week's mail arrives.

use std::time::Duration;

use chrono::{DateTime, Utc};
use reqwest::Method;
use roundhand::jobs::run_due;
use roundhand::store::Role;
use serde_json::{Value, json};

use crate::mail::{MailServer, office, python_or_skip};
use crate::support::{Client, Engine, House, skip};

const DAY: &str = "2031-06-10";
const WEEK: &str = "2031-W24";

/// Watches a run until it is ready.
async fn ready(manager: &Client, at: &str) -> Value {
    for _ in 0..600 {
        let run = manager.get(at).await.expect(200);
        match run["state"].as_str() {
            Some("ready") => return run,
            Some("waiting" | "running") => tokio::time::sleep(Duration::from_millis(50)).await,
            other => panic!("the run is {other:?}: {run}"),
        }
    }
    panic!("the run does not end");
}

fn orders(day: &Value) -> Vec<&Value> {
    let rounds = day["rounds"].as_array().unwrap().iter();
    rounds
        .flat_map(|round| round["orders"].as_array().unwrap())
        .collect()
}

/// Who is on the shift of an order's crew.
async fn hand(house: &House, lead: &Client, crew: &Value) -> i64 {
    let shifts = lead
        .get(&house.path(&format!("/shifts?date={DAY}")))
        .await
        .expect(200);
    let shifts = shifts["items"].as_array().unwrap();
    let shift = shifts
        .iter()
        .find(|shift| shift["crew_id"] == *crew)
        .unwrap();
    shift["people"][0]["person_id"].as_i64().unwrap()
}

async fn a_day_is_planned_handed_out_worked_costed_and_told(house: &House) {
    let Some(python) = python_or_skip() else {
        return;
    };
    let manager = house.manager().await;
    let lead = house.as_role(Role::CrewLead).await;
    let finance = house.as_role(Role::Finance).await;

    // The manager plans the day and hands it out.
    let asked = manager
        .post(
            &house.path(&format!("/days/{DAY}/plan-runs")),
            &json!({ "seconds": 1, "seed": 7 }),
        )
        .await;
    assert_eq!(asked.status.as_u16(), 202, "{}", asked.text);
    let run = asked.header("location").unwrap().to_owned();
    let planned = ready(&manager, &run).await;
    assert!(planned["lower_bound_cents"].as_i64() <= planned["cost_cents"].as_i64());
    manager
        .post(&format!("{run}/take"), &json!({}))
        .await
        .expect(200);
    manager
        .post(&house.path(&format!("/days/{DAY}/issue")), &json!({}))
        .await
        .expect(200);

    // Fourteen courts, three sessions: the noon gaps do not hold a full turnaround of each.
    let day = lead
        .get(&house.path(&format!("/days/{DAY}")))
        .await
        .expect(200);
    assert_eq!(day["plan"]["state"], "issued");
    let short = orders(&day)
        .into_iter()
        .filter(|o| o["kind"] == "short_turnaround")
        .count();
    assert!(short > 0 || !day["unfitted"].as_array().unwrap().is_empty());

    // A crew goes through a court and gives its order back.
    let turnaround = orders(&day)
        .into_iter()
        .find(|o| o["kind"] == "full_turnaround")
        .expect("a full turnaround")
        .clone();
    let order = house.path(&format!("/orders/{}", turnaround["id"]));
    let worker = hand(house, &lead, &turnaround["crew_id"]).await;
    let start = turnaround["planned_start"].clone();
    let end = turnaround["planned_end"].clone();
    lead.post(&format!("{order}/start"), &json!({ "happened_at": start }))
        .await
        .expect(200);
    let steps: Vec<i64> = turnaround["steps"]
        .as_array()
        .unwrap()
        .iter()
        .map(|step| step["position"].as_i64().unwrap())
        .collect();
    let materials = lead.get(&house.path("/materials")).await.expect(200);
    let nails = materials["items"]
        .as_array()
        .unwrap()
        .iter()
        .find(|m| m["code"] == "line_nails")
        .unwrap()["id"]
        .clone();
    let told = json!({
        "happened_at": end,
        "fit": { "is": "yes" },
        "steps_done": steps,
        "people": [{ "person_id": worker, "started_at": start, "ended_at": end }],
        "materials": [{ "material_id": nails, "quantity": 12 }],
    });
    let key = format!("\"{}\"", uuid::Uuid::new_v4());
    let first = lead
        .post_with_key(&format!("{order}/finish"), &told, &key)
        .await
        .expect(200);
    // The tablet did not hear the answer and sends it again.
    let again = lead
        .post_with_key(&format!("{order}/finish"), &told, &key)
        .await
        .expect(200);
    assert_eq!(first, again);
    let closed = lead.get(&order).await.expect(200);
    assert_eq!(
        (&closed["state"], &closed["fit"]),
        (&json!("finished"), &json!("yes"))
    );

    // Finance sees the court's cost, and what it is made of, to the cent.
    let span = format!("from={DAY}&to={DAY}");
    let costs = finance
        .get(&house.path(&format!("/costs?{span}")))
        .await
        .expect(200);
    let court = costs["courts"]
        .as_array()
        .unwrap()
        .iter()
        .find(|c| c["court_id"] == turnaround["court_id"])
        .unwrap();
    let lines = finance
        .get(&house.path(&format!("/cost-lines?{span}")))
        .await
        .expect(200);
    let lines = lines["items"].as_array().unwrap();
    let sum: i64 = lines
        .iter()
        .map(|line| line["cents"].as_i64().unwrap())
        .sum();
    assert_eq!(court["cents"], sum);
    assert_eq!(costs["cents"], sum);
    for kind in ["labour", "material", "tool_wear"] {
        assert!(
            lines.iter().any(|line| line["kind"] == kind),
            "{kind}: {lines:?}"
        );
    }

    // A second order is left undone, with its reason.
    let other = orders(&day)
        .into_iter()
        .find(|o| o["id"] != turnaround["id"])
        .unwrap();
    let undone = json!({ "happened_at": other["planned_end"], "reason": "weather" });
    let other = house.path(&format!("/orders/{}", other["id"]));
    lead.post(&format!("{other}/leave-undone"), &undone)
        .await
        .expect(200);

    // Management gets the week by mail: the total is the one finance sees.
    let server = MailServer::start_anywhere(python);
    let send = house.path(&format!("/week-reports/{WEEK}/send"));
    let sent = manager.post(&send, &json!({})).await.expect(202);
    run_due(&office(house, &server.url()));
    let mails = usize::try_from(sent["mails"].as_i64().unwrap()).unwrap();
    let taken = server.taken(mails);
    assert_eq!(taken.len(), mails);
    let total = format!("${}.{:02}", sum / 100, sum % 100);
    let text: String = taken[0]
        .part(0)
        .split_whitespace()
        .collect::<Vec<_>>()
        .join(" ");
    assert!(text.contains(&total), "{total} is not in {text}");

    // Nobody else may: the crew lead neither sends the report nor sees the costs.
    lead.send(
        Method::GET,
        &house.path(&format!("/costs?{span}")),
        &[],
        None,
    )
    .await
    .expect(403);
}

/// Ten in the evening at the site: the day's work lies behind.
fn evening() -> DateTime<Utc> {
    "2031-06-11T02:00:00Z".parse().unwrap()
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn the_main_job_on_sqlite() {
    let house = House::open_at(Engine::Sqlite, evening()).unwrap();
    a_day_is_planned_handed_out_worked_costed_and_told(&house).await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn the_main_job_on_postgres() {
    match House::open_at(Engine::Postgres, evening()) {
        Some(house) => a_day_is_planned_handed_out_worked_costed_and_told(&house).await,
        None => skip("no PostgreSQL: tests/run starts one and sets ROUNDHAND_TEST_POSTGRES_URL"),
    }
}
