//! A house in which closings were taken back, of today and of the past it was laid with, proves as before.

use roundhand::store::Role;
use serde_json::{Value, json};

use super::{check, on_each_engine, said};
use crate::support::{Client, House};

async fn finished(house: &House, client: &Client, date: &str) -> Value {
    let path = house.path(&format!("/orders?date={date}&state=finished&limit=200"));
    let all = client.get(&path).await.items();
    let on_a_court = all.into_iter().find(|order| order["court_id"].is_i64());
    on_a_court.expect("finished work")
}

fn proves(house: &House, when: &str) {
    let ran = check(house.database_url(), &[]);
    assert!(ran.status.success(), "{when}: {}", said(&ran));
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_house_proves_whatever_was_taken_back_and_closed_again() {
    on_each_engine(|house| async move {
        let manager = house.manager().await;
        let people = manager.get(&house.path("/people?limit=200")).await.items();
        let here = people.iter().find(|person| person["left_on"].is_null());
        let person = here.expect("somebody works here")["id"].clone();
        proves(&house, "before");
        // In the last hour before the office looks, when nobody is at work; each a minute of its own.
        for (date, at) in [
            ("2031-06-09", "2031-06-11T01:50:00Z"),
            ("2031-06-10", "2031-06-11T01:59:00Z"),
        ] {
            let order = finished(&house, &manager, date).await;
            let path = house.path(&format!("/orders/{}", order["id"]));
            let open = manager
                .post(&format!("{path}/take-back"), &json!({}))
                .await
                .expect(200);
            proves(&house, "taken back");
            let steps = open["steps"].as_array().unwrap().iter();
            let steps: Vec<&Value> = steps.map(|step| &step["position"]).collect();
            let told = json!({
                "happened_at": at, "fit": { "is": "yes" }, "steps_done": steps,
                "people": [{ "person_id": person, "minutes": 1 }],
            });
            let lead = house.as_role(Role::CrewLead).await;
            lead.post(&format!("{path}/finish"), &told)
                .await
                .expect(200);
            proves(&house, "closed again");
        }
    })
    .await;
}
