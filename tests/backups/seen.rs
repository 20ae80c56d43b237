//! The owner sees how it stands with the backups, and asks for one.

use roundhand::jobs::run_due;
use serde_json::json;

use super::names;
use super::nightly::service;
use crate::pages::visitor::Visitor;
use crate::support::{Client, House, on_both_engines, serving, start};

const BACKUPS: &str = "/api/v1/installation/backups";

async fn owner_at(house: &House, base: &str) -> Client {
    let owner = &house.set_up.owner;
    let body = json!({ "email": owner.email, "password": owner.password });
    let pair = Client::nobody(base)
        .post("/api/v1/sign-in", &body)
        .await
        .expect(200);
    Client::nobody(base).with_token(pair["access_token"].as_str().unwrap())
}

on_both_engines! {
    async fn an_owner_asks_for_a_backup_once_and_gets_one(house) {
        let folder = tempfile::tempdir().unwrap();
        let now = "2031-06-10T06:00:00Z"; // before three at the site
        let serving = start(actix_web::web::Data::new(service(house, folder.path(), now)), serving());
        let owner = owner_at(house, &serving.base).await;
        let standing = owner.get("/api/v1/installation/backup-standing").await.expect(200);
        assert_eq!(standing["folder_is_set"], true);
        assert!(standing["age_s"].is_null());

        let key = format!("\"{}\"", uuid::Uuid::new_v4());
        for _ in 0..2 {
            let asked = owner.post_with_key(BACKUPS, &json!({}), &key).await.expect(202);
            assert_eq!(asked["state"], "waiting");
        }
        run_due(&service(house, folder.path(), now));
        let rows = owner.get(BACKUPS).await.items();
        assert_eq!(rows.iter().filter(|row| row["why"] == "asked").count(), 1, "{rows:?}");
        assert_eq!(names(folder.path()).len(), 2, "the file and its sheet");
        let asked = owner.post_with_key(BACKUPS, &json!({}), &key).await.expect(202);
        assert_eq!(asked["state"], "done");
        let standing = owner.get("/api/v1/installation/backup-standing").await.expect(200);
        assert_eq!(standing["age_s"], 0);
        assert!(!standing["last_proved"]["proved_at"].is_null(), "{standing}");
    }

    async fn the_owner_s_page_warns_of_no_backup_and_no_folder_and_shows_the_last_proved_restore(house) {
        let visitor = Visitor::owner(house).await;
        let shown = visitor.get("/installation").await;
        let page = shown.page(200);
        for said in ["The newest backup is older than a day", "No folder for backups is set", "never"] {
            assert!(page.contains(said), "{said}\n{page}");
        }
        assert!(!page.contains("Back up now"), "{page}");

        let folder = tempfile::tempdir().unwrap();
        run_due(&service(house, folder.path(), "2031-06-10T09:00:00Z"));
        let shown = visitor.get("/installation").await;
        let page = shown.page(200);
        assert!(!page.contains("older than a day"), "{page}");
        assert!(page.contains("Proved Tue, June 10"), "{page}");

        for account in &house.set_up.accounts {
            let other = Visitor::signed_in(house, account.role).await;
            other.get("/installation").await.page(403);
        }
    }
}
