//! Where the first-aid kit of a court is, and how an ambulance finds it.

use reqwest::Method;
use roundhand::store::Role;
use serde_json::{Value, json};

use crate::pages::visitor::Visitor;
use crate::support::{Ground, on_both_engines, tablet_of};

on_both_engines! {
    async fn a_court_says_where_first_aid_is_and_the_site_says_it_for_the_rest(house) {
        let ground = Ground::db_lay(house);
        let manager = house.manager().await;
        let path = house.path(&format!("/courts/{}", ground.courts[0]));
        let edit = async |body: Value| {
            let tag = manager.get(&path).await.header("etag").unwrap().to_owned();
            manager.send(Method::PATCH, &path, &[("if-match", &tag)], Some(&body)).await
        };
        let kit = json!({ "first_aid": " in the shed, left of the door ", "ambulance_way": "by the south gate" });
        let court = edit(kit).await.expect(200);
        assert_eq!(court["first_aid"], "in the shed, left of the door");
        // The tablet holds it with the court.
        let tablet = house.nobody().with_token(&tablet_of(house).await);
        assert_eq!(tablet.get(&path).await.expect(200)["ambulance_way"], "by the south gate");
        for field in ["first_aid", "ambulance_way"] {
            let long = edit(json!({ field: "x".repeat(301) })).await;
            long.expect_problem(422);
            assert_eq!(long.fault(), format!("/{field}"));
        }
        let court = edit(json!({ "first_aid": "" })).await.expect(200);
        assert_eq!((&court["first_aid"], &court["ambulance_way"]), (&Value::Null, &json!("by the south gate")));

        let settings = house.path("/settings");
        let tag = manager.get(&settings).await.header("etag").unwrap().to_owned();
        let usual = json!({ "first_aid": "at the front desk" });
        manager.send(Method::PATCH, &settings, &[("if-match", &tag)], Some(&usual)).await.expect(200);
        let member = Visitor::signed_in(house, Role::CrewMember).await;
        let page = format!("/sites/{}/courts/{}", house.set_up.site_id, ground.courts[0]);
        let html = member.get(&page).await.page(200).to_owned();
        assert!(html.contains("at the front desk") && html.contains("by the south gate"), "{html}");
        assert!(html.contains("Call the local emergency number first"), "{html}");

        let tag = manager.get(&settings).await.header("etag").unwrap().to_owned();
        let long = json!({ "first_aid": "x".repeat(301) });
        let refused = manager.send(Method::PATCH, &settings, &[("if-match", &tag)], Some(&long)).await;
        refused.expect_problem(422);
        assert_eq!(refused.fault(), "/first_aid");
    }

    async fn a_manager_sets_it_on_the_page_of_the_court(house) {
        let ground = Ground::db_lay(house);
        let page = format!("/sites/{}/courts/{}", house.set_up.site_id, ground.courts[0]);
        let there = format!("{page}/first-aid");
        let manager = Visitor::signed_in(house, Role::Manager).await;
        let html = manager.get(&page).await.page(200).to_owned();
        let version = crate::pages::visitor::hidden(&html, "version");
        let fields = [("version", version.as_str()), ("first_aid", "by the net post"), ("ambulance_way", "")];
        manager.send(&there, &fields).await.leads_to(&page);
        assert!(manager.get(&page).await.page(200).contains("by the net post"));
        // Somebody else was quicker: nothing is overwritten.
        let stale = manager.send(&there, &[("version", version.as_str()), ("first_aid", "nowhere"), ("ambulance_way", "")]).await;
        assert!(stale.page(422).contains("changed since"), "{}", stale.html);
        let member = Visitor::signed_in(house, Role::CrewMember).await;
        assert!(!member.get(&page).await.page(200).contains("name=\"first_aid\""));
    }
}
