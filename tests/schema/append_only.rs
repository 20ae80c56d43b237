//! What was booked is never changed, only reversed by a further row.

use diesel::prelude::*;
use diesel::sql_types::BigInt;
use roundhand::store::{Conn, Error};

use super::catalogue::db_catalogue;
use crate::support::{House, db_planned_order, db_run, on_both_engines};

const APPEND_ONLY: &[&str] = &[
    "alone_events",
    "attendance_events",
    "audit_events",
    "audit_touches",
    "cost_lines",
    "eye_checks",
    "hours_entries",
    "net_checks",
    "order_events",
    "shift_changes",
    "order_rechecks",
    "part_uses",
    "reading_verdicts",
    "stock_moves",
    "stop_events",
    "tablet_answers",
    "tablet_events",
    "treatments",
];

/// Personal text of the audit trail: it is erased, and never changed.
const ERASABLE: &str = "audit_words";

/// A further row of each such table, among the laid site's own rows.
const ROWS: &str = "
    INSERT INTO order_events (site_id, seq, order_id, kind, happened_at, learned_at, user_id, data)
        SELECT site_id, 900001, id, 'started', planned_start, planned_start,
            (SELECT MIN(id) FROM users), '{}' FROM work_orders;
    INSERT INTO hours_entries (site_id, seq, person_id, kind, starts_at, ends_at, work_date,
            booked_at, source_kind, source_id)
        SELECT site_id, 900002, id, 'shed', '2031-06-10 09:00:00', '2031-06-10 10:00:00',
            '2031-06-10', '2031-06-10 10:00:00', 'hours', 1
        FROM people WHERE id = (SELECT MIN(id) FROM people);
    INSERT INTO stock_moves (site_id, seq, material_id, kind, quantity, value_cents, beyond_stock,
            work_date, booked_at, source_kind, source_id)
        SELECT site_id, 900003, id, 'receipt', 1, 1, FALSE, '2031-06-10', '2031-06-10 10:00:00',
            'receipt', 1
        FROM materials WHERE id = (SELECT MIN(id) FROM materials);
    INSERT INTO cost_lines (site_id, seq, court_id, kind, cents, work_date, booked_at, source_kind,
            source_id)
        SELECT site_id, 900004, id, 'overhead', 1, '2031-06-10', '2031-06-10 10:00:00', 'test', 1
        FROM courts WHERE id = (SELECT MIN(id) FROM courts);
    INSERT INTO stop_events (site_id, seq, kind, event, happened_at, learned_at, user_id, client_key)
        SELECT id, 900006, 'lightning', 'told', '2031-06-10 10:00:00', '2031-06-10 10:00:00',
            (SELECT MIN(id) FROM users), 'a key'
        FROM sites WHERE id = (SELECT MIN(id) FROM sites);
    INSERT INTO alone_events (site_id, seq, watch_key, event, happened_at, learned_at, user_id, client_key)
        SELECT id, 900007, 'a watch', 'ended', '2031-06-10 10:00:00', '2031-06-10 10:00:00',
            (SELECT MIN(id) FROM users), 'a key of a watch'
        FROM sites WHERE id = (SELECT MIN(id) FROM sites);
    INSERT INTO attendance_events (site_id, seq, person_id, kind, happened_at, learned_at, user_id, client_key)
        SELECT site_id, 900008, id, 'in', '2031-06-10 10:00:00', '2031-06-10 10:00:00',
            (SELECT MIN(id) FROM users), 'a key of a clock'
        FROM people WHERE id = (SELECT MIN(id) FROM people);
    INSERT INTO shift_changes (site_id, seq, shift_id, person_id, joins, happened_at, learned_at, user_id, client_key)
        SELECT site_id, 900009, id, (SELECT MIN(id) FROM people), TRUE, starts_at, starts_at,
            (SELECT MIN(id) FROM users), 'a key of a change'
        FROM shifts WHERE id = (SELECT MIN(id) FROM shifts);
    INSERT INTO tool_checks (site_id, tool_id, happened_at, learned_at, user_id, client_key)
        SELECT site_id, tool_id, '2031-06-10 10:00:00', '2031-06-10 10:00:00',
            (SELECT MIN(id) FROM users), 'a key of a check'
        FROM wear_parts WHERE id = (SELECT MIN(id) FROM wear_parts WHERE tool_id IS NOT NULL);
    INSERT INTO eye_checks (site_id, seq, tool_check_id, wear_part_id, verdict, happened_at)
        SELECT site_id, 900010, id, (SELECT MIN(id) FROM wear_parts), 'sound', happened_at FROM tool_checks;
    INSERT INTO net_checks (site_id, seq, tool_check_id, court_id, height_um, read_in, happened_at)
        SELECT site_id, 900014, id, (SELECT MIN(id) FROM courts), 914400, 'in', happened_at FROM tool_checks;
    INSERT INTO tablet_events (site_id, client_key, user_id, kind, told, device_at, clock_off_ms, happened_at, learned_at)
        SELECT id, 'a key of a tablet', (SELECT MIN(id) FROM users), 'start', '{}', '2031-06-10 10:00:00', 0,
            '2031-06-10 10:00:00', '2031-06-10 10:00:00'
        FROM sites WHERE id = (SELECT MIN(id) FROM sites);
    INSERT INTO tablet_answers (site_id, tablet_event_id, outcome, why, answered_at)
        SELECT site_id, id, 'refused', '{}', learned_at FROM tablet_events;
    INSERT INTO order_rechecks (site_id, seq, order_id, grade, user_id, happened_at, learned_at, client_key)
        SELECT site_id, 900011, id, 'good', (SELECT MIN(id) FROM users), planned_start, planned_start, 'a key'
        FROM work_orders;
    INSERT INTO part_uses (site_id, seq, wear_part_id, work_date, use_mm, weighed_mm, booked_at)
        SELECT site_id, 900012, id, fitted_on, 1, 1, '2031-06-10 10:00:00'
        FROM wear_parts WHERE id = (SELECT MIN(id) FROM wear_parts);
    INSERT INTO reading_verdicts (site_id, seq, reading_id, verdict, decided_at)
        SELECT site_id, 900013, id, 'confirmed', '2031-06-10 10:00:00'
        FROM readings WHERE id = (SELECT MIN(id) FROM readings);
    INSERT INTO treatments (site_id, seq, order_id, person_id, product, lot, amount, unit, place,
            wind_mmps, applied_at, booked_at)
        SELECT site_id, 900006, id, (SELECT MIN(id) FROM people), 'salt', '1', 1, 'gram', 'all',
            0, planned_start, planned_start FROM work_orders;
    INSERT INTO audit_events (site_id, seq, at, verb, subject_kind, subject_id, data, prev_hash, hash)
        SELECT id, 900005, '2031-06-10 10:00:00', 'laid', 'site', id, '{}', hash, hash
        FROM sites JOIN site_head ON site_head.site_id = sites.id
        WHERE id = (SELECT MIN(id) FROM sites);
    INSERT INTO audit_touches (site_id, seq, audit_event_id, subject_kind, subject_id)
        SELECT site_id, seq, id, subject_kind, subject_id FROM audit_events WHERE seq = 900005;
";

#[derive(QueryableByName)]
struct Count {
    #[diesel(sql_type = BigInt)]
    rows: i64,
}

fn db_count(house: &House, table: &str) -> i64 {
    let query = diesel::sql_query(format!("SELECT COUNT(*) AS rows FROM {table}"));
    let count: Result<Count, Error> = house.office.db.read(|conn| match conn {
        Conn::Sqlite(conn) => Ok(query.get_result(conn)?),
        Conn::Pg(conn) => Ok(query.get_result(conn)?),
    });
    count.expect("rows can be counted").rows
}

on_both_engines! {
    async fn what_was_booked_can_be_neither_changed_nor_taken_away(house) {
        let guarded: Vec<_> = db_catalogue(house)
            .into_iter()
            .filter(|(_, table)| !table.guards.is_empty())
            .map(|(name, _)| name)
            .collect();
        let mut known = [APPEND_ONLY, &[ERASABLE]].concat();
        known.sort_unstable();
        assert_eq!(guarded, known);

        db_planned_order(house);
        db_run(house, ROWS).expect("further rows are taken");
        for table in APPEND_ONLY {
            let before = db_count(house, table);
            assert!(before > 0, "{table}");
            for sql in [format!("UPDATE {table} SET site_id = site_id"), format!("DELETE FROM {table}")] {
                let refused = db_run(house, &sql).expect_err(&sql).to_string();
                assert!(refused.contains("append-only"), "{sql}: {refused}");
            }
            assert_eq!(db_count(house, table), before, "{table}");
        }
    }

    async fn personal_text_of_the_audit_trail_is_never_changed_and_can_be_erased(house) {
        let site = serde_json::json!({ "name": "Lower Meadow Courts", "units": "metric" });
        let manager = house.manager().await;
        let tag = manager.get(&house.path("")).await.header("etag").unwrap_or_default().to_owned();
        let path = house.path("");
        manager.send(reqwest::Method::PATCH, &path, &[("if-match", &tag)], Some(&site)).await.expect(200);
        assert!(db_count(house, ERASABLE) > 0, "from where the site was edited is kept");
        let refused = db_run(house, "UPDATE audit_words SET words = 'elsewhere'").expect_err("a change");
        assert!(refused.to_string().contains("append-only"), "{refused}");
        db_run(house, "DELETE FROM audit_words").expect("text can be erased");
        assert_eq!(db_count(house, ERASABLE), 0);
    }
}
