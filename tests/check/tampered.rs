//! What somebody with the database's password changes by hand is found, and the row is named.

use diesel::connection::SimpleConnection;
use diesel::prelude::*;
use diesel::sql_types::Text;

use super::{check, end_of_chain, on_each_engine, said};
use crate::support::House;

/// A change by hand, and what must be said of it.
struct Tamper {
    /// The proof that breaks.
    proof: &'static str,
    /// What it says.
    says: &'static str,
    does: String,
    undoes: String,
}

/// A column of one row is changed, and changed back.
fn altered(
    proof: &'static str,
    says: &'static str,
    (table, which): (&str, &str),
    (set, back): (&str, &str),
) -> Tamper {
    Tamper {
        proof,
        says,
        does: format!("UPDATE {table} SET {set} WHERE {which}"),
        undoes: format!("UPDATE {table} SET {back} WHERE {which}"),
    }
}

/// A number of one row becomes greater, and is put back.
fn raised(
    proof: &'static str,
    says: &'static str,
    of: (&str, &str),
    column: &str,
    by: i64,
) -> Tamper {
    let (set, back) = (
        format!("{column} = {column} + {by}"),
        format!("{column} = {column} - {by}"),
    );
    altered(proof, says, of, (&set, &back))
}

/// Rows are taken away, and put back.
fn deleted(proof: &'static str, says: &'static str, table: &str, which: &str) -> Tamper {
    Tamper {
        proof,
        says,
        does: format!(
            "CREATE TABLE kept AS SELECT * FROM {table} WHERE {which}; \
             DELETE FROM {table} WHERE id IN (SELECT id FROM kept)"
        ),
        undoes: format!("INSERT INTO {table} SELECT * FROM kept; DROP TABLE kept"),
    }
}

/// The last of what a table holds.
fn last_of(table: &str) -> String {
    format!("id = (SELECT MAX(id) FROM {table})")
}

/// The first of what a table holds.
fn first_of(table: &str) -> String {
    format!("id = (SELECT MIN(id) FROM {table})")
}

fn tampers() -> Vec<Tamper> {
    let middle = "seq = (SELECT MIN(seq) FROM audit_events \
        WHERE seq > (SELECT MIN(seq) FROM audit_events))";
    let ledger = first_of("cost_lines");
    let line = ("cost_lines", ledger.as_str());
    let of = |table: &'static str| (table, first_of(table));
    let raised_first = |proof, says, table, column, by| {
        let (table, which) = of(table);
        raised(proof, says, (table, &which), column, by)
    };
    vec![
        altered(
            "audit chain",
            "is the first broken link: it is not what it was",
            ("audit_events", middle),
            (
                "verb = verb || 'x'",
                "verb = SUBSTR(verb, 1, LENGTH(verb) - 1)",
            ),
        ),
        deleted(
            "audit chain",
            "is the first broken link: it does not follow on the event before it",
            "audit_events",
            middle,
        ),
        deleted(
            "audit chain",
            "the site's head names another end",
            "audit_events",
            &last_of("audit_events"),
        ),
        altered(
            "audit trail",
            "is not the one it was written with",
            ("audit_words", &first_of("audit_words")),
            (
                "words = words || 'x'",
                "words = SUBSTR(words, 1, LENGTH(words) - 1)",
            ),
        ),
        deleted(
            "audit trail",
            "is not noted as being about its",
            "audit_touches",
            &first_of("audit_touches"),
        ),
        deleted(
            "numbers",
            "stands nowhere",
            "cost_lines",
            &last_of("cost_lines"),
        ),
        deleted(
            "numbers",
            "stands nowhere",
            "hours_entries",
            &last_of("hours_entries"),
        ),
        // The number that follows on the closing's own is that of its hours.
        raised(
            "numbers",
            "stands twice",
            ("order_events", &last_of("order_events")),
            "seq",
            1,
        ),
        raised("closings", "its lines sum to", line, "cents", 1),
        raised("running totals", "its lines sum to", line, "cents", 1),
        raised_first(
            "running totals",
            "cents are due and",
            "running_totals",
            "booked_cents",
            1,
        ),
        raised_first(
            "running totals",
            "the hours at the rates as they stand come to",
            "pay_rates",
            "cents_per_h",
            100,
        ),
        raised_first(
            "stock",
            "stand in store, and its moves sum to",
            "materials",
            "on_hand",
            1,
        ),
        raised_first(
            "wear",
            "mm of use stand with it, and what was booked comes to",
            "wear_parts",
            "used_mm",
            1,
        ),
        raised_first(
            "wear",
            "and what was booked until then comes to",
            "readings",
            "used_mm",
            1,
        ),
        raised(
            "stock",
            "and its share of the stock was",
            (
                "stock_moves",
                "id = (SELECT MIN(id) FROM stock_moves WHERE kind = 'issue')",
            ),
            "value_cents",
            1,
        ),
        altered(
            "orders",
            "and its events make it finished",
            (
                "work_orders",
                "id = (SELECT MIN(order_id) FROM order_events WHERE kind = 'finished')",
            ),
            ("state = 'left_undone'", "state = 'finished'"),
        ),
        deleted(
            "orders",
            "its events make it",
            "order_events",
            &last_of("order_events"),
        ),
        raised_first(
            "keys",
            "points at no row of",
            "rounds",
            "shift_id",
            1_000_000,
        ),
        raised(
            "sources",
            "which is none of the site's",
            line,
            "source_id",
            1_000_000,
        ),
        deleted(
            "answers",
            "and no answer is kept under it",
            "idempotency_keys",
            "client_key IN (SELECT client_key FROM order_events)",
        ),
    ]
}

#[derive(QueryableByName)]
struct Trigger {
    #[diesel(sql_type = Text)]
    name: String,
    #[diesel(sql_type = Text)]
    sql: String,
}

/// Runs statements as somebody does who keeps the database: no trigger and no key stops them, and
/// all stand again afterwards.
pub fn db_tamper(house: &House, sql: &str) {
    let url = house.database_url();
    let Some(path) = url.strip_prefix("sqlite:") else {
        let mut conn = PgConnection::establish(url).unwrap();
        conn.batch_execute("SET session_replication_role = replica")
            .unwrap();
        return conn
            .batch_execute(sql)
            .unwrap_or_else(|e| panic!("{sql}: {e}"));
    };
    let mut conn = SqliteConnection::establish(path).unwrap();
    conn.batch_execute(
        "PRAGMA busy_timeout = 5000; PRAGMA foreign_keys = OFF; \
         PRAGMA ignore_check_constraints = ON",
    )
    .unwrap();
    let triggers: Vec<Trigger> =
        diesel::sql_query("SELECT name, sql FROM sqlite_master WHERE type = 'trigger'")
            .load(&mut conn)
            .unwrap();
    for trigger in &triggers {
        conn.batch_execute(&format!("DROP TRIGGER {}", trigger.name))
            .unwrap();
    }
    conn.batch_execute(sql)
        .unwrap_or_else(|e| panic!("{sql}: {e}"));
    for trigger in &triggers {
        conn.batch_execute(&trigger.sql).unwrap();
    }
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_change_by_hand_breaks_its_proof_and_is_named_until_it_is_put_back() {
    on_each_engine(|house| async move {
        let url = house.database_url();
        for tamper in tampers() {
            db_tamper(&house, &tamper.does);
            let ran = check(url, &[]);
            let text = said(&ran);
            let wanted = format!("{}: BROKEN", tamper.proof);
            assert!(text.contains(&wanted), "{}\n{text}", tamper.does);
            assert!(text.contains(tamper.says), "{}\n{text}", tamper.does);
            assert_eq!(ran.status.code(), Some(1), "{text}");
            db_tamper(&house, &tamper.undoes);
        }
        let ran = check(url, &[]);
        assert_eq!(ran.status.code(), Some(0), "{}", said(&ran));
    })
    .await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_guard_that_was_taken_away_or_made_idle_is_named() {
    on_each_engine(|house| async move {
        let url = house.database_url();
        let opened: &[&str] = if url.starts_with("sqlite:") {
            &[
                "DROP TRIGGER cost_lines_no_update",
                "DROP TRIGGER stock_moves_no_delete; CREATE TRIGGER stock_moves_no_delete \
                 BEFORE DELETE ON stock_moves BEGIN SELECT 1; END",
            ]
        } else {
            &[
                "ALTER TABLE cost_lines DISABLE TRIGGER cost_lines_append_only",
                "DROP TRIGGER stock_moves_append_only ON stock_moves; \
                 CREATE TRIGGER stock_moves_append_only BEFORE DELETE ON stock_moves \
                 FOR EACH STATEMENT EXECUTE FUNCTION refuse_change()",
            ]
        };
        for (sql, table) in opened.iter().zip(["cost_lines", "stock_moves"]) {
            crate::support::db_run(&house, sql).unwrap();
            let ran = check(url, &[]);
            let text = said(&ran);
            assert_eq!(ran.status.code(), Some(1), "{text}");
            assert!(text.contains("database: append-only: BROKEN"), "{text}");
            assert!(
                text.contains(&format!("{table} could be changed")),
                "{text}"
            );
            assert!(!text.contains("hours_entries could be changed"), "{text}");
        }
    })
    .await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn an_end_that_was_cut_off_with_its_head_is_found_by_the_end_that_somebody_kept() {
    on_each_engine(|house| async move {
        let url = house.database_url();
        let before = end_of_chain(url);
        // A site's edit is booked in no other book: its event alone is cut off, and the head set back.
        let at = house.path("");
        let manager = house.manager().await;
        let site = manager.get(&at).await;
        let etag = site.header("etag").unwrap().to_owned();
        let body = serde_json::json!({ "name": "Another name", "units": "metric" });
        let edited = manager
            .send(
                reqwest::Method::PATCH,
                &at,
                &[("if-match", &etag)],
                Some(&body),
            )
            .await;
        edited.expect(200);
        let kept = end_of_chain(url);
        for end in [&before, &kept] {
            let ran = check(url, &["--expect", end]);
            assert_eq!(ran.status.code(), Some(0), "{}", said(&ran));
        }

        db_tamper(
            &house,
            "UPDATE site_head SET seq = seq - 1, hash = (SELECT prev_hash FROM audit_events \
                 WHERE seq = (SELECT MAX(seq) FROM audit_events)); \
             DELETE FROM audit_touches WHERE seq = (SELECT MAX(seq) FROM audit_events); \
             DELETE FROM audit_words WHERE audit_event_id IN (SELECT id FROM audit_events \
                 WHERE seq = (SELECT MAX(seq) FROM audit_events)); \
             DELETE FROM audit_events WHERE seq = (SELECT MAX(seq) FROM audit_events)",
        );
        let ran = check(url, &["--expect", &before]);
        assert_eq!(
            ran.status.code(),
            Some(0),
            "within itself it holds\n{}",
            said(&ran)
        );
        let ran = check(url, &["--expect", &kept]);
        let text = said(&ran);
        assert_eq!(ran.status.code(), Some(1), "{text}");
        assert!(text.contains("is not the one that was kept"), "{text}");
    })
    .await;
}

/// SQLite has no superuser's switch: its own check finds a row that a column's check forbids.
#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_row_that_its_columns_forbid_is_found_in_a_file() {
    let house = super::lived_in(crate::support::Engine::Sqlite)
        .await
        .unwrap();
    db_tamper(&house, "UPDATE sites SET walk_mm_per_s = -1");
    let ran = check(house.database_url(), &[]);
    let text = said(&ran);
    assert_eq!(ran.status.code(), Some(1), "{text}");
    assert!(text.contains("database: file: BROKEN"), "{text}");
    assert!(text.contains("CHECK constraint failed in sites"), "{text}");
}
