//! How long the forecasts of a large shed take from the database on.
//!
//! `cargo bench --bench forecasts`. A site on SQLite, in a file of the folder for temporary files: the invented resort without
//! its past, with 400 measured brushes of drag brooms on 400 tools, each with five years of weekly readings (260) and of
//! daily use (1,820 rows). `all` is every forecast as the page of wear has them, queries included; `outlook` what is to come
//! of all parts; `one` one part's whole life; `read` the taking of one more reading, whole, as a check in the shed sends it.
//! Wall time of one thread, median of so many turns.
//!
//! Measured on two cores that did nothing else: 147 ms for all, 202 ms for what is to come, 16 ms for one part, 1.0 ms for one more
//! reading.

mod args;
mod office;
mod timing;

use args::Args;
use diesel::connection::SimpleConnection;
use diesel::prelude::*;
use office::office;
use roundhand::desk::access::{CheckTool, Permit, SeeTools, scope};
use roundhand::desk::set_up::lay_demo_site;
use roundhand::desk::tool_checks::{LengthTold, ToolCheckTold, tool_check};
use roundhand::desk::wear::{wear_now, wear_outlook, wear_whole};
use roundhand::store::Actor;
use roundhand::store::tool_checks::ReadIn;
use timing::{median, ms};

fn main() {
    let Some(mut args) = Args::read() else {
        return;
    };
    let turns: usize = args.one("--turns", 11);
    args.words();
    let folder = tempfile::tempdir().expect("a folder");
    let url = format!("sqlite:{}", folder.path().join("shed.sqlite").display());
    let office = office(&url, "2031-06-10T09:00:00Z");
    let site = lay_demo_site(&office).expect("the site is laid").site_id;
    lay_shed(url.trim_start_matches("sqlite:"));
    let of = || scope(&office, Actor::of(1), site).expect("the first user belongs to the site");
    let see = Permit::<SeeTools>::of(of()).expect("in a role that sees tools");
    let take = Permit::<CheckTool>::of(of()).expect("in a role that checks tools");

    let all = wear_now(&office, &see).expect("forecasts");
    let part = all.parts.last().expect("a part").wear.part.clone();
    println!("{} parts with a forecast", all.parts.len());
    let told = |what: &str, took| println!("{what:<8}{:>8.1} ms", ms(took));
    told(
        "all",
        median(turns, || drop(wear_now(&office, &see).expect("forecasts"))),
    );
    told(
        "outlook",
        median(turns, || {
            drop(wear_outlook(&office, &see).expect("what is to come"));
        }),
    );
    told(
        "one",
        median(turns, || {
            drop(wear_whole(&office, &see, part.id).expect("a life"));
        }),
    );
    let mut nth = 0;
    let read = || {
        nth += 1;
        let told = ToolCheckTold {
            tool_id: part.tool_id,
            court_id: None,
            person_id: None,
            readings: vec![LengthTold {
                wear_part_id: part.id,
                points_um: vec![all.parts.last().map_or(0, |one| one.wear.length_um)],
                read_in: ReadIn::Millimetres,
            }],
            by_eye: Vec::new(),
            net: None,
            happened_at: None,
        };
        let key = format!("00000000-0000-4000-8000-{nth:012}");
        drop(tool_check(&office, &take, key, &told).expect("a check"));
    };
    told("read", median(turns, read));
}

/// 400 tools with a brush each, with five years of readings and of use.
fn lay_shed(path: &str) {
    let mut conn = SqliteConnection::establish(path).expect("the file opens");
    conn.batch_execute(
        "WITH RECURSIVE n(i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM n WHERE i < 400)
         INSERT INTO tools (site_id, tool_class_id, number, state, in_service_from, version)
            SELECT 1, (SELECT id FROM tool_classes WHERE code = 'drag_broom'), 'X' || i, 'in_service', '2026-06-01', 1 FROM n;
         INSERT INTO wear_parts (site_id, tool_id, kind, start_um, limit_um, fitted_on)
            SELECT 1, id, 'brush', 139700, 20000, '2026-06-15' FROM tools WHERE number LIKE 'X%';
         WITH RECURSIVE d(i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM d WHERE i < 1820)
         INSERT INTO part_uses (site_id, seq, wear_part_id, court_id, work_date, use_mm, weighed_mm, booked_at, tightenings)
            SELECT 1, 1000000 + p.id * 2000 + i, p.id, 1, date('2026-06-15', '+' || i || ' days'), 600000, 600000,
                '2031-06-01 00:00:00', 0
            FROM d, wear_parts p WHERE p.fitted_on = '2026-06-15';
         WITH RECURSIVE w(i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM w WHERE i < 260)
         INSERT INTO readings (site_id, wear_part_id, measured_on, length_um, booked_at, used_mm)
            SELECT 1, p.id, date('2026-06-15', '+' || (7 * i) || ' days'),
                139700 - i * 400 - (i * 7 + p.id) % 5 * 250, '2031-06-01 00:00:00', 600000 * 7 * i
            FROM w, wear_parts p WHERE p.fitted_on = '2026-06-15';
         UPDATE wear_parts SET used_mm = 600000 * 1820 WHERE fitted_on = '2026-06-15';
         ANALYZE;",
    )
    .expect("the shed is laid");
}
