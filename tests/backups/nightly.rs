//! Every night one backup is taken, whoever of the services takes it.

use std::path::Path;

use chrono::{DateTime, Utc};
use roundhand::desk::Office;
use roundhand::jobs::run_due;
use roundhand::mail::Settings as Mail;

use super::names;
use crate::support::{House, on_both_engines};

/// A service of the house with a folder for backups, whose clock stands at `now`.
pub fn service(house: &House, folder: &Path, now: &str) -> Office {
    let now: DateTime<Utc> = now.parse().unwrap();
    let mut office = house.another_office(Mail::default(), now);
    office.backups.folder = Some(folder.to_owned());
    office
}

/// The backups in a folder, without their sheets.
fn backups(folder: &Path) -> Vec<String> {
    names(folder)
        .into_iter()
        .filter(|name| !name.contains(".json"))
        .collect()
}

on_both_engines! {
    async fn a_night_is_backed_up_once_by_whichever_service_comes_first_and_proved(house) {
        let folder = tempfile::tempdir().unwrap();
        // The site is in New York: three in the morning is seven by UTC.
        for now in ["2031-06-11T06:59:00Z", "2031-06-11T07:01:00Z"] {
            let (one, other) = (service(house, folder.path(), now), service(house, folder.path(), now));
            std::thread::scope(|threads| {
                threads.spawn(|| run_due(&one));
                threads.spawn(|| run_due(&other));
            });
        }
        let files = backups(folder.path());
        assert_eq!(files.len(), 1, "{files:?}");
        assert!(files[0].contains("nightly"), "{files:?}");
        let owner = house.owner().await;
        let rows = owner.get("/api/v1/installation/backups").await.items();
        assert_eq!(rows.len(), 1, "{rows:?}");
        for row in &rows {
            assert_eq!(row["why"], "nightly");
            assert!(!row["proved_at"].is_null(), "{row}");
            assert!(files.iter().any(|file| row["file"] == file.as_str()), "{row}");
        }
    }

    async fn a_service_without_a_folder_takes_none_and_leaves_it_to_one_that_has_one(house) {
        let folder = tempfile::tempdir().unwrap();
        let now = "2031-06-11T08:00:00Z";
        let without = house.another_office(Mail::default(), now.parse().unwrap());
        run_due(&without);
        assert!(backups(folder.path()).is_empty());
        run_due(&service(house, folder.path(), now));
        assert_eq!(backups(folder.path()).len(), 1);
    }

    async fn a_night_that_fails_is_shown_and_tried_again(house) {
        let folder = tempfile::tempdir().unwrap();
        let blocked = folder.path().join("a-file");
        std::fs::write(&blocked, "in the way").unwrap();
        run_due(&service(house, &blocked, "2031-06-11T08:00:00Z"));
        let owner = house.owner().await;
        let rows = owner.get("/api/v1/installation/backups").await.items();
        assert!(rows[0]["failed_why"].as_str().unwrap().contains("a-file"), "{rows:?}");
        assert!(rows[0]["file"].is_null());

        std::fs::remove_file(&blocked).unwrap();
        run_due(&service(house, &blocked, "2031-06-11T08:01:00Z"));
        assert_eq!(backups(&blocked).len(), 1);
    }

    async fn only_the_last_nights_are_kept(house) {
        let folder = tempfile::tempdir().unwrap();
        for day in 11..=14 {
            let mut office = service(house, folder.path(), &format!("2031-06-{day}T08:00:00Z"));
            office.backups.keep_nights = 2;
            office.backups.keep_weeks = 0;
            run_due(&office);
        }
        let files = backups(folder.path());
        assert_eq!(files.len(), 2, "{files:?}");
        assert!(files[0].contains("20310613") && files[1].contains("20310614"), "{files:?}");
        let owner = house.owner().await;
        let rows = owner.get("/api/v1/installation/backups").await.items();
        let removed = rows.iter().filter(|row| !row["removed_at"].is_null()).count();
        assert_eq!((rows.len(), removed), (4, 2));
    }
}
