//! Paths: the methods they take, the ids in them, and where nothing is.

use std::collections::{BTreeMap, BTreeSet};

use reqwest::Method;

use crate::support::{Operation, on_both_engines};

on_both_engines! {
    /// RFC 9110 sections 9.1 (whatever takes GET takes HEAD) and 15.5.6 (405 carries Allow).
    async fn a_path_answers_another_method_with_those_it_takes(house) {
        // Whose requests reach every path.
        let owner = house.owner().await;
        let mut paths: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
        for operation in Operation::all(&house.nobody()).await {
            let path = operation.path_at(house.set_up.site_id, |_| "1".to_owned());
            let methods = paths.entry(path).or_default();
            methods.insert(operation.method.to_string());
            if operation.method == Method::GET {
                methods.insert("HEAD".to_owned());
            }
        }
        for path in ["/healthz", "/api/openapi.json"] {
            let methods = ["GET", "HEAD"].map(str::to_owned);
            paths.insert(path.to_owned(), methods.into());
        }
        for (path, methods) in paths {
            for method in ["GET", "HEAD", "POST", "PUT", "PATCH", "DELETE", "OPTIONS", "QUERY"] {
                if methods.contains(method) {
                    continue;
                }
                let answer = owner.send(method.parse().unwrap(), &path, &[], None).await;
                assert_eq!(answer.status, 405, "{method} {path}: {}", answer.text);
                let allow = answer.header("allow").expect("405 carries Allow");
                let allowed: BTreeSet<_> = allow.split(", ").map(str::to_owned).collect();
                assert_eq!(allowed, methods, "{path}");
                if method != "HEAD" {
                    answer.expect_problem(405);
                }
            }
        }
    }

    /// RFC 9110 section 9.3.2.
    async fn the_headers_of_a_thing_can_be_asked_for_alone(house) {
        let manager = house.manager().await;
        let (whole, head) = (
            manager.get(&house.path("")).await,
            manager.send(Method::HEAD, &house.path(""), &[], None).await,
        );
        assert_eq!(head.status, 200);
        assert_eq!(head.header("etag"), whole.header("etag"));
        assert_eq!(head.text, "");
    }

    async fn an_id_that_is_no_number_is_named_and_one_that_leads_nowhere_is_not_found(house) {
        let manager = house.manager().await;
        let mut asked = 0;
        for operation in Operation::all(&house.nobody()).await {
            let names = operation.path_names();
            let Some(id) = names.iter().rfind(|name| name.ends_with("_id")) else {
                continue;
            };
            asked += 1;
            let path = |text: &str| {
                if *id == "site_id" {
                    return operation.path.replace("{site_id}", text);
                }
                operation.path_at(house.set_up.site_id, |_| text.to_owned())
            };
            let key = uuid::Uuid::new_v4().to_string();
            let headers = [("idempotency-key", key.as_str()), ("if-match", "\"1\"")];
            for text in ["seven", "1.5", "99999999999999999999", "%00", "%ff", "1%20"] {
                let answer = manager.send(operation.method.clone(), &path(text), &headers, None).await;
                answer.expect_problem(400);
                assert_eq!(answer.fault(), *id, "{} {text}", operation.id);
            }
            if operation.method == Method::GET {
                for text in ["0", "-1", "9223372036854775807"] {
                    manager.get(&path(text)).await.expect_problem(404);
                }
            }
        }
        assert!(asked > 5, "{asked} operations have an id in their path");
    }

    async fn a_date_or_week_in_a_path_that_is_none_is_named(house) {
        let manager = house.manager().await;
        let mut asked = 0;
        for operation in Operation::all(&house.nobody()).await {
            let names = operation.path_names();
            let Some(name) = names.iter().find(|name| !name.ends_with("_id")) else {
                continue;
            };
            asked += 1;
            let key = uuid::Uuid::new_v4().to_string();
            let headers = [("idempotency-key", key.as_str())];
            for text in [
                "today", "2031-02-30", "2031-6-1", "-5000-01-01", "%2B12031-01-01", "%00", "2031-06-10T00",
                "2031-W54", "2031-W00", "2031-W1", "2031W24", "-2031-W24", "20310-W24",
            ] {
                let path = operation.path_with(|part| match part {
                    "site_id" => house.set_up.site_id.to_string(),
                    part if part == *name => text.to_owned(),
                    _ => "1".to_owned(),
                });
                let answer = manager.send(operation.method.clone(), &path, &headers, None).await;
                answer.expect_problem(400);
                assert_eq!(answer.fault(), *name, "{path}");
            }
        }
        assert!(asked > 3, "{asked} operations are about a date or week");
    }

    async fn where_nothing_of_the_api_is_a_problem_document_says_so(house) {
        let manager = house.manager().await;
        for path in [
            "/api", "/api/v1/nothing", "/api/v2/sites", "/api/v1/sites/",
            &house.path("/nothing"), &house.path("/courts/"), &house.path("/courts/1/nothing"), &house.path("//courts"),
        ] {
            manager.get(path).await.expect_problem(404);
        }
    }

    /// Nobody learns without a token which paths there are.
    async fn without_a_token_every_path_of_the_api_answers_alike(house) {
        let nobody = house.nobody();
        for path in [
            "/api/v1/nothing", "/api/v1/sites", "/api/v1/sites/seven", "/api/v1/sites/999999/courts",
            &house.path("/nothing"),
        ] {
            let answer = nobody.get(path).await;
            answer.expect_problem(401);
            // RFC 9110 section 15.5.2.
            assert_eq!(answer.header("www-authenticate"), Some("Bearer"));
        }
    }
}
