//! What happened in a day, told on a page: shown first, taken with a second tap.

use roundhand::store::Role;
use serde_json::json;

use super::yard::{DAY, Yard, orders};
use crate::pages::visitor::{Visitor, hidden};
use crate::support::on_both_engines;

on_both_engines! {
    async fn a_manager_tells_what_happened_sees_what_changes_and_takes_it(house) {
        let yard = Yard::db_lay(house);
        let manager = house.manager().await;
        let visitor = Visitor::signed_in(house, Role::Manager).await;
        yard.plan(&manager, DAY).await;
        manager.post(&yard.path(&format!("/days/{DAY}/issue")), &json!({})).await.expect(200);
        let day_at = format!("/sites/{}/days/{DAY}", yard.site);
        let here = format!("{day_at}/change");
        let page = visitor.get(&day_at).await.page(200).to_owned();
        assert!(page.contains(&format!("href=\"{here}\"")), "{page}");
        assert!(visitor.get(&here).await.page(200).contains("A crew goes home"));

        let before = yard.day(&manager, DAY).await;
        let crew = yard.crews[1].to_string();
        let told = [("kind", "crew_away"), ("crew_id", &crew), ("from", "18:00"), ("because", "A storm is due")];
        let shown = visitor.send(&here, &told).await;
        let html = shown.page(200);
        assert!(html.contains("Pay for what is left of the day"), "{html}");
        assert!(html.contains("It is left out; Late was to come at"), "{html}");
        assert_eq!(yard.day(&manager, DAY).await, before, "nothing changes before it is taken");

        let take = [("client_key", hidden(html, "client_key")), ("ask", hidden(html, "ask"))];
        let take: Vec<(&str, &str)> = take.iter().map(|(name, value)| (*name, value.as_str())).collect();
        visitor.send(&format!("{here}/take"), &take).await.leads_to(&day_at);
        let crew = Visitor::signed_in(house, Role::CrewMember).await;
        let page = crew.get(&day_at).await.page(200).to_owned();
        assert!(page.contains("A storm is due"), "crews see it at once: {page}");
        assert!(!page.contains("What happened?"), "only a manager plans");
        assert_ne!(yard.day(&manager, DAY).await["plan"]["id"], before["plan"]["id"]);
    }

    async fn a_visit_is_left_out_and_one_that_cannot_be_moved_so_says_why(house) {
        let yard = Yard::db_lay(house);
        let manager = house.manager().await;
        let visitor = Visitor::signed_in(house, Role::Manager).await;
        let day = yard.plan(&manager, DAY).await;
        let order = orders(&day)[0].clone();
        let here = format!("/sites/{}/days/{DAY}/change", yard.site);
        let page = visitor.get(&format!("{here}?order={}", order["id"])).await.page(200).to_owned();
        assert!(page.contains("Leave it out") && !page.contains("It rains"), "{page}");
        let key = order["visit_key"].as_str().unwrap();
        let crew = order["crew_id"].to_string();
        let pin = [("kind", "pin"), ("visit_key", key), ("crew_id", &crew), ("start", "23:30")];
        let refused = visitor.send(&here, &pin).await;
        assert!(refused.page(422).contains("give a start in between"), "{}", refused.page(422));
        let refused = visitor.send(&here, &[("kind", "rain")]).await;
        assert!(refused.page(422).contains("Give a time"));
        let shown = visitor.send(&here, &[("kind", "drop"), ("visit_key", key)]).await;
        assert!(shown.page(200).contains("Somebody left it out by hand."), "{}", shown.page(200));
        let member = Visitor::signed_in(house, Role::CrewMember).await;
        member.get(&here).await.page(403);
    }
}
