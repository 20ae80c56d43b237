//! Who sees costs, of which dates, and that the total is the sum.

use roundhand::store::Role;
use serde_json::{Value, json};

use crate::support::{Ground, Place, TODAY, on_both_engines};

on_both_engines! {
    async fn the_site_s_total_is_the_sum_of_its_courts_and_of_its_lines(house) {
        let ground = Ground::db_lay(house);
        let manager = house.manager().await;
        let on_court = Place::Court(ground.courts[0]);
        let on_bank = Place::Bank(ground.bank);
        for (place, at, minutes) in [(on_court, "08:00", 7), (on_bank, "08:30", 11)] {
            let id = ground.db_issue(house, place, TODAY, 0);
            let told = json!({
                "happened_at": format!("2031-06-10T{at}:00Z"),
                "fit": { "is": "yes" },
                "steps_done": [1],
                "people": [{ "person_id": ground.dear, "minutes": minutes }],
            });
            manager.post(&house.path(&format!("/orders/{id}/finish")), &told).await.expect(200);
        }
        let finance = house.as_role(Role::Finance).await;
        let june = "from=2031-06-01&to=2031-06-30";
        let costs = finance.get(&house.path(&format!("/costs?{june}"))).await.expect(200);
        let sum = |of: &Value| {
            let parts = of.as_array().unwrap().iter();
            parts.map(|part| part["cents"].as_i64().unwrap()).sum::<i64>()
        };
        assert_eq!(costs["cents"], sum(&costs["courts"]));
        assert_eq!(costs["cents"], sum(&costs["kinds"]));
        let courts = costs["courts"].as_array().unwrap();
        for court in &ground.courts {
            let of_court = courts.iter().find(|c| c["court_id"] == *court).unwrap();
            let path = house.path(&format!("/cost-lines?{june}&court_id={court}&limit=200"));
            let of_lines = sum(&finance.get(&path).await.items().into());
            assert!(of_lines > 0);
            assert_eq!(of_court["cents"], of_lines);
        }
        let later = house.path("/costs?from=2033-07-01&to=2033-07-01");
        let later = finance.get(&later).await.expect(200);
        assert_eq!(later["cents"], 0);
        assert_eq!(later["courts"].as_array().unwrap().len(), courts.len());
    }

    async fn dates_are_asked_for_and_no_more_than_four_hundred(house) {
        let finance = house.as_role(Role::Finance).await;
        for path in ["/costs", "/cost-lines", "/hours"] {
            for (query, status, field) in [
                ("", 400, "from"),
                ("?from=2031-06-01", 400, "to"),
                ("?from=2031-06-31&to=2031-07-01", 400, "from"),
                ("?from=2031-06-02&to=2031-06-01", 422, "to"),
                ("?from=2031-01-01&to=2032-02-05", 422, "to"),
            ] {
                let refused = finance.get(&house.path(&format!("{path}{query}"))).await;
                let fault = &refused.expect(status)["faults"][0];
                assert_eq!(fault["field"], field, "{path}{query}");
            }
            let most = house.path(&format!("{path}?from=2031-01-01&to=2032-02-04"));
            finance.get(&most).await.expect(200);
        }
    }

    async fn costs_are_for_the_manager_and_finance(house) {
        let dates = format!("from={TODAY}&to={TODAY}");
        for (role, costs, hours) in [
            (Role::Manager, 200, 200),
            (Role::Finance, 200, 200),
            (Role::CrewLead, 403, 200),
            (Role::CrewMember, 403, 403),
            (Role::FrontDesk, 403, 403),
        ] {
            let client = house.as_role(role).await;
            client.get(&house.path(&format!("/costs?{dates}"))).await.expect(costs);
            client.get(&house.path(&format!("/cost-lines?{dates}"))).await.expect(costs);
            client.get(&house.path(&format!("/hours?{dates}"))).await.expect(hours);
        }
    }
}
