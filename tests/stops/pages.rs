//! What the pages say while people are in and courts are held.

use roundhand::store::Role;
use serde_json::json;

use crate::pages::visitor::Visitor;
use crate::support::{Ground, House, TODAY, on_both_engines};

const GO_IN: &str = "Lightning. Go in: everyone off all courts.";

/// The client key of the form that leads to this address.
fn key(page: &str, action: &str) -> String {
    let form = page
        .split(&format!("action=\"{action}\""))
        .nth(1)
        .expect("the form is there");
    let value = form
        .split("name=\"client_key\" value=\"")
        .nth(1)
        .expect("it has a key");
    value.split('"').next().unwrap().to_owned()
}

fn site(house: &House, rest: &str) -> String {
    format!("/sites/{}{rest}", house.set_up.site_id)
}

on_both_engines! {
    async fn while_lightning_is_on_every_page_of_the_site_says_go_in(house) {
        let manager = Visitor::signed_in(house, Role::Manager).await;
        let pages = ["/stops".to_owned(), "/ahead".to_owned(), format!("/days/{TODAY}")];
        for page in &pages {
            assert!(!manager.get(&site(house, page)).await.page(200).contains(GO_IN), "{page}");
        }
        // One tap by the front desk.
        let desk = Visitor::signed_in(house, Role::FrontDesk).await;
        let here = site(house, "/stops");
        let tap = site(house, "/stops/lightning");
        let key = key(desk.get(&here).await.page(200), &tap);
        desk.send(&tap, &[("client_key", &key)]).await.leads_to(&here);
        for page in &pages {
            let shown = manager.get(&site(house, page)).await;
            let html = shown.page(200);
            assert!(html.contains(GO_IN), "{page}");
            assert!(html.contains("Nobody goes back out before 5:30\u{a0}AM"), "{page}: {html}");
        }
        // Nobody is offered the way out before the wait is over, and asking for it changes nothing.
        let html = manager.get(&here).await.html;
        assert!(!html.contains("All go back out"));
        let stop = &house.manager().await.get(&house.path("/stops?on=true")).await.items()[0];
        let release = site(house, &format!("/stops/{}/release", stop["id"]));
        let own = uuid::Uuid::new_v4().to_string();
        manager.send(&release, &[("client_key", &own)]).await.leads_to(&here);
        assert!(manager.get(&here).await.page(200).contains(GO_IN));
    }

    async fn after_the_wait_a_manager_lets_everybody_out(house) {
        let told = json!({ "kind": "lightning", "happened_at": "2031-06-10T08:30:00Z" });
        let stop = house.manager().await.post(&house.path("/stops"), &told).await.expect(200);
        let here = site(house, "/stops");
        let member = Visitor::signed_in(house, Role::CrewMember).await;
        let html = member.get(&here).await.html;
        assert!(html.contains("A manager or crew lead says when all go back out."), "{html}");
        assert!(!html.contains("All go back out"));
        let manager = Visitor::signed_in(house, Role::Manager).await;
        let release = site(house, &format!("/stops/{}/release", stop["id"]));
        let key = key(manager.get(&here).await.page(200), &release);
        manager.send(&release, &[("client_key", &key)]).await.leads_to(&here);
        assert!(!manager.get(&here).await.page(200).contains(GO_IN));
    }

    async fn a_court_is_held_and_opened_on_the_page_and_the_day_says_so(house) {
        let ground = Ground::db_lay(house);
        let here = site(house, "/stops");
        let desk = Visitor::signed_in(house, Role::FrontDesk).await;
        let hold = site(house, "/holds");
        let court = ground.courts[0].to_string();
        let first = key(desk.get(&here).await.page(200), &hold);
        let fields = [("client_key", first.as_str()), ("court_id", &court), ("reason", "other"), ("note", "")];
        let again = desk.send(&hold, &fields).await;
        assert!(again.page(422).contains("say in a few words what the reason is"));
        let fields = [("client_key", first.as_str()), ("court_id", &court), ("reason", "glass"), ("note", "by the post")];
        desk.send(&hold, &fields).await.leads_to(&here);

        let manager = Visitor::signed_in(house, Role::Manager).await;
        let day = manager.get(&site(house, &format!("/days/{TODAY}"))).await;
        let html = day.page(200);
        assert!(html.contains("What to decide"));
        assert!(html.contains("Test court 901 is held: Glass (by the post)"), "{html}");
        let holds = house.manager().await.get(&house.path("/holds?on=true")).await.items();
        let release = site(house, &format!("/holds/{}/release", holds[0]["id"]));
        let key = key(manager.get(&here).await.page(200), &release);
        manager.send(&release, &[("client_key", &key)]).await.leads_to(&here);
        assert!(manager.get(&here).await.page(200).contains("No court is held."));
    }

    async fn a_heat_stop_names_nobody_on_any_page(house) {
        let ground = Ground::db_lay(house);
        let told = json!({ "kind": "heat", "crew_id": ground.crew });
        let member = house.as_role(Role::CrewMember).await;
        let stop = member.post(&house.path("/stops"), &told).await.expect(200);
        let visitor = Visitor::signed_in(house, Role::CrewMember).await;
        let here = site(house, "/stops");
        let html = visitor.get(&here).await.html;
        assert!(html.contains("Test crew has stopped for heat since 5:00\u{a0}AM: water, shade, rest."), "{html}");
        let end = site(house, &format!("/stops/{}/end", stop["id"]));
        let key = key(&html, &end);
        visitor.send(&end, &[("client_key", &key)]).await.leads_to(&here);
        assert!(visitor.get(&here).await.page(200).contains("Nobody has stopped work."));
    }
}
