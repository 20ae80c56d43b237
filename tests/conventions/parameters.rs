//! Parameters and headers that cannot be read are told by name.

use serde_json::Value;

use crate::support::{House, Operation, on_both_engines};

/// The query parameters of an operation, as the document says them.
fn query_of(operation: &Operation) -> Vec<&Value> {
    let all = operation.said["parameters"].as_array();
    let all = all.map(Vec::as_slice).unwrap_or_default();
    all.iter()
        .filter(|parameter| parameter["in"] == "query")
        .collect()
}

/// What no parameter of this type can be.
fn unreadable(schema: &Value) -> &'static [&'static str] {
    match (schema["type"].as_str(), schema["format"].as_str()) {
        (Some("integer"), _) => &["", "seven", "1.5", "99999999999999999999", "%00"],
        (_, Some("date")) => &[
            "",
            "tomorrow",
            "2031-02-30",
            "2031-6-1",
            "-5000-01-01",
            "%2B12031-01-01",
            "2031-06-10T00:00:00Z",
        ],
        _ if schema["enum"].is_array() => &["", "nothing", "%00"],
        _ => &["%00"],
    }
}

fn path_of(house: &House, operation: &Operation) -> String {
    operation.path_at(house.set_up.site_id, |_| "1".to_owned())
}

on_both_engines! {
    async fn a_query_parameter_that_cannot_be_read_is_named(house) {
        let owner = house.owner().await;
        let mut asked = 0;
        for operation in Operation::all(&house.nobody()).await {
            let path = path_of(house, &operation);
            for parameter in query_of(&operation) {
                let name = parameter["name"].as_str().expect("a parameter has a name");
                let rest: Vec<_> = operation
                    .needed_query()
                    .into_iter()
                    .filter(|(other, _)| other != name)
                    .map(|(other, text)| format!("&{other}={text}"))
                    .collect();
                let rest = rest.concat();
                for text in unreadable(&parameter["schema"]) {
                    asked += 1;
                    let target = format!("{path}?{name}={text}{rest}");
                    let answer = owner.send(operation.method.clone(), &target, &[], None).await;
                    answer.expect_problem(400);
                    assert_eq!(answer.fault(), name, "{target}: {}", answer.text);
                }
            }
        }
        assert!(asked > 20, "{asked} questions");
    }

    async fn a_query_parameter_that_nobody_knows_or_that_comes_twice_is_refused(house) {
        let owner = house.owner().await;
        for operation in Operation::all(&house.nobody()).await {
            if !operation.is_a_list() {
                continue;
            }
            let path = format!("{}?{}", path_of(house, &operation), operation.needed_query_text());
            let unknown = owner.get(&format!("{path}&colour=red")).await;
            unknown.expect_problem(400);
            assert_eq!(unknown.fault(), "colour", "{}", operation.id);
            let twice = owner.get(&format!("{path}&limit=2&limit=3")).await;
            twice.expect_problem(400);
            assert_eq!(twice.fault(), "limit", "{}", operation.id);
        }
    }

    async fn what_happened_needs_the_clients_own_key(house) {
        let owner = house.owner().await;
        let mut asked = 0;
        for operation in Operation::all(&house.nobody()).await {
            if !operation.takes("Idempotency-Key") {
                continue;
            }
            asked += 1;
            let path = path_of(house, &operation);
            for key in ["", "seven", "\"\"", "123e4567-e89b-12d3-a456-42661417400g"] {
                let headers = [("idempotency-key", key)];
                let answer = owner.send(operation.method.clone(), &path, &headers[..usize::from(!key.is_empty())], None).await;
                answer.expect_problem(400);
                assert_eq!(answer.fault(), "Idempotency-Key", "{}", operation.id);
            }
        }
        assert!(asked > 0, "something happens");
    }

    /// RFC 6585 section 3, RFC 9110 section 13.1.1.
    async fn an_edit_needs_the_version_it_starts_from(house) {
        let owner = house.owner().await;
        let mut asked = 0;
        for operation in Operation::all(&house.nobody()).await {
            if !operation.takes("If-Match") {
                continue;
            }
            asked += 1;
            let path = path_of(house, &operation);
            let key = uuid::Uuid::new_v4().to_string();
            let key = ("idempotency-key", key.as_str());
            for (tag, status) in [("", 428), ("seven", 400), ("\"seven\"", 400), ("*", 400), ("W/\"1\"", 412)] {
                let headers = [key, ("if-match", tag)];
                let headers = &headers[..if tag.is_empty() { 1 } else { 2 }];
                let answer = owner.send(operation.method.clone(), &path, headers, None).await;
                answer.expect_problem(status);
            }
        }
        assert!(asked > 0, "something can be edited");
    }
}
