//! The day that a tablet takes along.

use roundhand::store::Role;
use serde_json::json;

use crate::pages::visitor::Visitor;
use crate::support::{Ground, db_planned_order, on_both_engines, tablet_of};

on_both_engines! {
    async fn a_tablet_takes_its_crew_s_round_along_with_all_it_takes_to_close_it(house) {
        let ground = Ground::db_lay(house);
        let order = ground.db_issue_plain(house);
        let tablet = house.nobody().with_token(&tablet_of(house).await);
        let path = house.path(&format!("/tablet?crew_id={}", ground.crew));
        let day = tablet.get(&path).await.expect(200);
        assert_eq!(day["now"], "2031-06-10T09:00:00Z");
        assert_eq!(day["date"], "2031-06-10");
        assert_eq!(day["site"]["zone"], "America/New_York");
        assert_eq!(day["round"][0]["id"], order);
        assert_eq!(day["round"][0]["steps"].as_array().unwrap().len(), 2);
        let people = day["people"].as_array().unwrap();
        let dear = people.iter().find(|p| p["id"] == ground.dear).unwrap();
        assert!(dear["in_crew"].is_boolean() && dear["name"].is_string(), "{dear}");
        let drag = day["tools"].as_array().unwrap().iter().find(|t| t["id"] == ground.drag).unwrap();
        assert!(drag["parts"].as_array().unwrap().iter().any(|p| p["id"] == ground.brush), "{drag}");
        assert!(day["courts"].as_array().unwrap().iter().any(|c| c["id"] == ground.courts[0]));
    }

    async fn without_a_crew_a_tablet_is_told_which_there_are(house) {
        let ground = Ground::db_lay(house);
        ground.db_issue_plain(house);
        let lead = house.as_role(Role::CrewLead).await;
        let day = lead.get(&house.path("/tablet")).await.expect(200);
        assert!(day["crews"].as_array().unwrap().iter().any(|c| c["id"] == ground.crew));
        assert_eq!((&day["crew_id"], &day["round"]), (&json!(null), &json!([])));
        let none = lead.get(&house.path("/tablet?crew_id=999999")).await;
        assert_eq!(none.status, 404);
    }

    async fn a_day_that_the_tablet_has_is_not_sent_again_until_something_changes(house) {
        let ground = Ground::db_lay(house);
        let order = ground.db_issue_plain(house);
        let lead = house.as_role(Role::CrewLead).await;
        let path = house.path(&format!("/tablet?crew_id={}", ground.crew));
        let first = lead.get(&path).await;
        let tag = first.header("etag").unwrap().to_owned();
        let known = [("if-none-match", tag.as_str())];
        let get = reqwest::Method::GET;
        assert_eq!(lead.send(get.clone(), &path, &known, None).await.status, 304);
        lead.post(&house.path(&format!("/orders/{order}/start")), &json!({})).await.expect(200);
        let then = lead.send(get, &path, &known, None).await.expect(200);
        assert_eq!(then["round"][0]["state"], "under_way");
    }

    async fn what_was_not_handed_out_is_not_on_the_tablet(house) {
        db_planned_order(house);
        let manager = house.manager().await;
        let [order] = &manager.get(&house.path("/orders")).await.items()[..] else {
            panic!("one order");
        };
        let path = house.path(&format!("/tablet?crew_id={}", order["crew_id"]));
        assert_eq!(manager.get(&path).await.expect(200)["round"], json!([]));
    }

    /// Source: W3C Fetch Metadata Request Headers, section 2.3: what a browser says of the page that asks.
    async fn the_session_of_a_page_counts_at_the_api_for_our_own_pages_alone(house) {
        let visitor = Visitor::signed_in(house, Role::CrewLead).await;
        let path = house.path("/tablet");
        for (site, status) in [("same-origin", 200), ("same-site", 401), ("cross-site", 401), ("none", 401)] {
            let shown = visitor.get_with(&path, &[("sec-fetch-site", site)]).await;
            assert_eq!(shown.status, status, "{site}");
        }
        assert_eq!(visitor.get(&path).await.status, 401, "a page that does not say");
        let nobody = Visitor::nobody(house);
        assert_eq!(nobody.get_with(&path, &[("sec-fetch-site", "same-origin")]).await.status, 401);
    }
}
