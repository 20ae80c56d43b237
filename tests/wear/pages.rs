//! The office's pages of wear.

use roundhand::store::Role;
use serde_json::json;

use crate::pages::visitor::Visitor;
use crate::support::{Ground, House, on_both_engines};

async fn measure(house: &House, ground: &Ground, um: i64) -> i64 {
    let check = json!({ "tool_id": ground.drag, "readings": [
        { "wear_part_id": ground.brush, "points_um": [um], "read_in": "mm" }] });
    let lead = house.as_role(Role::CrewLead).await;
    let taken = lead.post(&house.path("/tool-checks"), &check).await;
    taken.expect(201)["readings"][0]["id"].as_i64().unwrap()
}

fn key() -> String {
    uuid::Uuid::new_v4().to_string()
}

on_both_engines! {
    async fn the_page_of_wear_names_each_brush_with_its_chart_and_a_worn_one_first(house) {
        let ground = Ground::db_lay(house);
        measure(house, &ground, 30_000).await;
        let visitor = Visitor::signed_in(house, Role::Manager).await;
        let here = format!("/sites/{}/wear", house.set_up.site_id);
        let page = visitor.get(&here).await;
        let page = page.page(200);
        let first = page.split("<li class=\"wear-part").nth(1).expect("a part");
        assert!(first.contains("T-901") && first.contains("Worn out: at its limit"), "{first}");
        assert!(page.matches("role=\"img\"").count() > 1, "a chart a part: {page}");
        Visitor::signed_in(house, Role::Finance).await.get(&here).await.page(403);
    }

    async fn a_brush_s_page_takes_use_by_hand_and_strikes_what_is_wrong(house) {
        let ground = Ground::db_lay(house);
        let id = measure(house, &ground, 90_000).await;
        let visitor = Visitor::signed_in(house, Role::CrewLead).await;
        let wear = format!("/sites/{}/wear", house.set_up.site_id);
        let here = format!("{wear}/{}", ground.brush);
        assert!(visitor.get(&here).await.page(200).contains("T-901"));
        let (first, second, third, fourth) = (key(), key(), key(), key());
        let told = [("client_key", first.as_str()), ("far", "1760"), ("on", ""), ("note", "")];
        visitor.send(&format!("{here}/uses"), &told).await.leads_to(&here);
        // 1,760 yards are a mile, which is how this site counts.
        assert!(visitor.get(&here).await.page(200).contains("1.0\u{a0}mi"));
        let far = [("client_key", second.as_str()), ("far", "0"), ("on", ""), ("note", "")];
        assert!(visitor.send(&format!("{here}/uses"), &far).await.page(422).contains("role=\"alert\""));

        let strike = format!("{wear}/readings/{id}/strike");
        let silent = [("client_key", third.as_str()), ("why", " ")];
        assert!(visitor.send(&strike, &silent).await.page(422).contains("say why it is wrong"));
        let why = [("client_key", fourth.as_str()), ("why", "another brush")];
        visitor.send(&strike, &why).await.leads_to(&here);
        assert!(visitor.get(&here).await.page(200).contains("Struck: it does not count"));
    }
}
