//! What the demo shows beside its rounds: weather, looks, a tournament, a match without a fixed end, a booking that waits.

use roundhand::desk::plan_runs::Limit;
use roundhand::desk::set_up::demo::{lay_demo, plan_today};
use roundhand::store::Role;
use serde_json::json;

use crate::support::{Client, on_both_engines};

on_both_engines! {
    async fn the_demo_shows_all_that_a_day_is_built_from(house) {
        let set_up = lay_demo(&house.office, 1, 7).unwrap();
        let planned = plan_today(&house.office, set_up.site_id, 7, &Limit::Steps(2_000)).unwrap();
        assert!(planned.day.plan.is_some());
        let manager = set_up.accounts.iter().find(|account| account.role == Role::Manager).unwrap();
        let body = json!({ "email": manager.email, "password": manager.password });
        let pair = house.nobody().post("/api/v1/sign-in", &body).await.expect(200);
        let client = Client::nobody(&house.base).with_token(pair["access_token"].as_str().unwrap());
        let of = |rest: &str| format!("/api/v1/sites/{}{rest}", set_up.site_id);

        let heat = client.get(&of("/heat")).await.expect(200);
        assert!(heat["index_mf"].is_i64(), "{heat}");
        let weather = client.get(&of("/weather?limit=200")).await.items();
        assert!(weather.iter().all(|row| row["kind"] == "observed"), "what is past was read off, and told first");
        let tournament = client.get(&of("/days/2031-06-13/tournament")).await.expect(200);
        assert_eq!(tournament["court_ids"].as_array().map(Vec::len), Some(3));
        let play = client.get(&of("/play-sessions?from=2031-06-10&to=2031-06-10&limit=200")).await.items();
        assert_eq!(play.iter().filter(|session| session["open_ended"] == true).count(), 1);
        let asked = client.get(&of("/calendar-changes")).await.items();
        assert_eq!(asked.len(), 1, "a late lesson waits for a yes: {asked:?}");
        let courts = client.get(&of("/courts?limit=50")).await.items();
        let court = courts.iter().find(|court| court["name"] == "Court 12").unwrap();
        let looks = client.get(&of(&format!("/courts/{}/inspections", court["id"]))).await.items();
        assert_eq!(looks.len(), 2);
    }
}
