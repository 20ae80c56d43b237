//! Whether the service lives and can be asked: what a balancer in front of several instances goes by.

use std::sync::mpsc::channel;

use chrono::TimeDelta;
use diesel::connection::SimpleConnection;
use roundhand::store::jobs::{JobKind, NewJob, job_add};
use roundhand::store::{self, Instant};
use serde_json::{Value, json};

use super::raw::exchange;
use crate::days::yard::db;
use crate::support::{Answer, Engine, House, on_both_engines};

async fn ready(house: &House) -> Answer {
    house.nobody().get("/readyz").await
}

fn db_mail_since(house: &House, since: Instant) {
    db(house, |conn| {
        let job = NewJob {
            site_id: Some(house.set_up.site_id),
            kind: JobKind::Mail,
            unique_key: &format!("a mail of {since}"),
            payload: &json!({}),
            run_at: since,
        };
        job_add(conn, &job, since).map(drop)
    });
}

on_both_engines! {
    async fn a_service_that_can_be_asked_says_so_and_names_nothing_of_where_its_data_lies(house) {
        let told = ready(house).await;
        assert_eq!(told.status, 200, "{}", told.text);
        let expected = json!({ "is": "ready", "database": true, "migrated": true, "oldest_mail_s": null });
        assert_eq!(told.body, expected);
        house.nobody().get("/healthz").await;
    }

    async fn mail_that_waits_too_long_is_told_and_keeps_nobody_away(house) {
        let ago = |minutes: i64| Instant::from(house.office.now().utc() - TimeDelta::minutes(minutes));
        db_mail_since(house, ago(50));
        assert_eq!(ready(house).await.expect(200)["is"], "ready");
        db_mail_since(house, ago(61));
        let told = ready(house).await.expect(200);
        assert_eq!((&told["is"], &told["oldest_mail_s"]), (&json!("late"), &json!(3_660)));
    }

    async fn a_schema_older_than_the_program_is_not_ready(house) {
        db(house, |conn| {
            conn.batch_execute(
                "DELETE FROM __diesel_schema_migrations WHERE version = \
                 (SELECT MAX(version) FROM __diesel_schema_migrations)",
            )?;
            Ok(())
        });
        let told = ready(house).await.expect(503);
        assert_eq!((&told["is"], &told["migrated"]), (&json!("not_ready"), &json!(false)));
        assert_eq!(exchange(&house.base, b"GET /healthz HTTP/1.0\r\n\r\n").status(), 200);
    }

    async fn a_service_that_stops_is_not_ready(house) {
        house.office.at_work.stop();
        assert_eq!(ready(house).await.expect(503)["is"], "stopping");
    }
}

/// Every connection is held, as where the database hangs: none answers within the time that one is waited for.
#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_database_that_does_not_answer_is_not_ready_while_the_process_lives() {
    let house = House::open(Engine::Sqlite).unwrap();
    let mut held = Vec::new();
    for _ in 0..6 {
        let office = house.office.clone();
        let ((begun, waits), (release, released)) = (channel(), channel::<()>());
        let thread = std::thread::spawn(move || {
            let read = office.db.read(|_| -> store::Result<()> {
                begun.send(()).unwrap();
                let _ = released.recv();
                Ok(())
            });
            read.unwrap();
        });
        waits.recv().unwrap();
        held.push((release, thread));
    }
    let told = ready(&house).await;
    let alive = house.nobody().get("/healthz").await.status;
    for (release, thread) in held {
        drop(release);
        thread.join().unwrap();
    }
    assert_eq!(alive, 200);
    let told = told.expect(503);
    assert_eq!(
        (&told["is"], &told["database"], &told["migrated"]),
        (&json!("not_ready"), &json!(false), &Value::Null)
    );
    assert_eq!(ready(&house).await.expect(200)["is"], "ready");
}
