//! Edits of a thing.

use reqwest::Method;
use serde_json::json;

use crate::support::on_both_engines;

on_both_engines! {
    /// RFC 9110 section 13.1.1, RFC 6585 section 3: no blind overwriting.
    async fn an_edit_without_the_version_it_read_is_refused_and_changes_nothing(house) {
        let manager = house.manager().await;
        let path = house.path("");
        let before = manager.get(&path).await;
        let tag = before.header("etag").unwrap().to_owned();
        let edit = json!({ "name": "North Shore Courts", "units": "metric" });

        let blind = manager.send(Method::PATCH, &path, &[], Some(&edit)).await;
        blind.expect(428);
        let stale = manager.send(Method::PATCH, &path, &[("if-match", "\"999\"")], Some(&edit)).await;
        stale.expect(412);
        assert_eq!(manager.get(&path).await.body, before.body);

        let done = manager.send(Method::PATCH, &path, &[("if-match", &tag)], Some(&edit)).await;
        assert_ne!(done.header("etag"), Some(tag.as_str()));
        assert_eq!(done.expect(200)["name"], "North Shore Courts");
    }
}
