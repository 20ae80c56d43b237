//! What a picture is of: told by its id, or by the key of the event that made it, whichever comes first.

use roundhand::store::Role;
use serde_json::{Value, json};

use super::made::jpeg;
use super::send;
use crate::support::{Client, Ground, House, on_both_engines};

async fn of_order(client: &Client, house: &House, order: i64) -> Vec<Value> {
    let path = house.path(&format!("/pictures?subject=order&subject_id={order}"));
    client.get(&path).await.items()
}

on_both_engines! {
    async fn a_picture_finds_its_order_whether_it_comes_before_or_after_the_closing(house) {
        let ground = Ground::db_lay(house);
        let member = house.as_role(Role::CrewMember).await;
        let order = ground.db_issue_plain(house);
        let key = uuid::Uuid::new_v4().to_string();
        let query = format!("?subject=order&of_key={key}&happened_at=2031-06-10T08:30:00Z");
        let early = send(&member, house, &query, "image/jpeg", jpeg(8, 8)).await.expect(201);
        assert_eq!(early["subject_id"], Value::Null);
        assert_eq!(early["happened_at"], "2031-06-10T08:30:00Z");
        assert!(of_order(&member, house, order).await.is_empty());

        // A closing that is refused names nothing, and the picture stays.
        let finish = house.path(&format!("/orders/{order}/finish"));
        let nobody = json!({ "fit": { "is": "yes" }, "steps_done": [], "people": [] });
        member.post_with_key(&finish, &nobody, &key).await.expect(422);
        let told = json!({
            "fit": { "is": "yes" }, "steps_done": [1, 2],
            "people": [{ "person_id": ground.dear, "minutes": 5 }],
        });
        member.post_with_key(&finish, &told, &key).await.expect(200);

        let late = send(&member, house, &query, "image/jpeg", jpeg(9, 9)).await.expect(201);
        assert_eq!(late["subject_id"], order);
        let found = of_order(&member, house, order).await;
        assert_eq!(found.len(), 2, "{found:?}");
        assert_eq!(found[0]["id"], early["id"]);
        assert_eq!(found[0]["subject_id"], order);
        let by_key = member.get(&house.path(&format!("/pictures?of_key={key}"))).await.items();
        assert_eq!(by_key, found);
    }

    async fn an_event_of_another_kind_names_nothing(house) {
        let ground = Ground::db_lay(house);
        let member = house.as_role(Role::CrewMember).await;
        let key = uuid::Uuid::new_v4().to_string();
        let query = |subject: &str| format!("?subject={subject}&of_key={key}");
        send(&member, house, &query("order"), "image/jpeg", jpeg(8, 8)).await.expect(201);
        let holds = house.path(&format!("/courts/{}/holds", ground.courts[0]));
        member.post_with_key(&holds, &json!({ "reason": "glass" }), &key).await.expect(200);
        let court = send(&member, house, &query("court"), "image/jpeg", jpeg(8, 8)).await.expect(201);
        assert_eq!(court["subject_id"], ground.courts[0]);
        let all = member.get(&house.path("/pictures")).await.items();
        assert_eq!(all[0]["subject_id"], Value::Null);
    }

    async fn a_defect_that_is_known_gets_another_picture_by_its_id(house) {
        let ground = Ground::db_lay(house);
        let lead = house.as_role(Role::CrewLead).await;
        let court = house.path(&format!("/courts/{}/defects", ground.courts[0]));
        let defect = lead.post(&court, &json!({ "kind": "hole" })).await.expect(201);
        let of = format!("?subject=defect&subject_id={}", defect["id"]);
        let picture = send(&lead, house, &of, "image/jpeg", jpeg(8, 8)).await.expect(201);
        assert_eq!(picture["subject_id"], defect["id"]);
        let none = send(&lead, house, "?subject=defect&subject_id=999999", "image/jpeg", jpeg(8, 8)).await;
        none.expect_problem(422);
        assert_eq!(none.fault(), "subject_id");
    }

    async fn a_picture_is_of_something_that_is_there_and_told_in_one_way(house) {
        let ground = Ground::db_lay(house);
        let member = house.as_role(Role::CrewMember).await;
        let court = ground.courts[0];
        let key = uuid::Uuid::new_v4();
        let taken = format!("?subject=court&subject_id={court}");
        send(&member, house, &taken, "image/jpeg", jpeg(8, 8)).await.expect(201);
        for (query, field) in [
            ("?subject=court&subject_id=999999".to_owned(), "subject_id"),
            ("?subject=court".to_owned(), "subject"),
            (format!("?subject_id={court}"), "subject"),
            (format!("?of_key={key}"), "subject"),
            (format!("?subject=court&subject_id={court}&of_key={key}"), "subject"),
            ("?happened_at=2031-06-11T09:00:00Z".to_owned(), "happened_at"),
            ("?happened_at=2021-06-11T09:00:00Z".to_owned(), "happened_at"),
        ] {
            let refused = send(&member, house, &query, "image/jpeg", jpeg(8, 8)).await;
            refused.expect_problem(422);
            assert_eq!(refused.fault(), field, "{query}");
        }
        // An outbox may be days old.
        let old = "?happened_at=2031-06-04T09:00:00Z";
        send(&member, house, old, "image/jpeg", jpeg(8, 8)).await.expect(201);
    }
}
