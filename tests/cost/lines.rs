//! The lines an order leaves on its court.

use roundhand::store::Role;
use serde_json::{Value, json};

use crate::support::{Client, Ground, House, Place, TODAY, on_both_engines};

/// Kind, court and cents of an order's lines.
async fn lines(house: &House, client: &Client, id: i64) -> Vec<(String, i64, i64)> {
    let path = format!("/cost-lines?from={TODAY}&to={TODAY}&order_id={id}&limit=200");
    let lines = client.get(&house.path(&path)).await.items().into_iter();
    let line = |line: Value| {
        (
            line["kind"].as_str().unwrap().to_owned(),
            line["court_id"].as_i64().unwrap(),
            line["cents"].as_i64().unwrap(),
        )
    };
    lines.map(line).collect()
}

on_both_engines! {
    async fn a_finished_order_costs_its_court_time_bags_water_and_wear(house) {
        let ground = Ground::db_lay(house);
        ground.db_receive(house, 3, 1_000);
        let court = ground.courts[1];
        let id = ground.db_issue(house, Place::Court(court), TODAY, 1_920_000);
        let finance = house.as_role(Role::Finance).await;
        let manager = house.manager().await;
        let told = json!({
            "fit": { "is": "yes" },
            "steps_done": [1, 2],
            "people": [
                { "person_id": ground.dear, "minutes": 25 },
                { "person_id": ground.cheap, "minutes": 25 },
            ],
            "materials": [{ "material_id": ground.bags, "quantity": 1 }],
        });
        manager.post(&house.path(&format!("/orders/{id}/finish")), &told).await.expect(200);

        // 25 minutes at $18.50 an hour = 770.83 c, at $10.01 = 417.08 c; one of three bags worth
        // $10 = 333.33 c; 1.92 m³ at $1.30 = 249.6 c; $90 over 400 uses = 22.5 c, to the even cent.
        let line = |kind: &str, cents| (kind.to_owned(), court, cents);
        assert_eq!(lines(house, &finance, id).await, [
            line("labour", 771),
            line("labour", 417),
            line("material", 333),
            line("water", 250),
            line("tool_wear", 22),
        ]);
        let costs = house.path(&format!("/costs?from={TODAY}&to={TODAY}"));
        let costs = finance.get(&costs).await.expect(200);
        let mut courts = costs["courts"].as_array().unwrap().iter();
        let of_court = courts.find(|c| c["court_id"] == court).unwrap();
        assert_eq!(of_court["cents"], 771 + 417 + 333 + 250 + 22);
        assert_eq!(of_court["kinds"][0], json!({ "kind": "labour", "cents": 771 + 417 }));
    }

    async fn an_order_on_a_bank_splits_exactly_over_its_courts(house) {
        let ground = Ground::db_lay(house);
        let id = ground.db_issue(house, Place::Bank(ground.bank), TODAY, 0);
        let manager = house.manager().await;
        let told = json!({
            "fit": { "is": "yes" },
            "steps_done": [1],
            "people": [{ "person_id": ground.cheap, "minutes": 20 }],
            "tool_uses": [{ "tool_id": ground.drag, "uses": 3 }],
        });
        manager.post(&house.path(&format!("/orders/{id}/finish")), &told).await.expect(200);
        // 20 minutes at $10.01 an hour = 333.67 c, so 334; three uses = 67.5 c, to the even cent.
        let of = |kind: &str, cents: [i64; 3]| {
            let parts = ground.courts.into_iter().zip(cents);
            parts.map(|(court, cents)| (kind.to_owned(), court, cents)).collect::<Vec<_>>()
        };
        let expected = [of("labour", [112, 111, 111]), of("tool_wear", [23, 23, 22])];
        assert_eq!(lines(house, &manager, id).await, expected.concat());
    }

    async fn water_runs_only_where_the_soak_was_started(house) {
        let ground = Ground::db_lay(house);
        let manager = house.manager().await;
        let id = ground.db_issue(house, Place::Court(ground.courts[0]), TODAY, 1_920_000);
        let told = json!({
            "fit": { "is": "yes" },
            "steps_done": [1],
            "people": [{ "person_id": ground.dear, "minutes": 6 }],
            "tool_uses": [],
        });
        manager.post(&house.path(&format!("/orders/{id}/finish")), &told).await.expect(200);
        // 6 minutes at $18.50 an hour, no water, and the drag stayed in the shed.
        let only = ("labour".to_owned(), ground.courts[0], 185);
        assert_eq!(lines(house, &manager, id).await, [only]);
    }

    async fn a_pay_raise_changes_only_later_work(house) {
        let ground = Ground::db_lay(house);
        ground.db_pay(house, ground.cheap, TODAY, 2_002);
        let manager = house.manager().await;
        let mut cents = Vec::new();
        for day in ["2031-06-09", TODAY] {
            let id = ground.db_issue(house, Place::Court(ground.courts[0]), day, 0);
            let told = json!({
                "happened_at": format!("{day}T08:00:00Z"),
                "fit": { "is": "yes" },
                "steps_done": [1],
                "people": [{ "person_id": ground.cheap, "minutes": 60 }],
                "tool_uses": [],
            });
            manager.post(&house.path(&format!("/orders/{id}/finish")), &told).await.expect(200);
            let path = house.path(&format!("/cost-lines?from={day}&to={day}&order_id={id}"));
            let line = manager.get(&path).await.items().remove(0);
            // Tuesday and the Monday before it are of the pay week that began on Sunday.
            assert_eq!(line["pay_week"], "2031-06-08");
            cents.push(line["cents"].as_i64().unwrap());
        }
        assert_eq!(cents, [1_001, 2_002]);
    }
}
