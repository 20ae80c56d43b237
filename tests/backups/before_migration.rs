//! Before the schema changes, what stands is copied.

use super::place::db_rows;
use super::{done, names, refused, roundhand};
use crate::support::{Engine, House, db_run, skip};

/// The house as an earlier program left it: its last step is not yet taken.
fn db_go_back(house: &House) {
    db_run(
        house,
        "DROP TABLE backups; DELETE FROM __diesel_schema_migrations WHERE version = '00000000000024'",
    )
    .unwrap();
}

#[test]
fn a_file_is_copied_beside_itself_before_its_schema_changes() {
    let house = House::open(Engine::Sqlite).unwrap();
    db_go_back(&house);
    let before = db_rows(house.database_url());
    let text = done(&roundhand(&["migrate", "--database", house.database_url()]));
    assert!(text.contains("00000000000024"), "{text}");
    let path = house.database_url().strip_prefix("sqlite:").unwrap();
    let folder = std::path::PathBuf::from(format!("{path}.backups"));
    let copies = names(&folder);
    assert_eq!(copies.len(), 2, "{copies:?}");
    assert!(copies[0].contains("before-migration"), "{copies:?}");
    let copy = format!("sqlite:{}", folder.join(&copies[0]).display());
    assert_eq!(db_rows(&copy), before);
    // Where no step waits, nothing is copied.
    done(&roundhand(&["migrate", "--database", house.database_url()]));
    assert_eq!(names(&folder), copies);
}

#[test]
fn a_server_s_database_is_dumped_before_or_left_as_it_is_unless_somebody_says_so() {
    let Some(house) = House::open(Engine::Postgres) else {
        return skip("no PostgreSQL: tests/run starts one and sets ROUNDHAND_TEST_POSTGRES_URL");
    };
    let url = house.database_url();
    db_go_back(&house);
    let text = refused(&roundhand(&["migrate", "--database", url]));
    assert!(
        text.contains("--backup-folder") && text.contains("--without-backup"),
        "{text}"
    );
    let folder = tempfile::tempdir().unwrap();
    let into = folder.path().to_str().unwrap();
    done(&roundhand(&[
        "migrate",
        "--database",
        url,
        "--backup-folder",
        into,
    ]));
    assert_eq!(names(folder.path()).len(), 2);

    db_go_back(&house);
    done(&roundhand(&[
        "migrate",
        "--database",
        url,
        "--without-backup",
    ]));
    assert_eq!(names(folder.path()).len(), 2);
}

#[test]
fn a_blank_database_is_laid_without_one() {
    for engine in [Engine::Sqlite, Engine::Postgres] {
        let Some((_home, url)) = crate::support::home(engine) else {
            skip("no PostgreSQL: tests/run starts one and sets ROUNDHAND_TEST_POSTGRES_URL");
            continue;
        };
        done(&roundhand(&["migrate", "--database", &url]));
        if let Some(path) = url.strip_prefix("sqlite:") {
            assert!(!std::path::Path::new(&format!("{path}.backups")).exists());
        }
    }
}
