//! Running totals: many small lines sum to what is due, rounded once.

use serde_json::json;

use crate::support::{Client, Ground, House, Place, TODAY, on_both_engines};

async fn cents(house: &House, client: &Client, kind: &str, ground: &Ground) -> i64 {
    let mut sum = 0;
    for court in ground.courts {
        let of = format!("from={TODAY}&to={TODAY}&court_id={court}&kind={kind}&limit=200");
        let page = client.get(&house.path(&format!("/cost-lines?{of}"))).await;
        assert_eq!(page.body["next_cursor"], json!(null));
        let lines = page.items();
        sum += lines
            .iter()
            .map(|l| l["cents"].as_i64().unwrap())
            .sum::<i64>();
    }
    sum
}

on_both_engines! {
    async fn three_times_twenty_minutes_cost_one_hour_to_the_cent(house) {
        let ground = Ground::db_lay(house);
        let manager = house.manager().await;
        for hour in ["05:20", "05:40", "06:00"] {
            let id = ground.db_issue_plain(house);
            let told = json!({
                "happened_at": format!("2031-06-10T{hour}:00Z"),
                "fit": { "is": "yes" },
                "steps_done": [1],
                "people": [{ "person_id": ground.cheap, "minutes": 20 }],
            });
            manager.post(&house.path(&format!("/orders/{id}/finish")), &told).await.expect(200);
        }
        assert_eq!(cents(house, &manager, "labour", &ground).await, 1_001);
    }

    async fn thirty_odd_orders_sum_to_the_rounded_total_of_each_kind(house) {
        let ground = Ground::db_lay(house);
        let manager = house.manager().await;
        let (mut minute, mut minutes, mut water_ml) = (0, 0, 0);
        for round in 0..31 {
            let worked = 1 + round * 5 % 8;
            let soak_ml = 100_000 + round * 7_777;
            let place = match round % 4 {
                3 => Place::Bank(ground.bank),
                court => Place::Court(ground.courts[usize::try_from(court).unwrap()]),
            };
            let id = ground.db_issue(house, place, TODAY, soak_ml);
            minute += worked;
            let told = json!({
                "happened_at": format!("{TODAY}T{:02}:{:02}:00Z", 4 + minute / 60, minute % 60),
                "fit": { "is": "yes" },
                "steps_done": [1, 2],
                "people": [{ "person_id": ground.cheap, "minutes": worked }],
            });
            manager.post(&house.path(&format!("/orders/{id}/finish")), &told).await.expect(200);
            minutes += worked;
            water_ml += soak_ml;
        }
        let nearest = |n: i64, d: i64| (2 * n + d) / (2 * d);
        let labour = cents(house, &manager, "labour", &ground).await;
        assert_eq!(labour, nearest(minutes * 60 * 1_001, 3_600));
        let water = cents(house, &manager, "water", &ground).await;
        assert_eq!(water, nearest(water_ml * 130, 1_000_000));
        // 31 uses of $90 over 400 uses = 697.5 c, to the even cent.
        assert_eq!(cents(house, &manager, "tool_wear", &ground).await, 698);
    }
}
