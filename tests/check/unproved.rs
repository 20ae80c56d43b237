//! Where nothing can be proved, it says so with an exit code of its own, and leaves nothing behind.

use roundhand::clock::Clock;
use roundhand::store::Db;

use super::check;
use crate::support::{Engine, home, skip};

fn told(url: &str, more: &[&str]) -> String {
    let ran = check(url, more);
    let told = String::from_utf8_lossy(&ran.stderr).into_owned();
    assert_eq!(ran.status.code(), Some(2), "{told}");
    assert!(ran.stdout.is_empty(), "nothing is said to hold");
    told
}

#[test]
fn a_file_that_is_not_there_is_not_made() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("none.sqlite");
    let text = told(&format!("sqlite:{}", path.display()), &[]);
    assert!(text.contains("there is no file"), "{text}");
    assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 0);
}

#[test]
fn a_blank_database_and_one_of_another_program_s_schema_are_told_apart() {
    for engine in [Engine::Sqlite, Engine::Postgres] {
        let Some((_home, url)) = home(engine) else {
            skip("no PostgreSQL: tests/run starts one and sets ROUNDHAND_TEST_POSTGRES_URL");
            continue;
        };
        if engine == Engine::Sqlite {
            std::fs::write(url.strip_prefix("sqlite:").unwrap(), "").unwrap();
        }
        assert!(told(&url, &[]).contains("holds no tables"));

        let db = Db::open(&url, 1, Clock::system()).unwrap();
        db.migrate().unwrap();
        let book = "__diesel_schema_migrations";
        let run = |sql: &str| {
            use diesel::connection::SimpleConnection;
            db.write_shared(|conn| match conn {
                roundhand::store::Conn::Sqlite(conn) => Ok(conn.batch_execute(sql)?),
                roundhand::store::Conn::Pg(conn) => {
                    Ok::<_, roundhand::store::Error>(conn.batch_execute(sql)?)
                }
            })
            .unwrap();
        };
        run(&format!(
            "INSERT INTO {book} (version) VALUES ('99999999999999')"
        ));
        assert!(told(&url, &[]).contains("newer than this program"));
        run(&format!(
            "DELETE FROM {book} WHERE version IN ('99999999999999', '00000000000022')"
        ));
        assert!(told(&url, &[]).contains("run roundhand migrate"));
    }
}

#[test]
fn an_end_that_cannot_be_read_is_refused_with_the_way_to_write_it() {
    let text = told("sqlite:/nowhere", &["--expect", "1:2"]);
    assert!(text.contains("SITE:NUMBER:HASH"), "{text}");
}
