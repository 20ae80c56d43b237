//! Taking a picture away, and where its content lies.

use std::path::{Path, PathBuf};

use actix_web::web;
use reqwest::Method;
use roundhand::desk::pictures::Settings;
use roundhand::store::Role;
use serde_json::{Value, json};

use super::made::jpeg;
use super::{of, send, trail_of};
use crate::accounts::db_count;
use crate::support::{Answer, Client, House, on_both_engines, serving, start};

async fn remove(client: &Client, house: &House, picture: &Value, why: &str) -> Answer {
    let path = of(house, picture, &format!("?why={why}"));
    client.send(Method::DELETE, &path, &[], None).await
}

/// Every file below a folder.
fn files(folder: &Path) -> Vec<PathBuf> {
    let mut found = Vec::new();
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            found.extend(files(&path));
        } else {
            found.push(path);
        }
    }
    found
}

on_both_engines! {
    async fn a_removed_picture_leaves_its_row_with_who_when_and_why(house) {
        let member = house.as_role(Role::CrewMember).await;
        let manager = house.manager().await;
        let picture = send(&member, house, "", "image/jpeg", jpeg(400, 300)).await.expect(201);
        remove(&member, house, &picture, "a%20face").await.expect_problem(403);
        for blank in ["", "%20"] {
            let refused = remove(&manager, house, &picture, blank).await;
            refused.expect_problem(422);
            assert_eq!(refused.fault(), "why");
        }
        assert_eq!(member.get(&of(house, &picture, "/content")).await.status, 200);

        remove(&manager, house, &picture, "a%20face%20in%20it").await.expect(204);
        for rest in ["/content", "/thumbnail"] {
            member.get(&of(house, &picture, rest)).await.expect_problem(404);
        }
        let row = member.get(&of(house, &picture, "")).await.expect(200);
        assert_eq!(row["removed_why"], "a face in it");
        assert_eq!(row["removed_at"], "2031-06-10T09:00:00Z");
        assert_eq!((&row["media_type"], &row["bytes"]), (&Value::Null, &Value::Null));
        assert_ne!(row["removed_by"], row["sent_by"]);
        remove(&manager, house, &picture, "again").await.expect_problem(409);
        for table in ["SELECT COUNT(*) AS rows FROM files", "SELECT COUNT(*) AS rows FROM file_contents"] {
            assert_eq!(db_count(house, table), 0, "{table}");
        }
        let trail = trail_of(&manager, house, "picture").await;
        let verbs: Vec<&Value> = trail.iter().map(|event| &event["verb"]).collect();
        assert_eq!(verbs, [&json!("removed"), &json!("added")]);
    }

    async fn what_another_picture_still_shows_stays(house) {
        let manager = house.manager().await;
        let one = send(&manager, house, "", "image/jpeg", jpeg(400, 300)).await.expect(201);
        let twin = send(&manager, house, "", "image/jpeg", jpeg(400, 300)).await.expect(201);
        remove(&manager, house, &one, "twice").await.expect(204);
        assert_eq!(manager.get(&of(house, &twin, "/content")).await.status, 200);
    }

    async fn a_service_with_a_folder_lays_them_there_and_leaves_those_of_the_database(house) {
        let folder = tempfile::tempdir().unwrap();
        let before = send(&house.manager().await, house, "", "image/jpeg", jpeg(40, 30)).await.expect(201);
        let mail = roundhand::mail::Settings::new(None, None, None).unwrap();
        let mut office = house.another_office(mail, house.office.clock.now());
        office.pictures = Settings::new(Some(folder.path().to_owned()), Settings::MOST_BYTES);
        let service = start(web::Data::new(office), serving());
        let manager = house.manager().await.at(&service.base);
        let picture = send(&manager, house, "", "image/jpeg", jpeg(400, 300)).await.expect(201);
        assert_eq!(files(folder.path()).len(), 2);
        assert_eq!(db_count(house, "SELECT COUNT(*) AS rows FROM file_contents"), 1);
        for one in [&picture, &before] {
            assert_eq!(manager.get(&of(house, one, "/content")).await.status, 200);
        }
        remove(&manager, house, &picture, "blurred").await.expect(204);
        assert!(files(folder.path()).is_empty());
    }
}
