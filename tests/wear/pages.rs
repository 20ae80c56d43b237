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

    async fn a_worn_brush_is_changed_on_its_page_and_both_lives_are_there_to_be_read(house) {
        let ground = Ground::db_lay(house);
        let visitor = Visitor::signed_in(house, Role::CrewLead).await;
        let wear = format!("/sites/{}/wear", house.set_up.site_id);
        let here = format!("{wear}/{}", ground.brush);
        let (first, second, third) = (key(), key(), key());
        let change = format!("{here}/change");
        let unread = [("client_key", first.as_str()), ("why", "worn_out"), ("cost", "much"), ("new", ""), ("on", "")];
        visitor.send(&change, &unread).await.page(400);
        let silent = [("client_key", second.as_str()), ("why", "worn_out"), ("cost", ""), ("new", ""), ("on", "")];
        assert!(visitor.send(&change, &silent).await.page(422).contains("role=\"alert\""));
        // 4 in, as this site measures.
        let told = [("client_key", third.as_str()), ("why", "worn_out"), ("cost", "124.50"), ("new", "4"), ("on", "")];
        let done = visitor.send(&change, &told).await;
        let next = done.header("location").expect("a new part").to_owned();
        let new = visitor.get(&next).await.page(200).to_owned();
        assert!(new.contains("$124.50") && new.contains("$0.00") && new.contains("The one before it"), "{new}");
        let old = visitor.get(&here).await.page(200).to_owned();
        assert!(old.contains("Taken off on") && old.contains("worn out") && old.contains("The one that took its place"), "{old}");
        assert!(!old.contains("action=\"/sites/1/wear/1/change\""), "it is changed once");
    }

    async fn what_is_judged_by_eye_stands_on_the_page_with_its_caution(house) {
        let ground = Ground::db_lay(house);
        let strap = ground.db_fit(house, ground.courts[0], "centre_strap");
        let visitor = Visitor::signed_in(house, Role::Manager).await;
        let wear = format!("/sites/{}/wear", house.set_up.site_id);
        let here = format!("{wear}/{strap}");
        assert!(visitor.get(&wear).await.page(200).contains(&format!("href=\"{here}\"")));
        let page = visitor.get(&here).await.page(200).to_owned();
        assert!(page.contains("Release the tension first") && page.contains("nobody looked yet"), "{page}");
        let key = key();
        let told = [("client_key", key.as_str()), ("times", "3"), ("on", ""), ("note", "")];
        visitor.send(&format!("{here}/uses"), &told).await.leads_to(&here);
        assert!(visitor.get(&here).await.page(200).contains("3 times"));
    }

    async fn the_page_of_what_is_to_come_says_what_to_order_and_how_it_comes(house) {
        let ground = Ground::db_lay(house);
        ground.db_life(house, "windscreen", 900, false);
        let manager = Visitor::signed_in(house, Role::Manager).await;
        let wear = format!("/sites/{}/wear", house.set_up.site_id);
        let here = format!("{wear}/outlook");
        assert!(manager.get(&wear).await.page(200).contains(&here));
        let (first, second) = (key(), key());
        let told = |key, lead| {
            [("client_key", key), ("kind", "windscreen"), ("tool_class_id", ""), ("supplier", "Fence and screen supply"),
                ("material_id", ""), ("lead_days", lead), ("cover_days", "60"), ("life_days", "1000")]
        };
        let supplies = format!("{wear}/supplies");
        assert!(manager.send(&supplies, &told(first.as_str(), "9000")).await.page(422).contains("role=\"alert\""));
        manager.send(&supplies, &told(second.as_str(), "30")).await.leads_to(&here);
        let page = manager.get(&here).await.page(200).to_owned();
        assert!(page.contains("Fence and screen supply") && page.contains("Order by"), "{page}");
        assert!(page.contains("The half year to come") && page.contains("How long parts last"), "{page}");
        Visitor::signed_in(house, Role::CrewLead).await.get(&here).await.page(200);
        Visitor::signed_in(house, Role::Finance).await.get(&here).await.page(403);
    }

    async fn a_check_is_told_from_the_office_by_ruler_or_by_eye(house) {
        let ground = Ground::db_lay(house);
        let strap = ground.db_fit(house, ground.courts[0], "centre_strap");
        let visitor = Visitor::signed_in(house, Role::CrewMember).await;
        let wear = format!("/sites/{}/wear", house.set_up.site_id);
        let brush = format!("{wear}/{}", ground.brush);
        let (first, second, third) = (key(), key(), key());
        let told = [("client_key", first.as_str()), ("lengths", "3 1/8, 3 3/8, 3 5/8")];
        visitor.send(&format!("{brush}/checks"), &told).await.leads_to(&brush);
        assert!(visitor.get(&brush).await.page(200).contains("<strong>3 3/8 in</strong>"));
        let longer = [("client_key", second.as_str()), ("lengths", "9")];
        assert!(visitor.send(&format!("{brush}/checks"), &longer).await.page(422).contains("when new"));
        let strap = format!("{wear}/{strap}");
        let worn = [("client_key", third.as_str()), ("verdict", "worn")];
        visitor.send(&format!("{strap}/checks"), &worn).await.leads_to(&strap);
        assert!(visitor.get(&strap).await.page(200).contains("<strong>worn</strong>"));
    }
}
