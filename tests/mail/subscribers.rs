//! Who gets the week report.

use reqwest::Method;
use roundhand::store::Role;
use serde_json::{Value, json};

use super::{WEEK, nobody_subscribed, subscribe_only};
use crate::support::on_both_engines;

on_both_engines! {
    async fn an_address_is_subscribed_once_and_taken_off(house) {
        let id = subscribe_only(house, "robin@example.org").await;
        let manager = house.manager().await;
        let path = house.path("/report-subscribers");
        let all = manager.get(&path).await.items();
        assert_eq!(all, [json!({ "id": id, "email": "robin@example.org", "name": "Robin Vale", "language": "en-US" })]);
        let again = json!({ "name": "Robin", "email": "robin@example.org" });
        manager.post(&path, &again).await.expect(409);

        let one = format!("{path}/{id}");
        manager.send(Method::DELETE, &one, &[], None).await.expect(204);
        manager.send(Method::DELETE, &one, &[], None).await.expect(404);
        assert!(manager.get(&path).await.items().is_empty());
    }

    async fn what_is_no_address_or_name_is_refused_by_field(house) {
        let manager = house.manager().await;
        let path = house.path("/report-subscribers");
        for (name, email, field) in [
            ("Robin", "robin", "/email"),
            ("Robin", "robin@example.org, kim@example.org", "/email"),
            ("Robin", "robin@example.org\r\nBcc: kim@example.org", "/email"),
            ("Robin", "robin@plätze.example", "/email"),
            ("", "robin@example.org", "/name"),
            ("Robin\r\nBcc: kim@example.org", "robin@example.org", "/name"),
        ] {
            let refused = manager.post(&path, &json!({ "name": name, "email": email })).await;
            assert_eq!(refused.expect(422)["faults"][0]["field"], field, "{name} {email}");
        }
    }

    async fn a_report_that_nobody_reads_is_not_sent(house) {
        nobody_subscribed(house).await;
        let manager = house.manager().await;
        let path = house.path(&format!("/week-reports/{WEEK}/send"));
        manager.post(&path, &Value::Null).await.expect(409);
        let report = manager.get(&house.path(&format!("/week-reports/{WEEK}"))).await.expect(200);
        assert_eq!(report["sendings"], json!([]));
    }

    async fn a_sending_told_twice_under_one_key_is_one(house) {
        subscribe_only(house, "robin@example.org").await;
        let manager = house.manager().await;
        let path = house.path(&format!("/week-reports/{WEEK}/send"));
        let key = "\"0b0e6a52-6b1e-4a53-9c0a-3d7f0a8f2f11\"";
        let first = manager.post_with_key(&path, &Value::Null, key).await.expect(202);
        assert_eq!(first, json!({ "iso_week": WEEK, "revision": 1, "mails": 1 }));
        let second = manager.post_with_key(&path, &Value::Null, key).await.expect(202);
        assert_eq!(second, first);
        let further = manager.post(&path, &Value::Null).await.expect(202);
        assert_eq!(further["revision"], 2);
    }

    async fn finance_sees_the_report_and_only_the_manager_sends_it(house) {
        subscribe_only(house, "robin@example.org").await;
        let path = house.path(&format!("/week-reports/{WEEK}"));
        let finance = house.as_role(Role::Finance).await;
        finance.get(&path).await.expect(200);
        finance.post(&format!("{path}/send"), &Value::Null).await.expect(403);
        house.as_role(Role::CrewLead).await.get(&path).await.expect(403);
    }
}
