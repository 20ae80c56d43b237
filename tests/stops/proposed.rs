//! The next day, proposed by the office itself. The yard's zone is New York's: four hours behind UTC in June.

use reqwest::Method;
use roundhand::desk::Office;
use roundhand::jobs::run_due;
use roundhand::mail::Settings;
use serde_json::{Value, json};

use crate::days::yard::{THREE, Yard, orders};
use crate::support::{House, on_both_engines};

const TOMORROW: &str = "2031-06-11";

/// A further process on the house's data, as of `now`.
fn office(house: &House, now: &str) -> Office {
    let mail = Settings::new(None, None, None).expect("good settings");
    house.another_office(mail, now.parse().expect("an instant"))
}

/// The yard with play and shifts tomorrow; the house's own site proposes nothing.
async fn yard(house: &House) -> Yard {
    set(
        house,
        &house.path("/settings"),
        &json!({ "propose_by_itself": false }),
    )
    .await;
    let yard = Yard::db_lay_empty(house);
    yard.db_day(house, TOMORROW, THREE);
    yard
}

async fn set(house: &House, path: &str, settings: &Value) {
    let manager = house.manager().await;
    let tag = manager.get(path).await.header("etag").unwrap().to_owned();
    manager
        .send(Method::PATCH, path, &[("if-match", &tag)], Some(settings))
        .await
        .expect(200);
}

on_both_engines! {
    async fn at_five_the_next_day_is_planned_once_by_however_many_servers_and_nothing_is_issued(house) {
        let yard = yard(house).await;
        let manager = house.manager().await;
        assert_eq!(run_due(&office(house, "2031-06-10T20:59:59Z")), 0);
        let servers: Vec<_> = (0..2)
            .map(|_| {
                let office = office(house, "2031-06-10T21:00:00Z");
                std::thread::spawn(move || run_due(&office))
            })
            .collect();
        let jobs: usize = servers.into_iter().map(|server| server.join().unwrap()).sum();
        assert_eq!(jobs, 1);
        let day = yard.day(&manager, TOMORROW).await;
        assert_eq!(day["plan"]["state"], "planned");
        assert_eq!(day["plan"]["issued_at"], Value::Null);
        let orders = orders(&day);
        assert!(!orders.is_empty());
        assert!(orders.iter().all(|order| order["state"] == "planned"));
        let runs = manager.get(&yard.path(&format!("/days/{TOMORROW}/plan-runs"))).await.items();
        let [run] = &runs[..] else { panic!("one run: {runs:?}") };
        assert_eq!((&run["state"], &run["requested_by"]), (&json!("taken"), &Value::Null));
        assert_eq!(run_due(&office(house, "2031-06-10T21:00:01Z")), 0, "and not again");
        // The day after has nobody on shift.
        assert_eq!(run_due(&office(house, "2031-06-11T21:00:00Z")), 0);

        // Handing it out is the manager's, and plans it for nobody else.
        let issue = yard.path(&format!("/days/{TOMORROW}/issue"));
        assert_eq!(manager.post(&issue, &json!({})).await.expect(200)["state"], "issued");
    }

    async fn a_service_that_was_down_in_the_evening_proposes_the_day_when_it_is_back(house) {
        let yard = yard(house).await;
        assert_eq!(run_due(&office(house, "2031-06-11T09:00:00Z")), 1);
        let day = yard.day(&house.manager().await, TOMORROW).await;
        assert_eq!(day["plan"]["state"], "planned");
    }

    async fn a_day_that_somebody_planned_is_left_alone(house) {
        let yard = yard(house).await;
        let plan = yard.plan(&house.manager().await, TOMORROW).await["plan"].clone();
        assert_eq!(run_due(&office(house, "2031-06-10T21:00:00Z")), 0);
        assert_eq!(yard.day(&house.manager().await, TOMORROW).await["plan"], plan);
    }

    async fn a_site_sets_the_hour_or_that_it_wants_none(house) {
        let yard = yard(house).await;
        let settings = yard.path("/settings");
        set(house, &settings, &json!({ "propose_by_itself": false })).await;
        assert_eq!(run_due(&office(house, "2031-06-10T21:00:00Z")), 0);
        let later = json!({ "propose_by_itself": true, "propose_at": "19:30" });
        set(house, &settings, &later).await;
        assert_eq!(run_due(&office(house, "2031-06-10T23:29:59Z")), 0);
    }
}
