//! Nets: gauged by the rules, looked at by eye, and when that becomes work.

mod due;
mod gauged;

use serde_json::{Value, json};

use crate::support::{Client, House};

/// A part of a court's net, laid straight into the table.
fn db_part(house: &House, site: i64, court: i64, kind: &str) -> i64 {
    let sql = format!(
        "INSERT INTO wear_parts (site_id, court_id, kind, fitted_on) VALUES ({site}, {court}, '{kind}', '2031-01-02')"
    );
    crate::support::db_run(house, &sql).expect("a part");
    crate::accounts::db_count(house, "SELECT MAX(id) AS rows FROM wear_parts")
}

/// A check of a court's net by gauge.
fn by_gauge(court: i64, height_um: i64, at: &str) -> Value {
    json!({ "court_id": court, "happened_at": at, "net": { "height_um": height_um, "read_in": "mm" } })
}

/// The defects that wait to be mended.
async fn open(house: &House, client: &Client) -> Vec<Value> {
    client.get(&house.path("/defects?open=true")).await.items()
}
