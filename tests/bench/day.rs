//! How long a site's day problem takes to build, and two weeks to look ahead.
//!
//! `cargo bench --bench day`. A site of 60 courts with a year of history on SQLite, in a file of the folder for
//! temporary files: the invented resort with 52 weeks behind it, its courts, crews, sessions and orders copied until there
//! are 60 courts, with a year of hourly weather and two weeks of it foretold. `read` is the queries alone, `build` the day problem from what they gave, `ahead` fourteen days with their
//! queries. Wall time of one thread, median of so many turns.

mod args;
mod office;
mod timing;

use args::Args;
use chrono::{DateTime, NaiveDate, Utc};
use diesel::connection::SimpleConnection;
use diesel::prelude::*;
use diesel::sql_types::{BigInt, Text};
use office::office;
use roundhand::desk::access::{Permit, SeeDay, scope};
use roundhand::desk::day_build::{Built, Inputs};
use roundhand::desk::look_ahead::look_ahead;
use roundhand::desk::set_up::demo::lay_demo;
use roundhand::store::Actor;
use timing::{median, ms};

const COURTS: i64 = 60;
const WEEKS: u32 = 52;

fn main() {
    let Some(mut args) = Args::read() else {
        return;
    };
    let turns: usize = args.one("--turns", 21);
    args.words();
    let folder = tempfile::tempdir().expect("a folder");
    let url = format!("sqlite:{}", folder.path().join("day.sqlite").display());
    let office = office(&url, "2031-06-10T09:00:00Z");
    let now = office.now().utc();
    let set_up = lay_demo(&office, WEEKS, 1).expect("the site is laid");
    let orders = grow(url.trim_start_matches("sqlite:"));
    let readings = lay_weather(url.trim_start_matches("sqlite:"), now);
    let date: NaiveDate = "2031-06-10".parse().expect("a date");
    let scope =
        scope(&office, Actor::of(1), set_up.site_id).expect("the first user belongs to the site");
    let permit = Permit::<SeeDay>::of(scope).expect("in a role that sees the day");

    let read = || {
        let inputs = office
            .db
            .read(|conn| Inputs::read(conn, &permit, date, office.now()));
        inputs.expect("the day is read")
    };
    let built = |inputs: &Inputs| Built::of(inputs.clone()).expect("somebody is on shift");
    let inputs = read();
    println!(
        "{} courts, {orders} orders and {readings} hours of weather behind them; {} visits asked for",
        inputs.courts.len(),
        built(&inputs).problem.visits.len()
    );
    println!("read  {:>8.1} ms", ms(median(turns, || drop(read()))));
    println!(
        "build {:>8.1} ms",
        ms(median(turns, || drop(built(&inputs))))
    );
    let ahead = || look_ahead(&office, &permit, date, 14).expect("looked ahead");
    println!("ahead {:>8.1} ms", ms(median(turns, || drop(ahead()))));
}

#[derive(QueryableByName)]
struct Column {
    #[diesel(sql_type = Text)]
    name: String,
}

#[derive(QueryableByName)]
struct Count {
    #[diesel(sql_type = BigInt)]
    count: i64,
}

/// Copies the courts with all that hangs on them until there are [`COURTS`]; gives how many orders there are then.
fn grow(path: &str) -> i64 {
    let mut conn = SqliteConnection::establish(path).expect("the file opens");
    let mut count = |sql: &str| {
        let found: Count = diesel::sql_query(format!("SELECT COUNT(*) AS count FROM {sql}"))
            .get_result(&mut conn)
            .expect("counted");
        found.count
    };
    let own = count("courts");
    let mut conn = SqliteConnection::establish(path).expect("the file opens");
    conn.batch_execute("PRAGMA foreign_keys = OFF")
        .expect("set");
    for copy in 1..=(COURTS - 1) / own {
        let left = COURTS - copy * own;
        let court = format!("(SELECT id FROM courts WHERE id <= {})", left.min(own));
        let of_court = format!("court_id IN {court}");
        // (table, which rows, columns that name rows which are copied as well)
        let tables: [(&str, &str, &[&str]); 8] = [
            ("banks", "TRUE", &["id"]),
            (
                "courts",
                &format!("id <= {}", left.min(own)),
                &["id", "bank_id"],
            ),
            ("crews", "TRUE", &["id"]),
            ("shifts", "TRUE", &["id", "crew_id"]),
            ("shift_people", "TRUE", &["id", "shift_id"]),
            ("play_sessions", &of_court, &["id", "court_id"]),
            ("work_orders", &of_court, &["id", "court_id"]),
            (
                "order_steps",
                &format!("order_id IN (SELECT id FROM work_orders WHERE {of_court})"),
                &["id", "order_id"],
            ),
        ];
        for (table, which, ids) in tables {
            copy_rows(&mut conn, table, which, ids, copy);
        }
    }
    let found: Count = diesel::sql_query("SELECT COUNT(*) AS count FROM work_orders")
        .get_result(&mut conn)
        .expect("counted");
    found.count
}

/// A year of weather, hour by hour, and two weeks foretold: warm at noon and in summer, and rain every fourth day. Gives
/// how many readings there are.
fn lay_weather(path: &str, now: DateTime<Utc>) -> i64 {
    let mut conn = SqliteConnection::establish(path).expect("the file opens");
    // In place of the weeks of weather that the demo has.
    conn.batch_execute("DELETE FROM weather_readings")
        .expect("deleted");
    let now = now.format("%Y-%m-%d %H:%M:%S");
    let sql = format!(
        "WITH RECURSIVE hours (n) AS (SELECT -8760 UNION ALL SELECT n + 1 FROM hours WHERE n < 336)
         INSERT INTO weather_readings
            (site_id, read_at, kind, temp_mc, humidity_permille, wind_mmps, rain_um)
         SELECT (SELECT MIN(id) FROM sites), datetime('{now}', n || ' hours'),
            CASE WHEN n <= 0 THEN 'observed' ELSE 'forecast' END,
            24000 - abs(n + 8760 - 7665) * 2 - abs((n + 8760) % 24 - 6) * 700,
            400 + abs((n + 8760) % 24 - 12) * 30, 1500 + (n + 8760) % 11 * 300,
            CASE WHEN (n + 8760) % 96 IN (70, 71) THEN 3000 ELSE 0 END
         FROM hours"
    );
    conn.batch_execute(&sql).expect("the weather is laid");
    let found: Count = diesel::sql_query("SELECT COUNT(*) AS count FROM weather_readings")
        .get_result(&mut conn)
        .expect("counted");
    found.count
}

/// Copies rows under ids of their own: the first rows' with so many ten millions added.
fn copy_rows(conn: &mut SqliteConnection, table: &str, which: &str, ids: &[&str], copy: i64) {
    let columns: Vec<Column> =
        diesel::sql_query(format!("SELECT name FROM pragma_table_info('{table}')"))
            .load(conn)
            .expect("columns");
    let apart = copy * 10_000_000;
    let names: Vec<&str> = columns.iter().map(|column| column.name.as_str()).collect();
    let values: Vec<String> = names
        .iter()
        .map(|name| match *name {
            id if ids.contains(&id) => format!("{id} + {apart}"),
            "name" | "visit_key" if table != "play_sessions" => format!("{name} || '-{copy}'"),
            other => other.to_owned(),
        })
        .collect();
    let sql = format!(
        "INSERT INTO {table} ({}) SELECT {} FROM {table} WHERE id < 10000000 AND {which}",
        names.join(", "),
        values.join(", ")
    );
    conn.batch_execute(&sql)
        .unwrap_or_else(|e| panic!("{table}: {e}"));
}
