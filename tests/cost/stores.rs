//! Material from the stores.

use serde_json::{Value, json};

use crate::support::{Client, Ground, House, on_both_engines};

async fn take(house: &House, client: &Client, ground: &Ground, bags: i64) {
    let id = ground.db_issue_plain(house);
    let told = json!({
        "reason": "no_time",
        "materials": [{ "material_id": ground.bags, "quantity": bags }],
    });
    client
        .post(&house.path(&format!("/orders/{id}/leave-undone")), &told)
        .await
        .expect(200);
}

async fn stock(house: &House, client: &Client, ground: &Ground) -> (i64, i64) {
    let bags = client
        .get(&house.path(&format!("/materials/{}", ground.bags)))
        .await
        .expect(200);
    (
        bags["on_hand"].as_i64().unwrap(),
        bags["value_cents"].as_i64().unwrap(),
    )
}

async fn moves(house: &House, client: &Client, ground: &Ground) -> Vec<Value> {
    let path = house.path(&format!(
        "/stock-moves?material_id={}&limit=200",
        ground.bags
    ));
    client.get(&path).await.expect(200)["items"]
        .as_array()
        .unwrap()
        .clone()
}

on_both_engines! {
    /// Source: OpenStax, Principles of Accounting, volume 1, chapter 10, the perpetual moving
    /// average, to the exact cent: 150 at $21; 120 sold; 225 bought at $27; 180 sold; 210 bought
    /// at $33.
    async fn the_textbook_moving_average_closes_at_16_155_dollars(house) {
        let ground = Ground::db_lay(house);
        let manager = house.manager().await;
        ground.db_receive(house, 150, 150 * 2_100);
        take(house, &manager, &ground, 120).await;
        ground.db_receive(house, 225, 225 * 2_700);
        take(house, &manager, &ground, 180).await;
        ground.db_receive(house, 210, 210 * 3_300);

        let moves = moves(house, &manager, &ground).await;
        let issues = moves.iter().filter(|m| m["kind"] == "issue");
        let issued: Vec<_> = issues.map(|m| m["value_cents"].as_i64().unwrap()).collect();
        assert_eq!(issued, [-252_000, -473_294]);
        let (left, value) = stock(house, &manager, &ground).await;
        assert_eq!((left, value), (285, 890_206));
        assert_eq!(value - issued.iter().sum::<i64>(), 1_615_500);
    }

    async fn what_the_stores_do_not_have_is_taken_and_flagged(house) {
        let ground = Ground::db_lay(house);
        let manager = house.manager().await;
        ground.db_receive(house, 4, 1_000);
        take(house, &manager, &ground, 3).await;
        take(house, &manager, &ground, 3).await;
        let moves = moves(house, &manager, &ground).await;
        let told = |m: &Value| json!([m["quantity"], m["value_cents"], m["beyond_stock"]]);
        assert_eq!(moves.iter().map(told).collect::<Vec<_>>(), [
            json!([4, 1_000, false]),
            json!([-3, -750, false]),
            json!([-3, -250, true]),
        ]);
        assert_eq!(stock(house, &manager, &ground).await, (-2, 0));
    }
}
