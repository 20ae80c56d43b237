//! The page of incidents, and what every page of a manager says.

use roundhand::store::Role;

use super::{name, told};
use crate::pages::visitor::{Visitor, hidden};
use crate::support::{Ground, TODAY, on_both_engines};

const CALL: &str = "An incident or near miss was told and not opened yet.";

on_both_engines! {
    async fn a_crew_tells_one_on_the_page_and_every_page_of_a_manager_calls_for_it(house) {
        let ground = Ground::db_lay(house);
        let here = format!("/sites/{}/incidents", house.set_up.site_id);
        let member = Visitor::signed_in(house, Role::CrewMember).await;
        let shown = member.get(&here).await;
        let html = shown.page(200);
        assert!(html.contains("Call the local emergency number first"), "{html}");
        let (key, court) = (hidden(html, "client_key"), ground.courts[0].to_string());
        let fields = [
            ("client_key", key.as_str()), ("kind", "incident"), ("what", "cut"), ("court_id", ""), ("place", ""),
            ("happened_at", ""), ("anyone_hurt", "yes"), ("who_hurt", ""), ("note", "a wire"),
        ];
        let refused = member.send(&here, &fields).await;
        assert!(refused.page(422).contains("name the court"), "{}", refused.html);
        let mut with_court = fields;
        with_court[3] = ("court_id", court.as_str());
        member.send(&here, &with_court).await.leads_to(&here);
        assert!(!member.get(&here).await.html.contains("a wire"));

        let manager = Visitor::signed_in(house, Role::Manager).await;
        let day = format!("/sites/{}/days/{TODAY}", house.set_up.site_id);
        assert!(manager.get(&day).await.page(200).contains(CALL));
        assert!(!member.get(&day).await.page(200).contains(CALL));
        let listed = manager.get(&here).await.html;
        assert!(listed.contains("Incident: cut") && !listed.contains("a wire"), "{listed}");
        assert!(listed.contains("Nobody is named yet"), "{listed}");
        let id = house.manager().await.get(&house.path("/incidents")).await.items()[0]["id"].clone();
        let open = format!("{here}/{id}/open");
        let own = uuid::Uuid::new_v4().to_string();
        manager.send(&open, &[("client_key", &own)]).await.leads_to(&here);
        assert!(!manager.get(&day).await.page(200).contains(CALL));

        let one = format!("{here}/{id}");
        manager.get(&one).await.page(403);
        name(house, Role::Manager).await;
        assert!(manager.get(&one).await.page(200).contains("a wire"));
    }

    async fn a_manager_names_who_reads_on_the_page(house) {
        let ground = Ground::db_lay(house);
        let member = house.as_role(Role::CrewMember).await;
        member.post(&house.path("/incidents"), &told(ground.courts[0])).await.expect(201);
        let here = format!("/sites/{}/incidents", house.set_up.site_id);
        let manager = Visitor::signed_in(house, Role::Manager).await;
        let user = crate::accounts::db_user(house, &crate::accounts::account(house, Role::Manager).email).to_string();
        let key = uuid::Uuid::new_v4().to_string();
        let there = format!("{here}/readers");
        manager.send(&there, &[("client_key", &key), ("user_id", &user)]).await.leads_to(&format!("{here}#readers"));
        assert!(manager.get(&here).await.page(200).contains("Read the details"));
        let reader = house.manager().await.get(&house.path("/incident-readers")).await.items()[0]["id"].clone();
        let off = format!("{there}/{reader}/remove");
        manager.send(&off, &[("client_key", &key)]).await.leads_to(&format!("{here}#readers"));
        assert!(!manager.get(&here).await.page(200).contains("Read the details"));
    }
}
