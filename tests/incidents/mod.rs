//! Incidents and near misses: told by anyone who works, known to the managers at once, read by those named for it.

mod first_aid;
mod pages;
mod read;

use roundhand::store::Role;
use serde_json::{Value, json};

use crate::accounts::{account, db_user};
use crate::support::House;

/// A near miss on a court, with words that only those named for it may read.
pub fn told(court: i64) -> Value {
    json!({
        "kind": "near_miss", "what": "vehicle", "court_id": court, "anyone_hurt": "no",
        "who_hurt": "a guest in yellow", "note": "the cart rolled off the slope",
        "happened_at": "2031-06-10T08:40:00Z",
    })
}

/// Names the user of a role to read of incidents; gives the row.
pub async fn name(house: &House, role: Role) -> Value {
    let user = db_user(house, &account(house, role).email);
    let manager = house.manager().await;
    let readers = house.path("/incident-readers");
    manager
        .post(&readers, &json!({ "user_id": user }))
        .await
        .expect(201)
}
