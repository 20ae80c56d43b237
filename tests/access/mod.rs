//! Who may do what: every operation of the service, asked by everybody.

pub mod personas;
mod requests;
mod table;

use std::collections::BTreeSet;

use serde_json::Value;

use crate::support::{Answer, House, Operation, on_both_engines};
use personas::{Everybody, Persona};
use requests::Requests;
use table::TABLE;

/// What somebody got, as a line of a report.
fn line(operation: &Operation, persona: Persona, wanted: u16, got: &Answer) -> String {
    format!(
        "{} as {persona:?}: {wanted} expected, {} came: {}",
        operation.id,
        got.status.as_u16(),
        got.text.chars().take(160).collect::<String>()
    )
}

async fn operations(house: &House) -> Vec<(Operation, &'static table::Row)> {
    let mut operations = Operation::all(&house.nobody()).await;
    // After it nobody's token holds any more.
    operations.sort_by_key(|operation| operation.id == "post_sign_out_everywhere");
    operations
        .into_iter()
        .filter_map(|operation| {
            let row = TABLE.iter().find(|row| row.operation == operation.id)?;
            Some((operation, row))
        })
        .collect()
}

/// Whether no list in it has a row.
fn is_empty(value: &Value) -> bool {
    match value {
        Value::Array(items) => items.is_empty(),
        Value::Object(members) => members.values().all(is_empty),
        _ => true,
    }
}

/// What is there at every site, as it is where nothing was done yet.
fn is_untouched(operation: &str, got: &Value) -> bool {
    match operation {
        "get_sites_settings" => got["version"] == 0,
        // Who manages it.
        "get_sites_users" => got["items"].as_array().is_some_and(|all| all.len() == 1),
        // What is shipped with the program.
        "get_sites_care_standard" => true,
        "get_sites_look_ahead" => got["days"].as_array().is_some_and(|days| {
            days.iter()
                .all(|day| day["work_s"] == 0 && day["cover_s"] == 0 && day["withheld"] == 0)
        }),
        _ => false,
    }
}

on_both_engines! {
    async fn every_operation_has_its_row_and_every_row_its_operation(house) {
        let operations = Operation::all(&house.nobody()).await;
        let served: BTreeSet<_> = operations.iter().map(|operation| operation.id.as_str()).collect();
        let written: BTreeSet<_> = TABLE.iter().map(|row| row.operation).collect();
        assert_eq!(written.len(), TABLE.len(), "a row stands twice in tests/access/table.rs");
        let missing: Vec<_> = served.difference(&written).collect();
        let idle: Vec<_> = written.difference(&served).collect();
        assert!(
            missing.is_empty() && idle.is_empty(),
            "tests/access/table.rs lacks {missing:?}, and has rows of no operation: {idle:?}"
        );
    }

    async fn everybody_gets_what_the_table_grants_and_nothing_else(house) {
        let everybody = Everybody::of(house).await;
        let requests = Requests::of(house).await;
        let mut wrong = Vec::new();
        for (operation, row) in operations(house).await {
            for (persona, client) in everybody.clients() {
                let got = requests.send(client, &operation, row).await;
                let wanted = row.status(persona);
                if got.status.as_u16() != wanted {
                    wrong.push(line(&operation, persona, wanted, &got));
                }
            }
        }
        assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    }

    /// Who may not do it learns nothing of what would have been right: neither body nor headers
    /// are looked at.
    async fn a_refused_role_is_refused_before_anything_it_sent_is_read(house) {
        let everybody = Everybody::of(house).await;
        let requests = Requests::of(house).await;
        let mut wrong = Vec::new();
        let mut asked = 0;
        for (operation, row) in operations(house).await {
            for (persona, client) in everybody.clients() {
                if row.status(persona) != 403 || operation.method == reqwest::Method::GET {
                    continue;
                }
                for (body, media_type) in [("{", "application/json"), ("no", "text/plain"), ("", "nothing")] {
                    asked += 1;
                    let got = requests.send_raw(client, &operation, body, media_type).await;
                    if got.status != 403 {
                        wrong.push(line(&operation, persona, 403, &got));
                    }
                }
            }
        }
        assert!(wrong.is_empty(), "{}", wrong.join("\n"));
        assert!(asked > 0, "some role is refused something");
    }

    async fn another_site_is_not_found_whatever_is_asked_of_it(house) {
        for (operation, row) in operations(house).await {
            let wanted = if operation.is_of_a_site() { 404 } else { row.status(Persona::Manager) };
            assert_eq!(row.status(Persona::OtherManager), wanted, "{}", operation.id);
        }
    }

    /// Ids run through the whole installation: one of another site does not lead there.
    async fn a_row_of_another_site_is_not_found_under_ones_own(house) {
        let everybody = Everybody::of(house).await;
        let requests = Requests::of(house).await;
        let other = everybody.client(Persona::OtherManager);
        let mut asked = 0;
        for (operation, row) in operations(house).await {
            let names = operation.path_names();
            let of_one_row = names.iter().any(|name| *name != "site_id" && name.ends_with("_id"));
            if !operation.is_of_a_site() || !of_one_row {
                continue;
            }
            asked += 1;
            let got = requests.send_to(other, &operation, row, everybody.other_site).await;
            assert_eq!(got.status, 404, "{}", line(&operation, Persona::OtherManager, 404, &got));
        }
        assert!(asked > 0, "some operation is about one row");
    }

    /// Another site that has nothing yet shows nothing: no list forgets to ask for the site.
    async fn nothing_of_one_site_shows_at_another(house) {
        let everybody = Everybody::of(house).await;
        let requests = Requests::of(house).await;
        let other = everybody.client(Persona::OtherManager);
        let mut asked = 0;
        for (operation, row) in operations(house).await {
            let of_one_row = operation.path_names().iter().any(|n| *n != "site_id" && n.ends_with("_id"));
            if operation.method != reqwest::Method::GET || !operation.is_of_a_site() || of_one_row {
                continue;
            }
            asked += 1;
            let got = requests.send_to(other, &operation, row, everybody.other_site).await.expect(200);
            assert!(is_untouched(row.operation, &got) || is_empty(&got), "{}: {got}", operation.id);
        }
        assert!(asked > 10, "{asked} operations show what a site has");
    }

    async fn everybody_sees_the_sites_they_belong_to(house) {
        let everybody = Everybody::of(house).await;
        let (own, other) = (house.set_up.site_id, everybody.other_site);
        for (persona, seen) in [
            (Persona::Manager, vec![own]),
            (Persona::FrontDesk, vec![own]),
            (Persona::OtherManager, vec![other]),
            (Persona::Owner, vec![own, other]),
        ] {
            let sites = everybody.client(persona).get("/api/v1/sites").await.items();
            let ids: Vec<_> = sites.iter().map(|site| site["id"].as_i64().unwrap()).collect();
            assert_eq!(ids, seen, "{persona:?}");
        }
    }

    async fn every_refusal_is_a_problem_document(house) {
        let everybody = Everybody::of(house).await;
        let requests = Requests::of(house).await;
        for (operation, row) in operations(house).await {
            for persona in [Persona::Unsigned, Persona::FrontDesk, Persona::OtherManager] {
                let got = requests.send(everybody.client(persona), &operation, row).await;
                if got.status.is_client_error() {
                    got.expect_problem(got.status.as_u16());
                }
            }
        }
    }
}
