//! The audit trail as the manager reads it: by court, order or person, with what was before and after.

use diesel::prelude::*;
use reqwest::Method;
use roundhand::store::schema::audit_events;
use serde_json::{Value, json};

use crate::check::{lived_in, said};
use crate::pages::visitor::Visitor;
use crate::support::{Client, Engine, House, db_run, on_both_engines, skip};

async fn trail(house: &House, client: &Client, query: &str) -> Vec<Value> {
    client
        .get(&house.path(&format!("/audit-events?{query}")))
        .await
        .items()
}

/// Changes a thing by what was read of it.
async fn patch(client: &Client, at: &str, body: &Value) -> Value {
    let read = client.get(at).await;
    let etag = read.header("etag").expect("a version").to_owned();
    client
        .send(Method::PATCH, at, &[("if-match", &etag)], Some(body))
        .await
        .expect(200)
}

fn db_data(house: &House) -> Vec<String> {
    let read = house.office.db.read(|conn| {
        Ok::<Vec<String>, roundhand::store::Error>(
            audit_events::table.select(audit_events::data).load(conn)?,
        )
    });
    read.unwrap()
}

const CALENDAR: &str = "https://calendar.example.org/one.ics";

async fn add_calendar(house: &House, manager: &Client) -> String {
    let court = manager.get(&house.path("/courts?limit=1")).await.items()[0]["id"].clone();
    let body = json!({
        "name": "Lessons", "court_id": court, "courts": {}, "makes": "sessions",
        "short_turnaround": false, "address": CALENDAR,
    });
    let made = manager
        .post(&house.path("/calendars"), &body)
        .await
        .expect(201);
    house.path(&format!("/calendars/{}", made["id"]))
}

on_both_engines! {
    async fn an_edit_tells_who_made_it_from_where_and_what_was_before_and_after(house) {
        let manager = house.manager().await;
        let courts = manager.get(&house.path("/courts?limit=2")).await.items();
        let (court, other) = (&courts[0], &courts[1]);
        let at = house.path(&format!("/courts/{}", court["id"]));
        patch(&manager, &at, &json!({ "name": "The long one" })).await;
        let found = trail(house, &manager, &format!("court_id={}", court["id"])).await;
        let edit = &found[0];
        assert_eq!((&edit["verb"], &edit["subject"]), (&json!("edited"), &json!("court")), "{edit}");
        assert_eq!(edit["before"], json!({ "name": court["name"] }));
        assert_eq!(edit["after"], json!({ "name": "The long one" }));
        assert_eq!(edit["from"], "127.0.0.1");
        assert!(edit["actor_name"].as_str().is_some_and(|name| !name.is_empty()), "{edit}");
        let of_other = trail(house, &manager, &format!("court_id={}", other["id"])).await;
        assert!(of_other.iter().all(|event| event["after"].get("name").is_none()), "{of_other:?}");
    }

    async fn a_setting_a_site_and_a_person_tell_before_and_after_as_well(house) {
        let manager = house.manager().await;
        patch(&manager, &house.path("/settings"), &json!({ "heat_begin_days_away": 9 })).await;
        let set = trail(house, &manager, "limit=1").await.remove(0);
        assert_eq!((&set["subject"], &set["after"]), (&json!("settings"), &json!({ "heat_begin_days_away": 9 })));
        assert!(set["before"]["heat_begin_days_away"].is_null(), "{set}");

        patch(&manager, &house.path(""), &json!({ "name": "Another name", "units": "metric" })).await;
        let edit = trail(house, &manager, "limit=1").await.remove(0);
        assert_eq!(edit["before"]["units"], "us_customary", "{edit}");
        assert_eq!(edit["after"]["name"], "Another name", "{edit}");

        let person = manager.get(&house.path("/people?limit=1")).await.items()[0]["id"].clone();
        let at = house.path(&format!("/people/{person}"));
        patch(&manager, &at, &json!({ "came_on": "2031-06-02" })).await;
        let edit = trail(house, &manager, &format!("person_id={person}")).await.remove(0);
        assert_eq!(edit["after"], json!({ "came_on": "2031-06-02" }));
    }

    /// The text of what is personal or secret can be taken away, and the chain still proves.
    async fn a_text_that_was_erased_reads_as_erased_and_the_chain_holds(house) {
        let manager = house.manager().await;
        let calendar = add_calendar(house, &manager).await;
        let other = "https://calendar.example.org/two.ics";
        patch(&manager, &calendar, &json!({
            "name": "Lessons", "court_id": manager.get(&calendar).await.body["court_id"], "courts": {},
            "makes": "sessions", "short_turnaround": false, "address": other,
        })).await;
        let edit = trail(house, &manager, "limit=1").await.remove(0);
        assert_eq!(edit["before"]["address"], CALENDAR, "{edit}");
        assert_eq!(edit["after"]["address"], other, "{edit}");
        assert!(db_data(house).iter().all(|data| !data.contains("calendar.example.org")));

        db_run(house, "DELETE FROM audit_words").unwrap();
        let edit = trail(house, &manager, "limit=1").await.remove(0);
        assert_eq!(edit["after"]["address"], json!({ "erased": true }), "{edit}");
        assert_eq!((&edit["from"], &edit["from_is_erased"]), (&Value::Null, &json!(true)));
        let ran = crate::check::check(house.database_url(), &[]);
        assert_eq!(ran.status.code(), Some(0), "{}", said(&ran));
        let refused = db_run(house, "UPDATE audit_touches SET seq = seq + 1").unwrap_err();
        assert!(refused.to_string().contains("append-only"), "{refused}");
    }

    async fn the_trail_is_read_newest_first_page_by_page_by_dates_and_by_one_thing_at_a_time(house) {
        let manager = house.manager().await;
        for name in ["One", "Two", "Three"] {
            patch(&manager, &house.path(""), &json!({ "name": name, "units": "metric" })).await;
        }
        let first = manager.get(&house.path("/audit-events?limit=2")).await.expect(200);
        let names: Vec<_> = first["items"].as_array().unwrap().iter().map(|e| &e["after"]["name"]).collect();
        assert_eq!(names, ["Three", "Two"]);
        let cursor = first["next_cursor"].as_str().unwrap();
        let next = trail(house, &manager, &format!("limit=1&cursor={cursor}")).await;
        assert_eq!(next[0]["after"]["name"], "One");
        assert!(trail(house, &manager, "to=2031-06-09").await.is_empty());
        assert_eq!(trail(house, &manager, "from=2031-06-10&to=2031-06-10&limit=3").await.len(), 3);
        for (query, field) in [("court_id=1&person_id=1", "court_id"), ("from=2031-06-10&to=2031-06-09", "to")] {
            let refused = manager.get(&house.path(&format!("/audit-events?{query}"))).await;
            refused.expect_problem(422);
            assert_eq!(refused.fault(), field);
        }
    }

    async fn the_page_says_it_in_plain_sentences_and_filters(house) {
        let manager = house.manager().await;
        let court = manager.get(&house.path("/courts?limit=1")).await.items()[0].clone();
        patch(&manager, &house.path(&format!("/courts/{}", court["id"])), &json!({ "name": "The long one" })).await;
        let visitor = Visitor::signed_in(house, roundhand::store::Role::Manager).await;
        let site = house.set_up.site_id;
        let shown = visitor.get(&format!("/sites/{site}/audit?about=court:{}&from=&to=&order=", court["id"])).await;
        let page = shown.page(200);
        for text in ["changed The long one", "is The long one", "from 127.0.0.1"] {
            assert!(page.contains(text), "{text}\n{page}");
        }
        let shown = visitor.get(&format!("/sites/{site}/audit?order=999999")).await;
        assert!(shown.page(200).contains("Nothing was done that fits"));
        visitor.get(&format!("/sites/{site}/audit?about=moon:1")).await.page(400);
        let shown = visitor.get(&format!("/sites/{site}/courts/{}", court["id"])).await;
        assert!(shown.page(200).contains("Who did what here"));
        let lead = Visitor::signed_in(house, roundhand::store::Role::CrewLead).await;
        lead.get(&format!("/sites/{site}/audit")).await.page(403);
    }
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn what_a_crew_did_is_found_by_order_by_court_and_by_who_worked() {
    for engine in [Engine::Sqlite, Engine::Postgres] {
        let Some(house) = lived_in(engine).await else {
            skip("no PostgreSQL: tests/run starts one and sets ROUNDHAND_TEST_POSTGRES_URL");
            continue;
        };
        let manager = house.manager().await;
        let all = trail(&house, &manager, "limit=200").await;
        let done = all
            .iter()
            .find(|event| event["verb"] == "finished")
            .expect("an order was finished");
        let order = &done["subject_id"];
        let verbs = |found: &[Value]| -> Vec<String> {
            found
                .iter()
                .map(|event| event["verb"].as_str().unwrap().to_owned())
                .collect()
        };
        let of_order = trail(&house, &manager, &format!("order_id={order}")).await;
        assert_eq!(verbs(&of_order), ["finished", "started"]);
        let at = house.path(&format!("/orders/{order}"));
        let court = manager.get(&at).await.expect(200)["court_id"].clone();
        let of_court = trail(&house, &manager, &format!("court_id={court}")).await;
        assert!(
            of_court.iter().any(|event| event["subject_id"] == *order),
            "{of_court:?}"
        );
        let worked = manager
            .get(&house.path("/hours?from=2031-06-10&to=2031-06-10&limit=200"))
            .await
            .items();
        let worked = worked
            .iter()
            .find(|entry| entry["order_id"] == *order)
            .unwrap();
        let of_person = trail(
            &house,
            &manager,
            &format!("person_id={}", worked["person_id"]),
        )
        .await;
        assert!(
            of_person.iter().any(|event| event["subject_id"] == *order),
            "{of_person:?}"
        );
    }
}
