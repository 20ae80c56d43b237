//! Two at once, and one twice.

use serde_json::{Value, json};

use crate::support::{Ground, TODAY, on_both_engines};

fn finish(person: i64) -> Value {
    json!({
        "fit": { "is": "yes" },
        "steps_done": [1, 2],
        "people": [{ "person_id": person, "minutes": 10 }],
    })
}

on_both_engines! {
    async fn the_same_finish_sent_again_books_once_and_gets_the_first_answer(house) {
        let ground = Ground::db_lay(house);
        let id = ground.db_issue_plain(house);
        let manager = house.manager().await;
        let path = house.path(&format!("/orders/{id}/finish"));
        let key = "\"6f1c1f7e-3b8c-4a53-9d3e-0c5c9a1f2b11\"";

        let first = manager.post_with_key(&path, &finish(ground.dear), key).await;
        let again = manager.post_with_key(&path, &finish(ground.dear), key).await;
        assert_eq!(first.text, again.text);
        again.expect(200);
        let lines = format!("/cost-lines?from={TODAY}&to={TODAY}&order_id={id}&kind=labour");
        assert_eq!(manager.get(&house.path(&lines)).await.items().len(), 1);

        // The key stands for that finish alone, not for other words, and not for another order.
        manager.post_with_key(&path, &finish(ground.cheap), key).await.expect(422);
        let other = ground.db_issue_plain(house);
        let other = house.path(&format!("/orders/{other}/finish"));
        manager.post_with_key(&other, &finish(ground.dear), key).await.expect(422);
    }

    async fn of_two_who_finish_at_the_same_moment_one_wins(house) {
        let ground = Ground::db_lay(house);
        let manager = house.manager().await;
        for hour in 5..9 {
            let id = ground.db_issue_plain(house);
            let path = house.path(&format!("/orders/{id}/finish"));
            let told = |person| {
                let mut told = finish(person);
                told["happened_at"] = json!(format!("2031-06-10T{hour:02}:00:00Z"));
                told
            };
            let (one, two) = (told(ground.dear), told(ground.cheap));
            let (one, two) = tokio::join!(manager.post(&path, &one), manager.post(&path, &two));
            let mut both = [one.status.as_u16(), two.status.as_u16()];
            both.sort_unstable();
            assert_eq!(both, [200, 409], "{} {}", one.text, two.text);

            let hours = house.path(&format!("/hours?from={TODAY}&to={TODAY}&limit=200"));
            let hours = manager.get(&hours).await.items();
            assert_eq!(hours.iter().filter(|entry| entry["order_id"] == id).count(), 1);
        }
    }
}
