//! The way up and the way down.

use std::collections::BTreeMap;

use super::catalogue::db_catalogue;
use crate::support::{Engine, House, on_both_engines, skip};

on_both_engines! {
    async fn every_step_can_be_taken_back_and_taken_again_to_the_same_tables(house) {
        let db = &house.office.db;
        let before = db_catalogue(house);
        assert!(before.len() > 30, "the house is laid: {} tables", before.len());

        db.revert_all().expect("the rows of a laid site are no hindrance");
        assert_eq!(db_catalogue(house), BTreeMap::new());
        assert!(db.needs_migration().unwrap());

        let steps = db.migrate().expect("the way up is open again");
        assert!(!steps.is_empty());
        assert_eq!(db_catalogue(house), before);
        assert!(!db.needs_migration().unwrap());
        assert_eq!(db.migrate().unwrap(), [""; 0], "no step is taken twice");
    }
}

#[test]
fn both_engines_hold_the_same_tables_columns_keys_and_indexes() {
    let Some(postgres) = House::open(Engine::Postgres) else {
        return skip("no PostgreSQL: tests/run starts one and sets ROUNDHAND_TEST_POSTGRES_URL");
    };
    let sqlite = House::open(Engine::Sqlite).unwrap();
    let (one, other) = (db_catalogue(&sqlite), db_catalogue(&postgres));
    let names = |tables: &super::catalogue::Catalogue| tables.keys().cloned().collect::<Vec<_>>();
    assert_eq!(names(&one), names(&other));
    for (name, table) in &one {
        assert_eq!(table, &other[name], "{name}, SQLite left, PostgreSQL right");
    }
}

/// The checks of a column's words and bounds are written alike in the steps of both engines.
#[test]
fn both_engines_check_the_same() {
    let folder = |engine: &str| format!("{}/migrations/{engine}", env!("CARGO_MANIFEST_DIR"));
    let checks = |engine: &str| -> BTreeMap<String, Vec<String>> {
        let steps = std::fs::read_dir(folder(engine)).expect("the steps are there");
        steps
            .map(|step| step.expect("a step").path())
            .map(|step| {
                let text = std::fs::read_to_string(step.join("up.sql")).expect("the way up");
                let lines = text.lines().map(|line| line.trim().trim_end_matches(','));
                let name = step
                    .file_name()
                    .expect("a name")
                    .to_string_lossy()
                    .into_owned();
                let checks = lines.filter(|line| line.starts_with("CHECK"));
                (name, checks.map(str::to_owned).collect())
            })
            .collect()
    };
    let sqlite = checks("sqlite");
    assert!(sqlite.values().flatten().count() > 20);
    assert_eq!(sqlite, checks("postgres"));
}
