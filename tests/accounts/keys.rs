//! Keys for pulls: read-only, of some sites, hashed, with an end.

use chrono::TimeDelta;
use reqwest::Method;
use roundhand::store::Role;
use serde_json::{Value, json};

use super::{account, db_count, db_user};
use crate::support::{Client, House, key_of, on_both_engines};

const COSTS: &str = "/costs?from=2031-06-01&to=2031-06-10";
const REPORT: &str = "/week-reports/2031-W23";

async fn keys(house: &House) -> Vec<Value> {
    let finance = house.as_role(Role::Finance).await;
    finance.get(&house.path("/api-keys")).await.items()
}

on_both_engines! {
    async fn a_key_reads_what_it_was_made_for_and_nothing_else(house) {
        let cost = house.nobody().with_token(&key_of(house, &["cost"]).await);
        cost.get(&house.path(COSTS)).await.expect(200);
        cost.get(&house.path(REPORT)).await.expect_problem(403);
        let reports = house.nobody().with_token(&key_of(house, &["reports"]).await);
        reports.get(&house.path(REPORT)).await.expect(200);
        reports.get(&house.path(COSTS)).await.expect_problem(403);
        reports.get(&house.path("/report-subscribers")).await.expect_problem(403);
        reports.post(&house.path(&format!("{REPORT}/send")), &json!({})).await.expect_problem(403);
        for path in ["/api/v1/me", "/api/v1/sites"] {
            cost.get(path).await.expect_problem(403);
        }
    }

    async fn a_key_is_shown_once_and_kept_as_a_digest(house) {
        let key = key_of(house, &["cost"]).await;
        assert!(key.starts_with("rhk_") && key.len() > 40, "{key}");
        let listed = keys(house).await;
        assert!(key.starts_with(listed[0]["hint"].as_str().unwrap()));
        assert!(!listed[0].to_string().contains(&key));
        let kept = "SELECT COUNT(*) AS rows FROM idempotency_keys WHERE body LIKE '%rhk\\_%' ESCAPE '\\' AND LENGTH(body) > 0 AND body LIKE '%\"key\":\"rhk%'";
        assert_eq!(db_count(house, kept), 0, "not even in the answer that is kept for a second sending");
    }

    async fn a_key_ends_and_says_when_it_was_last_used(house) {
        let key = key_of(house, &["cost"]).await;
        assert_eq!(keys(house).await[0]["last_used_at"], Value::Null);
        let at = |days| house.office.clock.now() + TimeDelta::days(days);
        for (days, status) in [(0, 200), (29, 200), (30, 401)] {
            let then = house.on_day(at(days));
            let client = Client::nobody(&then.base).with_token(&key);
            let got = client.get(&house.path(COSTS)).await;
            assert_eq!(got.status, status, "{days}: {}", got.text);
        }
        let used = keys(house).await[0]["last_used_at"].as_str().unwrap().to_owned();
        assert!(used.starts_with(&at(29).format("%FT%H:%M").to_string()), "{used}");
    }

    async fn a_key_that_is_taken_away_is_out_at_once(house) {
        let client = house.nobody().with_token(&key_of(house, &["cost"]).await);
        client.get(&house.path(COSTS)).await.expect(200);
        let id = keys(house).await[0]["id"].clone();
        let path = house.path(&format!("/api-keys/{id}"));
        let finance = house.as_role(Role::Finance).await;
        finance.send(Method::DELETE, &path, &[], None).await.expect(204);
        client.get(&house.path(COSTS)).await.expect_problem(404);
        finance.send(Method::DELETE, &path, &[], None).await.expect_problem(404);
    }

    /// A key must not outlive what its maker may see.
    async fn a_key_reaches_no_further_than_who_made_it(house) {
        let client = house.nobody().with_token(&key_of(house, &["cost"]).await);
        client.get(&house.path(COSTS)).await.expect(200);
        let manager = house.manager().await;
        let id = db_user(house, &account(house, Role::Finance).email);
        manager.send(Method::DELETE, &house.path(&format!("/users/{id}")), &[], None).await.expect(204);
        client.get(&house.path(COSTS)).await.expect_problem(404);
    }

    async fn what_is_wrong_with_a_key_is_named_by_its_field(house) {
        let finance = house.as_role(Role::Finance).await;
        for (body, field) in [
            (json!({ "name": "", "sees": ["cost"], "days": 1 }), "/name"),
            (json!({ "name": "a", "sees": [], "days": 1 }), "/sees"),
            (json!({ "name": "a", "sees": ["cost"], "days": 0 }), "/days"),
            (json!({ "name": "a", "sees": ["cost"], "days": 367 }), "/days"),
        ] {
            let refused = finance.post(&house.path("/api-keys"), &body).await;
            refused.expect_problem(422);
            assert_eq!(refused.fault(), field);
        }
    }
}
