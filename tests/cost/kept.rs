//! What was booked stays as it was booked, and a change by another way is found.

use diesel::connection::SimpleConnection;
use roundhand::store::Result;
use roundhand::store::audit::audit_first_break;
use roundhand::store::dialect::engine;
use serde_json::json;

use crate::support::{Ground, House, on_both_engines};

async fn finish_one(house: &House, ground: &Ground) {
    ground.db_receive(house, 1, 100);
    let id = ground.db_issue_plain(house);
    let told = json!({
        "fit": { "is": "yes" },
        "steps_done": [1, 2],
        "people": [{ "person_id": ground.dear, "minutes": 25 }],
        "materials": [{ "material_id": ground.bags, "quantity": 1 }],
    });
    house
        .manager()
        .await
        .post(&house.path(&format!("/orders/{id}/finish")), &told)
        .await
        .expect(200);
}

fn db_run(house: &House, sql: &str) -> std::result::Result<(), String> {
    let done = house
        .office
        .db
        .write_shared(|conn| -> Result<()> { Ok(conn.batch_execute(sql)?) });
    done.map_err(|e| e.to_string())
}

fn db_first_break(house: &House, ground: &Ground) -> Option<i64> {
    let broken = house
        .office
        .db
        .read(|conn| audit_first_break(conn, &ground.scope));
    broken.expect("the chain can be read")
}

on_both_engines! {
    async fn what_was_booked_is_neither_changed_nor_deleted(house) {
        let ground = Ground::db_lay(house);
        finish_one(house, &ground).await;
        for table in
            ["audit_events", "order_events", "hours_entries", "stock_moves", "cost_lines"]
        {
            let change = format!("UPDATE {table} SET site_id = site_id");
            for sql in [change, format!("DELETE FROM {table}")] {
                let refused = db_run(house, &sql).unwrap_err();
                assert!(refused.contains("append-only"), "{sql}: {refused}");
            }
        }
    }

    async fn the_audit_chain_holds_until_a_row_is_changed_behind_its_back(house) {
        let ground = Ground::db_lay(house);
        finish_one(house, &ground).await;
        assert_eq!(db_first_break(house, &ground), None);

        let db = &house.office.db;
        let engine = db.read(|conn| -> Result<_> { Ok(engine(conn)) }).unwrap();
        let open = match engine {
            "sqlite" => "DROP TRIGGER audit_events_no_update",
            _ => "DROP TRIGGER audit_events_append_only ON audit_events",
        };
        db_run(house, open).unwrap();
        let change = "UPDATE audit_events SET subject_id = subject_id + 1 WHERE verb = 'finished'";
        db_run(house, change).unwrap();
        let broken = db_first_break(house, &ground);
        assert!(broken.is_some_and(|seq| seq > 0), "{broken:?}");
    }
}
