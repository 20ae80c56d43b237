//! A request for each operation: the ids of rows that are there, a body that reads, a fresh key and
//! the current version, so that the answer tells about access and not about form.

use std::collections::BTreeMap;

use reqwest::Method;
use roundhand::store::Role;
use serde_json::{Value, json};

use super::table::Row;
use crate::pictures::made::png;
use crate::pictures::send as send_picture;
use crate::support::{Answer, Client, House, Operation, db_planned_order};

/// Lightning, glass and a hole on some court, and a note on some order.
async fn tell_what_happens(house: &House) {
    let manager = house.manager().await;
    let lightning = json!({ "kind": "lightning" });
    manager.post(&house.path("/stops"), &lightning).await;
    let courts = manager.get(&house.path("/courts?limit=1")).await.items();
    if let Some(court) = courts.first() {
        let holds = house.path(&format!("/courts/{}/holds", court["id"]));
        manager.post(&holds, &json!({ "reason": "glass" })).await;
        let defects = house.path(&format!("/courts/{}/defects", court["id"]));
        manager.post(&defects, &json!({ "kind": "hole" })).await;
    }
    let orders = manager.get(&house.path("/orders?limit=1")).await.items();
    if let Some(order) = orders.first() {
        let notes = house.path(&format!("/orders/{}/notes", order["id"]));
        let told = json!({ "text": "", "kind": "refused" });
        manager.post(&notes, &told).await;
    }
}

/// A near miss, the manager named to read of it, and a word of the site.
async fn tell_incident(house: &House) {
    let told = json!({ "kind": "near_miss", "what": "heat", "place": "shed", "anyone_hurt": "no" });
    let manager = house.manager().await;
    manager
        .post(&house.path("/incidents"), &told)
        .await
        .expect(201);
    crate::incidents::name(house, Role::Manager).await;
    let word =
        json!({ "language": "vi", "subject_kind": "reason", "subject": "heat", "words": "nóng" });
    manager
        .post(&house.path("/site-words"), &word)
        .await
        .expect(201);
}

/// A tablet and a key of their own: those of the personas must stand until everything was asked.
async fn ids_of_its_own(house: &House) -> BTreeMap<String, String> {
    let manager = house.manager().await;
    let tablet = json!({ "name": "South crew's tablet" });
    let tablet = manager.post(&house.path("/devices"), &tablet).await;
    let key = json!({ "name": "Budget", "sees": ["cost"], "days": 30 });
    let key = manager.post(&house.path("/api-keys"), &key).await;
    let ids = [
        ("device_id", tablet.expect(201)),
        ("key_id", key.expect(201)),
    ];
    ids.into_iter()
        .map(|(name, made)| (name.to_owned(), made["id"].to_string()))
        .collect()
}

/// What requests are made of.
pub struct Requests {
    site_id: i64,
    nobody: Client,
    manager: Client,
    account: Value,
    ids: BTreeMap<String, String>,
}

impl Requests {
    /// Of this house: lays a work order, subscribes somebody to the week report, tells lightning, holds
    /// a court, sends a picture, tells a near miss, and looks up one id for each name in the document's paths.
    pub async fn of(house: &House) -> Self {
        db_planned_order(house);
        let subscriber = json!({ "name": "Kim Hale", "email": "kim@example.org" });
        let subscribers = house.path("/report-subscribers");
        house.manager().await.post(&subscribers, &subscriber).await;
        tell_what_happens(house).await;
        let member = house.as_role(Role::CrewMember).await;
        send_picture(&member, house, "", "image/png", png(8, 8))
            .await
            .expect(201);
        tell_incident(house).await;
        let account = house.set_up.accounts.first().expect("an account");
        let mut requests = Self {
            site_id: house.set_up.site_id,
            nobody: house.nobody(),
            manager: house.manager().await,
            account: json!({ "email": account.email, "password": account.password }),
            ids: ids_of_its_own(house).await,
        };
        for operation in Operation::all(&house.nobody()).await {
            let segments: Vec<_> = operation.path.split('/').collect();
            for pair in segments.windows(2) {
                let Some(name) = pair[1].strip_prefix('{').and_then(|s| s.strip_suffix('}')) else {
                    continue;
                };
                if name.ends_with("_id") && name != "site_id" && !requests.ids.contains_key(name) {
                    let id = requests.an_id(house, pair[0]).await;
                    requests.ids.insert(name.to_owned(), id);
                }
            }
        }
        requests
    }

    /// The id of something in a collection.
    async fn an_id(&self, house: &House, collection: &str) -> String {
        let list = self
            .manager
            .get(&house.path(&format!("/{collection}?limit=1")))
            .await;
        let first = &list.body["items"][0]["id"];
        // Where nothing is there yet, an id that leads nowhere.
        first.as_i64().unwrap_or(1).to_string()
    }

    fn path(&self, operation: &Operation, site_id: i64) -> String {
        operation.path_at(site_id, |name| self.ids[name].clone())
    }

    /// Sends an operation's request.
    pub async fn send(&self, client: &Client, operation: &Operation, row: &Row) -> Answer {
        self.send_to(client, operation, row, self.site_id).await
    }

    /// Sends it for another site, with the same ids behind it.
    pub async fn send_to(
        &self,
        client: &Client,
        operation: &Operation,
        row: &Row,
        site_id: i64,
    ) -> Answer {
        let path = self.path(operation, site_id) + "?" + operation.needed_query_text().as_str();
        let key = format!("\"{}\"", uuid::Uuid::new_v4());
        let mut headers = vec![("idempotency-key", key)];
        if operation.takes("If-Match") {
            let current = self.manager.get(&self.path(operation, self.site_id)).await;
            let tag = current.header("etag").unwrap_or("\"1\"");
            headers.push(("if-match", tag.to_owned()));
        }
        let mut headers: Vec<_> = headers
            .iter()
            .map(|(name, text)| (*name, text.as_str()))
            .collect();
        if row.body.starts_with("BEGIN:") {
            headers.push(("content-type", "text/calendar"));
            let method = operation.method.clone();
            return client.send_text(method, &path, &headers, row.body).await;
        }
        let body = self.body(row).await;
        client
            .send(operation.method.clone(), &path, &headers, body.as_ref())
            .await
    }

    /// Sends a body as it is, without key and version.
    pub async fn send_raw(
        &self,
        client: &Client,
        operation: &Operation,
        body: &'static str,
        media_type: &str,
    ) -> Answer {
        let path = self.path(operation, self.site_id);
        let headers = [("content-type", media_type)];
        client
            .send_text(operation.method.clone(), &path, &headers, body)
            .await
    }

    async fn body(&self, row: &Row) -> Option<Value> {
        if row.body.is_empty() {
            return None;
        }
        let mut text = row.body.to_owned();
        for field in ["email", "password"] {
            let value = self.account[field].as_str().unwrap_or_default();
            text = text.replace(&format!("${field}"), value);
        }
        text = text.replace("$anybody", &uuid::Uuid::new_v4().to_string());
        if text.contains("$refresh") {
            let path = "/api/v1/sign-in";
            let pair = self
                .nobody
                .send(Method::POST, path, &[], Some(&self.account))
                .await;
            let token = pair.body["refresh_token"].as_str().unwrap_or_default();
            text = text.replace("$refresh", token);
        }
        Some(serde_json::from_str(&text).expect("a row's body is JSON"))
    }
}
