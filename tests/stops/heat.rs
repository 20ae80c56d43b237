//! Heat: anyone may stop, for the site or one crew, and is asked nothing.

use roundhand::store::Role;
use serde_json::{Value, json};

use crate::support::{Ground, TODAY, on_both_engines};

on_both_engines! {
    async fn anyone_stops_for_heat_and_anyone_ends_it_with_nobody_named(house) {
        let member = house.as_role(Role::CrewMember).await;
        let told = json!({ "kind": "heat" });
        let stop = member.post(&house.path("/stops"), &told).await.expect(200);
        assert_eq!(stop["is_on"], true);
        for name in ["told_by", "release_from", "last_thunder_at"] {
            assert_eq!(stop[name], Value::Null, "{name}");
        }
        let end = house.path(&format!("/stops/{}/end", stop["id"]));
        let desk = house.as_role(Role::FrontDesk).await;
        let ended = desk.post(&end, &json!({})).await.expect(200);
        assert_eq!(ended["is_on"], false);
        assert_eq!(ended["released_by"], Value::Null);
        desk.post(&end, &json!({})).await.expect(409);
    }

    async fn a_reason_is_not_even_taken(house) {
        let member = house.as_role(Role::CrewMember).await;
        let told = json!({ "kind": "heat", "reason": "none of your business" });
        member.post(&house.path("/stops"), &told).await.expect(400);
    }

    async fn one_crew_stops_while_the_others_go_on(house) {
        let ground = Ground::db_lay(house);
        let member = house.as_role(Role::CrewMember).await;
        let stops = house.path("/stops");
        let of_crew = json!({ "kind": "heat", "crew_id": ground.crew });
        let first = member.post(&stops, &of_crew).await.expect(200);
        assert_eq!(first["crew"], "Test crew");
        let whole = member.post(&stops, &json!({ "kind": "heat" })).await.expect(200);
        assert_ne!(first["id"], whole["id"], "the crew's stop and the site's are two");
        assert_eq!(member.post(&stops, &of_crew).await.expect(200)["id"], first["id"]);
        let day = member.get(&house.path(&format!("/days/{TODAY}"))).await.expect(200);
        assert_eq!(day["heat_stops"], json!([first, whole]));
        assert_eq!(day["stop"], Value::Null, "heat is no lightning");
    }

    async fn each_kind_is_ended_in_its_own_way(house) {
        let manager = house.manager().await;
        let stops = house.path("/stops");
        let heat = manager.post(&stops, &json!({ "kind": "heat" })).await.expect(200);
        let lightning = manager.post(&stops, &json!({ "kind": "lightning" })).await.expect(200);
        let path = |stop: &Value, how: &str| house.path(&format!("/stops/{}/{how}", stop["id"]));
        manager.post(&path(&heat, "release"), &json!({})).await.expect(409);
        manager.post(&path(&lightning, "end"), &json!({})).await.expect(409);
    }
}
