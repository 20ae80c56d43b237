//! Water: what the night's plan obeys, what is told of a run, and what it costs.

mod by_hand;
mod night;
mod runs_over;
mod set_up;
mod told;

use serde_json::Value;

use crate::days::yard::Yard;
use crate::support::Client;

/// The water of a date.
async fn water(yard: &Yard, client: &Client, date: &str) -> Value {
    let path = yard.path(&format!("/days/{date}/water"));
    client.get(&path).await.expect(200)
}

/// The runs of a date's water of one kind.
fn runs<'a>(water: &'a Value, kind: &str) -> Vec<&'a Value> {
    let all = water["runs"].as_array().expect("runs").iter();
    all.filter(|run| run["kind"] == kind).collect()
}
