//! What was backed up comes back, row by row, and proves; what is not whole does not.

use std::sync::atomic::{AtomicBool, Ordering};

use roundhand::clock::Clock;
use roundhand::desk::access;
use roundhand::store::audit::{Deed, audit_append};
use roundhand::store::{Actor, Db, Error, Role};
use serde_json::json;

use super::place::{Blank, db_rows};
use super::{back_up, done, names, refused, roundhand};
use crate::check::{check, on_each_engine, said};
use crate::support::{Client, House, serving, start};

/// Writes into the house's audit chain until it is told to stop; gives how often it did.
fn write_on(house: &House, stop: &AtomicBool) -> usize {
    let db = Db::open(house.database_url(), 1, Clock::system()).unwrap();
    let scope = access::scope(&house.office, Actor::of(1), house.set_up.site_id).unwrap();
    let mut written = 0;
    while !stop.load(Ordering::Acquire) {
        let deed = Deed {
            verb: "noted",
            subject: "site",
            id: 1,
            data: json!({ "nth": written }),
        };
        db.write(&scope, |tx| audit_append(tx, &scope, &deed))
            .unwrap();
        written += 1;
    }
    written
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_house_that_is_written_to_meanwhile_comes_back_whole_and_proves() {
    on_each_engine(|house| async move {
        let folder = tempfile::tempdir().unwrap();
        let stop = AtomicBool::new(false);
        let (file, written) = std::thread::scope(|threads| {
            let writer = threads.spawn(|| write_on(&house, &stop));
            let file = back_up(house.database_url(), folder.path());
            stop.store(true, Ordering::Release);
            (file, writer.join().unwrap())
        });
        assert!(written > 0, "somebody wrote meanwhile");
        let place = Blank::like(house.database_url());
        let from = file.to_str().unwrap();
        let text = done(&roundhand(&["restore", from, "--database", &place.url]));
        assert!(text.ends_with("restored, and all proofs hold\n"), "{text}");
        let ran = check(&place.url, &[]);
        assert_eq!(ran.status.code(), Some(0), "{}", said(&ran));
        for table in ["work_orders", "audit_events", "cost_lines"] {
            assert!(db_rows(&place.url)[table].len() > 10, "{table} came back");
        }
    })
    .await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn every_row_comes_back_as_it_was_and_everybody_signs_in_anew() {
    on_each_engine(|house| async move {
        let folder = tempfile::tempdir().unwrap();
        let file = back_up(house.database_url(), folder.path());
        let place = Blank::like(house.database_url());
        done(&roundhand(&[
            "restore",
            file.to_str().unwrap(),
            "--database",
            &place.url,
        ]));
        assert_eq!(db_rows(&place.url), db_rows(house.database_url()));

        let mut office = house.another_office(
            roundhand::mail::Settings::default(),
            house.office.clock.now(),
        );
        office.db = Db::open(&place.url, 2, house.office.clock).unwrap();
        let service = start(actix_web::web::Data::new(office), serving());
        let manager = house.manager().await;
        manager.get(&house.path("/courts")).await.expect(200);
        let account = house
            .set_up
            .accounts
            .iter()
            .find(|a| a.role == Role::Manager)
            .unwrap();
        let nobody = Client::nobody(&service.base);
        let body = json!({ "email": account.email, "password": account.password });
        let pair = nobody.post("/api/v1/sign-in", &body).await.expect(200);
        let again = nobody.with_token(pair["access_token"].as_str().unwrap());
        assert!(!again.get(&house.path("/courts")).await.items().is_empty());
        // A token of before the restore is of a session that the restore ended.
        manager
            .at(&service.base)
            .get(&house.path("/courts"))
            .await
            .expect_problem(401);
    })
    .await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn only_its_owner_reads_a_backup_and_nothing_half_is_left_in_the_folder() {
    on_each_engine(|house| async move {
        let folder = tempfile::tempdir().unwrap();
        let into = folder.path().join("made/for-it");
        let file = back_up(house.database_url(), &into);
        let name = file.file_name().unwrap().to_string_lossy().into_owned();
        assert_eq!(names(&into), [name.clone(), format!("{name}.json")]);
        #[cfg(unix)]
        for name in names(&into) {
            use std::os::unix::fs::PermissionsExt;
            let mode = into.join(&name).metadata().unwrap().permissions().mode();
            assert_eq!(mode & 0o777, 0o600, "{name}");
        }
        // A file that is there is not written over.
        let text = refused(&roundhand(&[
            "backup",
            "--database",
            house.database_url(),
            "--to",
            file.to_str().unwrap(),
        ]));
        assert!(text.contains("is there already"), "{text}");
    })
    .await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_backup_that_is_torn_or_changed_or_without_its_sheet_is_refused_and_leaves_nothing() {
    on_each_engine(|house| async move {
        let folder = tempfile::tempdir().unwrap();
        let file = back_up(house.database_url(), folder.path());
        let whole = std::fs::read(&file).unwrap();
        let mut changed = whole.clone();
        let middle = changed.len() / 2;
        changed[middle] ^= 1;
        let place = Blank::like(house.database_url());
        let restore = || roundhand(&["restore", file.to_str().unwrap(), "--database", &place.url]);
        for bytes in [&whole[..whole.len() - 100], &changed] {
            std::fs::write(&file, bytes).unwrap();
            let text = refused(&restore());
            assert!(text.contains("is not whole"), "{text}");
        }
        std::fs::write(&file, &whole).unwrap();
        let sheet = format!("{}.json", file.display());
        let kept = std::fs::read(&sheet).unwrap();
        std::fs::remove_file(&sheet).unwrap();
        let text = refused(&restore());
        assert!(text.contains("which says what the backup is"), "{text}");
        // After all that the place is as blank as it was.
        std::fs::write(&sheet, &kept).unwrap();
        done(&restore());
    })
    .await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn what_stands_somewhere_is_not_written_over() {
    on_each_engine(|house| async move {
        let url = house.database_url();
        let folder = tempfile::tempdir().unwrap();
        let file = back_up(url, folder.path());
        let from = file.to_str().unwrap();
        let before = db_rows(url);
        let text = refused(&roundhand(&["restore", from, "--database", url]));
        assert!(text.contains("holds something"), "{text}");
        // Somebody has the file open, or a server is no file: neither is replaced.
        let text = refused(&roundhand(&[
            "restore",
            from,
            "--database",
            url,
            "--replace",
        ]));
        assert!(
            text.contains("stop the service first") || text.contains("into a new database"),
            "{text}"
        );
        assert_eq!(db_rows(url), before);
    })
    .await;
}

#[test]
fn a_file_that_nobody_has_open_is_copied_and_replaced_where_that_is_asked() {
    let folder = tempfile::tempdir().unwrap();
    let url_of = |name: &str| format!("sqlite:{}", folder.path().join(name).display());
    for name in ["one", "other"] {
        let demo = [
            "demo",
            "--once",
            "--now",
            "2031-06-10T09:00:00Z",
            "--database",
            &url_of(name),
        ];
        done(&roundhand(&demo));
    }
    let file = back_up(&url_of("one"), &folder.path().join("kept"));
    let args = [
        "restore",
        file.to_str().unwrap(),
        "--database",
        &url_of("other"),
        "--replace",
    ];
    let before = db_rows(&url_of("other"));
    let text = done(&roundhand(&args));
    assert_eq!(db_rows(&url_of("other")), db_rows(&url_of("one")));
    let copies = names(&folder.path().join("other.backups"));
    assert_eq!(copies.len(), 2, "{text}");
    let copy = folder.path().join("other.backups").join(&copies[0]);
    let back = url_of("back");
    done(&roundhand(&[
        "restore",
        copy.to_str().unwrap(),
        "--database",
        &back,
    ]));
    assert_eq!(db_rows(&back), before);
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_backup_that_is_to_be_proved_is_restored_elsewhere_and_noted() {
    on_each_engine(|house| async move {
        let folder = tempfile::tempdir().unwrap();
        let to = format!("{}/", folder.path().display());
        let args = [
            "backup",
            "--database",
            house.database_url(),
            "--to",
            &to,
            "--prove",
        ];
        let text = done(&roundhand(&args));
        assert!(
            text.contains("restored elsewhere, and all proofs hold"),
            "{text}"
        );
        assert_eq!(
            names(folder.path()).len(),
            2,
            "nothing of the proof is left"
        );
        let proved = house.office.db.read(|conn| {
            use diesel::prelude::*;
            use roundhand::store::schema::backups::dsl;
            Ok::<Option<roundhand::store::Instant>, Error>(
                dsl::backups.select(dsl::proved_at).first(conn)?,
            )
        });
        assert!(proved.unwrap().is_some());
    })
    .await;
}

#[test]
fn a_program_of_postgresql_that_is_missing_is_told_with_the_mend() {
    let Some((_home, url)) = crate::support::home(crate::support::Engine::Postgres) else {
        return crate::support::skip("no PostgreSQL: tests/run starts one");
    };
    done(&roundhand(&["migrate", "--database", &url]));
    let folder = tempfile::tempdir().unwrap();
    let to = format!("{}/", folder.path().display());
    let args = [
        "backup",
        "--database",
        &url,
        "--to",
        &to,
        "--postgres-tools",
        "/nowhere",
    ];
    let text = refused(&roundhand(&args));
    assert!(
        text.contains("pg_dump is not found") && text.contains("--postgres-tools"),
        "{text}"
    );
    assert!(
        names(folder.path()).is_empty(),
        "no half of a backup is left"
    );
}
